"""What stands in each part of the pack, and in what order? Each section lists itself.

A section is a function of (plan, printing, album) that returns its Sections: none where the plan
has nothing of the kind. A module here says in `PLACES` where its sections stand, and in `FILES`
which files of its own the pack has from it.
"""

from __future__ import annotations

from functools import cache
from itertools import chain
from typing import TYPE_CHECKING

from truehang.lazily import listed

if TYPE_CHECKING:
    from truehang.pack.place import Files, Maker, Part


@cache
def makers(part: Part) -> tuple[Maker, ...]:
    """The makers of the sections of one part of the pack, in their order."""
    places = sorted(chain.from_iterable(listed(__name__, "PLACES")), key=lambda one: one.order)
    return tuple(one.make for one in places if one.part == part)


@cache
def files() -> tuple[Files, ...]:
    """The makers of files that sections have beside their pages."""
    return tuple(chain.from_iterable(listed(__name__, "FILES")))
