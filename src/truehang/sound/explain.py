"""Why is it so, and what must a person know? The figures and findings of a prediction."""

from __future__ import annotations

import re
from collections.abc import Mapping

from truehang.amounts import amount
from truehang.catalogue.seals import Seal
from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.lengths import said
from truehang.sound.given import SoundInput
from truehang.sound.result import NOTE, Gain, State, Uncertainty
from truehang.words import word

ISO_717 = "ISO 717-1"
ISO_16283 = "ISO 16283-1"
ASTM = "ASTM E413"
SII_SOURCE = "ANSI S3.5-1997, octave procedure"
COMPOSITE = "ISO 12354-1: transmitted energies add by area"
COMMON = "common practice, no source"
SCATTER = (
    "gaps and masses: common practice, no source; the method: its scatter against published doors, "
    "panes and walls (Bies, Hansen and Howard 2017, Table 7.6, and others)"
)

PATH_SOURCE = {
    "wall": "Sharp 1978; Bies & Hansen, Engineering Noise Control",
    "pocket": "Sharp 1978, with the mouth as a leak into the cavity: common practice, no source",
    "leaf": "Cremer; Sharp 1978; Bies & Hansen, Engineering Noise Control",
    "slit": "Gomperts & Kihlman 1967; Hopkins, Sound Insulation, 4.3.10",
    "opening": "an opening lets through all that meets it",
}

HEAVY_SHARE = 0.5


def slug(name: str) -> str:
    """A name as part of a figure's key: "mouth of left pocket" -> "mouth-of-left-pocket"."""
    return re.sub(r"\W+", "-", name.lower()).strip("-")


def explain(
    given: SoundInput,
    before: State,
    after: State,
    uncertainty: Uncertainty,
    gains: tuple[Gain, ...],
    upgraded: State | None,
) -> tuple[Figure, ...]:
    """The numbers that people act on, each with what it comes from."""
    figures = [*_state("before", before), *_paths(given, after), *_state("after", after)]
    for end, value in (("low", uncertainty.dntw.low), ("high", uncertainty.dntw.high)):
        figures.append(
            Figure(
                key=f"sound.dntw_{end}",
                label=f"D_nT,w, {'5' if end == 'low' else '95'} % of the draws",
                value=value,
                unit="dB",
                rule=f"{uncertainty.draws} draws (seed {uncertainty.seed}) of gaps, surface "
                f"densities and {given.model_sd:g} dB of the method",
                inputs=("sound.after.dntw", "job:sound"),
                source=SCATTER,
            )
        )
    figures.append(
        Figure(
            key="sound.weakest",
            label="weakest way through, closed",
            value=after.paths[0].name,
            unit="",
            rule=f"largest share of the A-weighted energy: {100 * after.paths[0].share:.0f} %",
            inputs=tuple(f"sound.path.{slug(path.name)}" for path in after.paths),
            source=COMPOSITE,
        )
    )
    for gain in gains:
        figures.append(
            Figure(
                key=f"sound.gain.{slug(gain.key)}",
                label=f"{gain.label}: bought as number {gain.rank} for {gain.step_cost}",
                value=gain.step_gain,
                unit="dB",
                rule=f"D_nT,w with it less D_nT,w before it; {gain.gain:+.1f} dB when bought alone",
                inputs=("sound.after.dntw", f"catalogue:sound_offers.{gain.key}"),
                source="ISO 16283-1, ISO 717-1 in steps of 0.1 dB",
            )
        )
    if upgraded is not None:
        figures.append(
            Figure(
                key="sound.upgraded.dntw",
                label="D_nT,w with every upgrade that pays",
                value=upgraded.dntw.rw,
                unit="dB",
                rule="the wall with the changes down to the last that raises D_nT,w",
                inputs=tuple(f"sound.gain.{slug(gain.key)}" for gain in gains),
                source=f"{ISO_16283}, {ISO_717}",
            )
        )
    return tuple(figures)


