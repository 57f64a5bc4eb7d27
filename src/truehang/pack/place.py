"""Where does a section stand in the pack?

On site: what is taken to the wall: what stands, the marks, the order of work with all its pieces,
and the drawings to pin up. In the office: what is decided, ordered and proved from. Sheets on their
side come near the end, so that only one page before them is left short, and details after them on
pages of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from truehang.pack.content import Section
    from truehang.pack.drawings import Album
    from truehang.pack.printing import Printing
    from truehang.plan import Plan

    Maker = Callable[[Plan, Printing, Album], tuple[Section, ...]]
    Files = Callable[[Plan, Printing], Mapping[str, bytes]]

Part = Literal["site", "office"]


@dataclass(frozen=True, slots=True)
class Place:
    """A section's part of the pack, its place among the sections there (the least first), and what
    makes it."""

    part: Part
    order: int
    make: Maker
