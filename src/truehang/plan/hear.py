"""What does the sound room get: the wall, the leaves, the pockets, every gap, the two rooms?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from truehang.amounts import amount, amounts
from truehang.catalogue.kits import Kit
from truehang.catalogue.leaves import LeafConstruction
from truehang.catalogue.materials import Material
from truehang.findings import Finding, Severity
from truehang.fit import Arrangement
from truehang.job import Job, models
from truehang.lengths import said
from truehang.plan.given import Given
from truehang.sound import (
    Comparer,
    Construction,
    DoublePanel,
    Layer,
    LeafArea,
    Panel,
    PocketZone,
    SoundInput,
    SoundInputError,
    SoundResult,
    glazed_leaf,
    leaf_panel,
    perimeter_slits,
    usual_upgrades,
)
from truehang.sound.given import SlitKind, Wall
from truehang.sound.leaves import THINNEST_PANE

PRACTICE = "common practice, no source"
HEAD_GAP = 4.0
"""Gap between leaf and head trim, each side, mm (common practice, no source)."""
JAMB_GAP = 3.0
"""Gap of a closed leaf in the groove of its closing jamb, mm (common practice, no source)."""
USUAL_VOLUME = 50.0
INSULATION = "polyester"


@dataclass(frozen=True, slots=True)
class Heard:
    """The prediction, None where the room can't make one, and what to know of it."""

    result: SoundResult | None
    findings: tuple[Finding, ...]


def hear(
    given: Given, arrangement: Arrangement, kit: Kit, leaf: LeafConstruction, compare: Comparer
) -> Heard:
    """The sound prediction of the arrangement between the job's two rooms. `compare` knows by now
    the walls that the options were weighed by."""
    job, catalogue, currency = given.job, given.catalogue, given.region.currency
    try:
        known = sound_input(job, arrangement, kit, leaf, catalogue.materials)
        offers = usual_upgrades(known, catalogue.sound_offers, catalogue.seals, currency)
        known = replace(known, upgrades=offers)
        result = given.store.answer("sound", known, lambda: compare.predict(known))
    except SoundInputError as wrong:
        return Heard(None, (wrong.finding(),))
    findings = [*result.findings, *_unknown_glass(leaf)]
    if job.sound is None:
        findings.append(
            Finding(
                Severity.NOTE,
                "sound",
                "the two rooms are not described; sound is reckoned for a usual quiet room of "
                f"{amount(USUAL_VOLUME, 'm3', None)}",
                "give the section sound: rooms, volumes, what is heard",
                PRACTICE,
            )
        )
    wish = job.wishes.quiet
    if wish is not None and result.after.rating.rw < wish:
        best = result.upgraded.rating.rw if result.upgraded else result.after.rating.rw
        findings.append(
            Finding(
                Severity.WARN,
                "wishes.quiet",
                f"Rw {result.after.rating.rw} is expected, {wish} is wished for",
                f"with every upgrade that pays it is about {best}; see what each buys"
                if best > result.after.rating.rw
                else "agree with the customer what this door can do",
                "ISO 717-1; a prediction, not a field test",
            )
        )
    return Heard(result, tuple(findings))


def _unknown_glass(leaf: LeafConstruction) -> tuple[Finding, ...]:
    """Glass of unknown thickness is not taken for the best there is."""
    if not leaf.glass or leaf.known_glazing is not None:
        return ()
    return (
        Finding(
            Severity.NOTE,
            f"catalogue.leaves.{leaf.id}",
            "does not say how thick its glass is; sound is reckoned as if half of it were a pane "
            f"of {said(THINNEST_PANE)}",
            "give the leaf its glazing: which glass, its thickness, its share of the face",
            PRACTICE,
        ),
    )


def seals_cost(
    result: SoundResult | None, now: tuple[float, float], held: Mapping[str, tuple[float, float]]
) -> tuple[Finding, ...]:
    """Quiet is paid for at the handle: what the advised seals make of the force.

    `now` is the force that moving a leaf takes (N, low and high), `held` the same with the seals of
    each offer, by its key.
    """
    return tuple(
        Finding(
            Severity.NOTE,
            "sound.upgrades",
            f"with {gain.label} moving a leaf takes {amounts(*held[gain.key], 'N', 0)}; as planned "
            f"{amounts(*now, 'N', 0)}",
            "write the seals into wishes.seals, so that the force is held against what is asked",
            "the seals' own ranges",
        )
        for gain in (result.gains if result else ())
        if gain.advised and gain.key in held
    )


