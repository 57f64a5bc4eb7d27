"""What must be known to say how quiet a closed opening will be? Plain values only.

Lengths are millimetres, areas m2, volumes m3, surface densities kg/m2, times s, levels dB re
20 uPa. A mistake is raised as `SoundInputError`, which names the field, the value and the mend.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from truehang.findings import Finding, Severity
from truehang.money import Money

SlitKind = Literal["floor", "jamb", "meeting", "head"]
"""Where a gap runs: under a leaf, at the closing jamb, where a pair meets, over a leaf."""

SlitPlace = Literal["mid-wall", "edge"]
"""`edge`: the slit lies against a plane at right angles (floor, ceiling); else `mid-wall`."""


class SoundInputError(ValueError):
    """A value the sound room can't use: `field`, `value`, `what` is wrong, and the `mend`."""

    def __init__(self, field: str, value: object, what: str, mend: str) -> None:
        super().__init__(f"{field} = {value!r}: {what}; {mend}")
        self.field = field
        self.value = value
        self.what = what
        self.mend = mend

    def finding(self) -> Finding:
        """The same as a finding, for a plan that goes on without a prediction."""
        return Finding(
            severity=Severity.WARN,
            where=f"sound.{self.field}",
            what=f"{self.value!r}: {self.what}",
            mend=self.mend,
            source="common practice, no source",
        )


@dataclass(frozen=True, slots=True)
class Layer:
    """One sheet: a material key of the catalogue and its thickness (mm).

    `surface_density` (kg/m2) overrules density times thickness, as a datasheet does; it must be
    given for a material whose density the catalogue doesn't know.
    """

    material: str
    thickness: float
    surface_density: float | None = None


@dataclass(frozen=True, slots=True)
class Panel:
    """One leaf in the acoustic sense: sheets that move together.

    `bonded`: glued over their whole face so that they bend as one (a door leaf); otherwise they
    are screwed together, their masses add and each bends alone (two sheets of plasterboard).
    """

    layers: tuple[Layer, ...]
    bonded: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DoublePanel:
    """Two panels with a cavity: a stud wall, a pocket on its ribs, or a hollow leaf.

    `cavity` is the clear depth between the panels (mm); `stud_spacing` the centres of whatever
    ties them (mm), None when nothing does; `infill` the key of a porous material and
    `infill_thickness` its thickness (mm), None and 0 for an empty cavity.
    """

    face_a: Panel
    face_b: Panel
    cavity: float
    stud_spacing: float | None = 600.0
    infill: str | None = None
    infill_thickness: float = 0.0


@dataclass(frozen=True, slots=True)
class SideBySide:
    """Panels beside each other in one leaf, each with its share of the face: a pane and its frame.
    The shares add up to 1."""

    parts: tuple[tuple[float, Panel], ...]


Wall = Panel | DoublePanel
Construction = Wall | SideBySide


@dataclass(frozen=True, slots=True)
class LeafArea:
    """One leaf of a door as it stands in the opening when closed (mm): the part seen."""

    name: str
    width: float
    height: float
    construction: Construction


@dataclass(frozen=True, slots=True, kw_only=True)
class PocketZone:
    """One pocket (mm): `width` along the wall, `height`, the two skins and what is in it.

    `skins.cavity` is the clear depth between the skins; `mouth_gap` the gap between one face of
    the leaf and the mouth, the same each side, with its standard deviation as built, and
    `mouth_seal` the key of the seal in it, if any; `tail` how much of the leaf stays in the
    pocket when closed; `leaf_thickness` and `leaf` describe what hangs in it when open.
    """

    name: str
    width: float
    height: float
    skins: DoublePanel
    mouth_gap: float
    tail: float
    leaf_thickness: float
    leaf: Construction
    mouth_gap_sd: float = 1.0
    mouth_seal: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Slit:
    """One gap: `width` across (mm), `depth` through (mm), `length` along (mm).

    `seal` is the key of a seal of the catalogue or None for an open gap. `width_sd` is the
    standard deviation of the gap as built (mm; common practice, no source).
    """

    name: str
    kind: SlitKind
    width: float
    depth: float
    length: float
    place: SlitPlace = "mid-wall"
    seal: str | None = None
    width_sd: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Upgrade:
    """A change that can be bought. What is None or empty stays as it is.

    Changes of one `group` are alternatives: the later takes the earlier's place, for the
    difference in cost; without a group a change stands beside all others.
    `seals` pairs the name of a slit (or of a pocket, for its mouth) with a seal key; `slits`
    replaces slits of the same name; `pocket_infill` is (porous material key, thickness mm);
    `skins` and `lining` are extra sheets put on each face of the pockets and of the wall.
    """

    key: str
    label: str
    cost: Money
    group: str = ""
    leaf: Construction | None = None
    seals: tuple[tuple[str, str], ...] = ()
    slits: tuple[Slit, ...] = ()
    pocket_infill: tuple[str, float] | None = None
    skins: tuple[Layer, ...] = ()
    lining: tuple[Layer, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundInput:
    """One opening between two rooms.

    `wall_area` is the whole wall common to both rooms, opening and pockets included (m2);
    `opening_area` the old archway or the new opening when nothing closes it (m2). `source` and
    `background` are keys of the catalogue's noises; a background may also be eight octave-band
    levels 63-8000 Hz (dB). `draws` and `seed` steer the uncertainty band; `surface_density_cv`
    is the coefficient of variation of every panel's surface density; `model_sd` (dB) the error
    of the prediction method itself, one draw for all bands; its 2 dB are not less than the scatter
    seen against published doors, panes and walls (docs/theory/sound.md).
    """

    wall: Wall
    wall_area: float
    opening_area: float
    leaves: tuple[LeafArea, ...]
    pockets: tuple[PocketZone, ...] = ()
    slits: tuple[Slit, ...] = ()
    receiving_volume: float = 50.0
    reverberation_time: float = 0.5
    open_name: str = "old opening"
    """What the state with nothing in `opening_area` is called."""
    source: str = "speech-normal"
    background: str | tuple[float, ...] = "quiet-room"
    upgrades: tuple[Upgrade, ...] = field(default=())
    draws: int = 2000
    seed: int = 1
    surface_density_cv: float = 0.05
    model_sd: float = 2.0
