"""What stands in each part of the pack, and in what order? One module per section; each is one
line here.

A section is a function of (plan, printing, album) that returns its Sections: none where the plan
has nothing of the kind.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from truehang.pack.content import Section
from truehang.pack.drawings import Album
from truehang.pack.printing import Printing
from truehang.pack.sections import (
    access,
    build,
    cutting,
    drawings,
    findings,
    fixings,
    hardware,
    lining,
    measure,
    options,
    order,
    rod,
    sound,
    structure,
    takeoff,
)

if TYPE_CHECKING:
    from truehang.plan import Plan

    Maker = Callable[[Plan, Printing, Album], tuple[Section, ...]]

SITE: tuple[Maker, ...] = (
    findings.on_site,
    rod.section,
    build.section,
    drawings.on_site,
)
"""What is taken to the wall: what stands, the marks, the order of work with all its pieces, and the
drawings to pin up."""

OFFICE: tuple[Maker, ...] = (
    findings.section,
    measure.section,
    structure.section,
    hardware.section,
    access.section,
    sound.section,
    order.section,
    takeoff.section,
    cutting.section,
    lining.section,
    fixings.section,
    options.section,
    drawings.on_their_side,
    drawings.details,
)
"""What is decided, ordered and proved from. Sheets on their side come near the end, so that only
one page before them is left short, and details after them on pages of their own."""
