"""Which papers of a pack are offered first, and in which words?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from truehang.store import Issued
from truehang.web.making import Making

FIRST = {
    "site.pdf": "On site: set-out, build sheets, checks",
    "rod-strip.pdf": "Rod at full size",
    "office.pdf": "In the office: order sheet, measure, options, structure, sound",
    "care.pdf": "Care sheet, for whoever lives with the door",
}
"""What a person asks for, in the order of asking; all else is for other programs."""


def offered(names: Iterable[str]) -> tuple[list[tuple[str, str]], list[str]]:
    """The papers offered first, each with its words, and the names of the rest."""
    there = list(names)
    first = [(name, words) for name, words in FIRST.items() if name in there]
    return first, [name for name in there if name not in FIRST]


def on_site(job: str, making: Making, issued: Sequence[Issued]) -> list[tuple[str, str]]:
    """Where the papers for the site are, with their words: issued ones before a trial's."""
    if issued:
        at = f"/jobs/{job}/issued/{issued[0].revision}"
        names = [one.name for one in issued]
    else:
        at = f"/jobs/{job}/packs/{making.digest}"
        names = list(making.documents)
    first, _ = offered(names)
    return [(f"{at}/{name}", words) for name, words in first if name != "office.pdf"]
