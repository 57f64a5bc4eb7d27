"""How will it look, and where is every size? The drawings, true to scale.

The sheets that are worked from go to site; what they are cut through and the other face stay in the
office, unless something on that face must move.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from truehang.drawing import PAPERS
from truehang.pack.content import Drawing, Section
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.plan import Plan


def details(plan: Plan, _printing: Printing, album: Album) -> tuple[Section, ...]:
    """Plan and vertical section, with what is too small to read on them."""
    upright = [one for one in album.printed(*_DETAILS) if not one.wide]
    high = PAPERS[plan.region.paper][0] - _MARGINS
    return (Section("Sections and details", paged(upright, high)),) if upright else ()


_MARGINS, _HEADING, _APART = 34.0, 30.0, 3.0
"""What head and foot take of a page, a heading of its first one, and what lies between drawings."""


def paged(drawn: Sequence[Drawing], high: float) -> tuple[Drawing, ...]:
    """The drawings in an order that fills pages of this height (mm): each goes on the first page
    that has room for it, the highest first; on a page they stand as they were given."""
    pages: list[list[int]] = []
    room: list[float] = []
    for at in sorted(range(len(drawn)), key=lambda at: -drawn[at].height):
        takes = drawn[at].height + _APART
        page = next((n for n, left in enumerate(room) if takes <= left), len(room))
        if page == len(room):
            pages.append([])
            room.append(high - (0.0 if room else _HEADING))
        pages[page].append(at)
        room[page] -= takes
    return tuple(drawn[at] for page in pages for at in sorted(page))


def on_site(plan: Plan, _printing: Printing, album: Album) -> tuple[Section, ...]:
    """The sheets to pin up beside the opening: the faces that are worked on, and the set-out."""
    faces = (f"elevation-{side}" for side in _worked(plan))
    pinned = album.only(*faces, "frame-set-out", "framing-there")
    return (Section("Drawings", pinned),) if pinned else ()


def on_their_side(plan: Plan, _printing: Printing, album: Album) -> tuple[Section, ...]:
    """What is wider than the page: the face that is not pinned up, and a long plan section."""
    wide = [one for one in album.printed(*_DETAILS) if one.wide]
    left = album.only(*(f"elevation-{side}" for side in "ab" if side not in _worked(plan)))
    drawn = (*left, *wide)
    return (Section("Drawings on their side", drawn),) if drawn else ()


_DETAILS = ("plan-", "vertical-", "section-", "packers")


def _worked(plan: Plan) -> str:
    """Side A, which the job is set out from, and B where something to be moved shows on it."""
    clashes = plan.arrangement.clashes if plan.arrangement else ()
    return "ab" if any(clash.service.face == "B" for clash in clashes) else "a"


PLACES = (
    Place("site", 40, on_site),
    Place("office", 130, on_their_side),
    Place("office", 140, details),
)