def sound_input(
    job: Job,
    arrangement: Arrangement,
    kit: Kit,
    leaf: LeafConstruction,
    materials: tuple[Material, ...],
    *,
    draws: int = 2000,
) -> SoundInput:
    """The arrangement as the sound room sees it."""
    heights = arrangement.heights
    made = leaf_made(leaf, materials)
    opening_height = heights.clear_head - heights.floor_high
    wall = wall_beside(job)
    area = job.sound.area if job.sound else job.wall.run * job.wall.ceiling / 1e6
    filling = arrangement.situation == "fill"
    opening = arrangement.passage.length * opening_height / 1e6
    if filling:
        width = arrangement.rough.length + sum(span.length for span in arrangement.infill)
        opening = width * (heights.rough_head - heights.floor_low) / 1e6
    sound = job.sound
    leaves = tuple(
        LeafArea(
            one.name,
            min(one.closed.high, arrangement.opening.high)
            - max(one.closed.low, arrangement.opening.low),
            opening_height,
            made,
        )
        for one in arrangement.leaves
    )
    floor_gap = max((gap.least + gap.most) / 2 for gap in arrangement.floor_gaps)
    return SoundInput(
        wall=wall,
        wall_area=area,
        opening_area=min(opening, area),
        open_name="old opening" if filling else "standing open",
        leaves=leaves,
        pockets=tuple(_pockets(job, arrangement, kit, leaf, made)),
        slits=perimeter_slits(
            leaves,
            leaf.thickness,
            floor_gap=floor_gap,
            head_gap=HEAD_GAP,
            closing_gap=kit.meeting_gap if len(leaves) > 1 else JAMB_GAP,
            seals=_seals(job),
        ),
        receiving_volume=sound.receiving.volume if sound else USUAL_VOLUME,
        reverberation_time=sound.receiving.reverberation if sound else 0.5,
        source=sound.noise if sound else "speech-normal",
        background=sound.receiving.background if sound else "quiet-room",
        draws=draws,
        seed=job.job.seed,
    )


def leaf_made(leaf: LeafConstruction, materials: tuple[Material, ...]) -> Construction:
    """A leaf of the catalogue as the sound room sees it."""
    if leaf.glass or leaf.kind == "glass":
        return glazed_leaf(
            leaf.kind, leaf.thickness, leaf.surface_density, leaf.known_glazing, materials
        )
    return leaf_panel(leaf.kind, leaf.thickness, leaf.surface_density)


def _seal(id: str) -> str | None:
    return None if id == "none" else id


def _seals(job: Job) -> dict[SlitKind, str]:
    wished = job.wishes.seals
    places: tuple[tuple[SlitKind, str], ...] = (
        ("floor", wished.floor),
        ("jamb", wished.jamb),
        ("meeting", wished.meeting),
        ("head", wished.head),
    )
    return {place: id for place, id in places if id != "none"}


def _layers(layers: tuple[models.Layer, ...]) -> tuple[Layer, ...]:
    return tuple(Layer(layer.material, layer.thickness) for layer in layers)


def _faces(job: Job) -> tuple[tuple[Layer, ...], tuple[Layer, ...]]:
    lining, there = job.wishes.lining, job.wall.make_up
    return _layers(lining.face_a or there.face_a), _layers(lining.face_b or there.face_b)


def wall_beside(job: Job) -> Wall:
    """The stud wall beside the pockets, with what is wished for on it and in it. A face that stays
    is not lined there: what is wished for it is put on what fills an old opening."""
    insulated = job.wishes.lining.insulate
    face_a, face_b = _faces(job)
    there = job.wall.make_up
    if job.wall.stays in ("A", "both"):
        face_a = _layers(there.face_a)
    if job.wall.stays in ("B", "both"):
        face_b = _layers(there.face_b)
    studs, fill = there.studs, there.fill
    infill, thickness = (fill.material, fill.thickness) if fill else (None, 0.0)
    if infill is None and insulated and job.wall.situation == "new-wall":
        infill, thickness = INSULATION, min(75.0, studs.depth)
    return DoublePanel(
        face_a=Panel(face_a),
        face_b=Panel(face_b),
        cavity=studs.depth,
        stud_spacing=studs.spacing,
        infill=infill,
        infill_thickness=thickness,
    )


def _pockets(
    job: Job, arrangement: Arrangement, kit: Kit, leaf: LeafConstruction, made: Construction
) -> list[PocketZone]:
    face_a, face_b = _faces(job)
    rib = arrangement.pockets[0].rib_thickness
    cavity = arrangement.wall.stud - 2 * rib
    skins = DoublePanel(
        face_a=Panel(face_a),
        face_b=Panel(face_b),
        cavity=cavity,
        stud_spacing=None,
    )
    height = arrangement.heights.head_underside - arrangement.heights.frame_bottom
    return [
        PocketZone(
            name=f"{pocket.side} pocket",
            width=pocket.inside.length,
            height=height,
            skins=skins,
            mouth_gap=(cavity - leaf.thickness) / 2,
            tail=kit.tail,
            leaf_thickness=leaf.thickness,
            leaf=made,
            mouth_seal=_seal(job.wishes.seals.mouth),
        )
        for pocket in arrangement.pockets
    ]