def _state(key: str, state: State) -> list[Figure]:
    whole = f"sound.{key}"
    paths = tuple(f"sound.path.{slug(path.name)}" for path in state.paths)
    if key == "before":
        paths = ("job:measure", "job:sound.area")
    return [
        Figure(
            f"{whole}.rw", f"Rw (C;Ctr) {state.rating} of the wall, {state.name}",
            state.rating.rw, "dB", "R = -10 lg(sum(S tau)/S) by band, rated 100-3150 Hz",
            paths, f"{COMPOSITE}; {ISO_717}",
        ),
        Figure(
            f"{whole}.stc", f"STC of the wall, {state.name}", state.rating.stc, "",
            "contour shifted until the deficits exceed 32 in all or 8 in one band",
            (f"{whole}.rw",), ASTM,
        ),
        Figure(
            f"{whole}.dntw", f"D_nT,w between the rooms, {state.name}", state.dntw.rw, "dB",
            "D_nT = R' + 10 lg(0.16 V/(T0 S)), T0 = 0.5 s, rated 100-3150 Hz",
            (f"{whole}.rw", "job:sound.receiving.volume"), f"{ISO_16283}; {ISO_717}",
        ),
        *_heard(whole, state),
    ]  # fmt: skip


def _heard(whole: str, state: State) -> list[Figure]:
    """What comes through, as it is heard."""
    return [
        Figure(
            f"{whole}.level", f"level in the other room, {state.name}", state.heard.level_a, "dB",
            "source level less level difference in octaves, A-weighted",
            (f"{whole}.dntw", "job:sound.noise"), "IEC 61672-1 (A-weighting)",
        ),
        Figure(
            f"{whole}.sii", f"speech intelligibility index, {state.name}", state.heard.sii, "",
            "sum of importance x audibility over six octaves; 0 nothing, 1 all",
            (f"{whole}.level", "job:sound.receiving.background"), SII_SOURCE,
        ),
        Figure(
            f"{whole}.words", f"in plain words, {state.name}", state.heard.words, "",
            "SII up to 0.05, 0.20, 0.45; level against the room's own noise",
            (f"{whole}.sii", f"{whole}.level"),
            "from memory: speech privacy classes; check ASTM E1130",
        ),
    ]  # fmt: skip


def _paths(given: SoundInput, state: State) -> list[Figure]:
    return [
        Figure(
            key=f"sound.path.{slug(path.name)}",
            label=f"Rw of {path.name} ({amount(path.area, 'm2', 2)}, "
            f"{100 * path.share:.0f} % of the sound)",
            value=path.rating.rw,
            unit="dB",
            rule="its transmission by band, rated 100-3150 Hz",
            inputs=(
                "job:sound",
                "catalogue:materials" if path.kind != "slit" else "catalogue:seals",
            ),
            source=PATH_SOURCE[path.kind],
        )
        for path in state.paths
    ]


def warn(given: SoundInput, after: State, seals: Mapping[str, Seal]) -> tuple[Finding, ...]:
    """What to know before promising quiet."""
    found = [
        Finding(
            severity=Severity.NOTE,
            where="sound",
            what=f"{NOTE} Sound that goes round by floor and ceiling is left out",
            mend="where a figure is promised, have the finished wall measured",
            source=ISO_16283,
        ),
        Finding(
            severity=Severity.NOTE,
            where="sound",
            what="a wall that is rated for fire or sound loses its rating where it is altered",
            mend=f"ask the {word('certifier')} first",
            source=COMMON,
        ),
    ]
    weakest = after.paths[0]
    if weakest.share > HEAVY_SHARE:
        found.append(
            Finding(
                severity=Severity.WARN if weakest.kind == "slit" else Severity.NOTE,
                where=weakest.name,
                what=f"{100 * weakest.share:.0f} % of the sound comes this way",
                mend="better this first: until then a heavier leaf or wall brings little",
                source=COMPOSITE,
            )
        )
    gaps = [
        *((slit.name, slit.width, slit.width_sd, slit.seal) for slit in given.slits),
        *((f"mouth of {p.name}", p.mouth_gap, p.mouth_gap_sd, p.mouth_seal) for p in given.pockets),
    ]
    for name, width, width_sd, key in gaps:
        if key is None:
            continue
        most = seals[key].max_gap
        if width + width_sd > most:
            found.append(
                Finding(
                    severity=Severity.WARN,
                    where=name,
                    what=f"gap {said(width, 1)} give or take {said(width_sd, 1)}, but "
                    f"{seals[key].name.lower()} closes {said(most, 1)} at most",
                    mend="make the gap smaller or choose a seal with more reach",
                    source=seals[key].source,
                )
            )
    return tuple(found)
