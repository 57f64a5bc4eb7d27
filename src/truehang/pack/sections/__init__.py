"""What stands in the pack, and in what order? One module per section; each is one line here.

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
    framing,
    hardware,
    lining,
    measure,
    options,
    order,
    packers,
    rod,
    sound,
    structure,
    takeoff,
)

if TYPE_CHECKING:
    from truehang.plan import Plan

    Maker = Callable[[Plan, Printing, Album], tuple[Section, ...]]

SECTIONS: tuple[Maker, ...] = (
    findings.section,
    measure.section,
    options.section,
    structure.section,
    hardware.section,
    access.section,
    sound.section,
    order.section,
    takeoff.section,
    cutting.section,
    lining.section,
    drawings.section,
    framing.section,
    rod.section,
    packers.section,
    fixings.section,
    build.section,
)
"""In the order of the job: what to know, measure, choose, order, and last what goes to site."""
