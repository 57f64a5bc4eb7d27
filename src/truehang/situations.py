"""What is done to the wall? The four situations, in plain words, once for every place that asks."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Situation:
    """One situation by its key in the job file: a short name, what happens, and what its picture
    shows, for those who can't see it."""

    key: str
    name: str
    words: str
    shows: str


SITUATIONS: tuple[Situation, ...] = (
    Situation(
        "fill-opening",
        "Inside an old opening",
        "A pair or a single goes in with its pockets, all inside an old opening; the wall beside "
        "it stays as it is.",
        "An old opening in a wall of studs. The whole frame stands inside it: a leaf closed in the "
        "middle on either side, and a pocket behind each.",
    ),
    Situation(
        "beside-opening",
        "Beside an old opening",
        "A hinged door comes out and its opening goes on being the way through; the pocket goes "
        "into the wall beside it.",
        "An old opening with its hinged door taken out. A sliding leaf closes it, and its pocket "
        "stands in the wall beside it, where studs come out.",
    ),
    Situation(
        "new-opening",
        "A new opening in a wall",
        "A wall that stands is cut for the opening and its pocket together.",
        "A wall of studs without an opening. It is cut for a rough opening that holds the way "
        "through with its leaf, and the pocket beside that.",
    ),
    Situation(
        "new-wall",
        "A new wall",
        "The wall is built new, with the frame in it.",
        "A wall that is still to be built, all its studs new, with the frame standing in it.",
    ),
)
"""In the order in which they are asked for: what is there first, then what is cut, then built."""


def situation(key: str) -> Situation:
    """The situation of this key. Raises KeyError where there is none."""
    return {one.key: one for one in SITUATIONS}[key]
