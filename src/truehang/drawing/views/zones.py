"""Where may no fixing be longer than the lining takes?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from truehang.drawing.draft import Draft
from truehang.drawing.scene import Layer, Scene
from truehang.drawing.sheet import Sheet, largest
from truehang.drawing.views.elevation import wall_geometry, wall_size
from truehang.drawing.views.site import Site

if TYPE_CHECKING:
    from truehang.fit.model import Arrangement, Face

BAND = 3.0
"""Width of the hatched rim of a zone, mm on paper."""


@dataclass(frozen=True, slots=True)
class Zone:
    """A rectangle of a face (x, z; mm) where no fixing may be longer than `longest` (mm)."""

    label: str
    x0: float
    z0: float
    x1: float
    z1: float
    longest: float
    face: Face = "A"


def no_go(
    arrangement: Arrangement,
    sheet: Sheet,
    zones: Sequence[Zone],
    *,
    side: Face = "A",
    site: Site | None = None,
) -> Scene:
    """The no-go zones of one face over the wall's faint elevation."""
    word, bare = sheet.word, (site or Site()).bare

    def build(scale: float) -> Scene:
        draft = Draft(scale, mirror=side == "B", highlight=("no-go",))
        wall_geometry(draft, arrangement, side, bare)
        draft.highlight = frozenset()
        for zone in zones:
            _zone(draft, zone)
        for zone in zones:
            box = (zone.x0, zone.z0, zone.x1, zone.z1)
            middle = ((zone.x0 + zone.x1) / 2, (zone.z0 + zone.z1) / 2)
            words = f"{word('nothing longer than')} {sheet.most(zone.longest)}"
            draft.label(words, middle, box, bold=True)
            if zone.label:
                # Pointed at where its line to the right does not run through the words above.
                share = 0.15 if side == "B" else 0.85
                beside = (zone.x0 + share * (zone.x1 - zone.x0), middle[1])
                draft.label(word(zone.label), beside, box)
        notes = [word("Lengths are from the finished face. Elsewhere the usual fixings.")]
        return draft.close(
            f"no-go-{side.lower()}",
            f"{word('No-go zones for fixings, side')} {side}",
            keys=[(Layer.NOGO, word("edge of a no-go zone"))],
            notes=notes,
            bar=sheet.bar(scale),
            page=sheet,
        )

    return largest(build, sheet, wall_size(arrangement, bare), finest=10)


def _zone(draft: Draft, zone: Zone) -> None:
    x0, z0, x1, z1 = zone.x0, zone.z0, zone.x1, zone.z1
    rim = min(BAND * draft.scale, (x1 - x0) / 2, (z1 - z0) / 2)
    for band in (
        (x0, z0, x1, z0 + rim),
        (x0, z1 - rim, x1, z1),
        (x0, z0 + rim, x0 + rim, z1 - rim),
        (x1 - rim, z0 + rim, x1, z1 - rim),
    ):
        a, b, c, d = band
        if c > a and d > b:
            corners = ((a, b), (c, b), (c, d), (a, d))
            draft.polygon(Layer.HATCH, corners, "cross", "no-go", edge=False)
    draft.rectangle(Layer.NOGO, (x0, z0, x1, z1), part="no-go")
