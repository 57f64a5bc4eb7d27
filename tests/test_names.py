"""Does one word stand for one thing? Two public classes of one name, in different modules, make a
reader look twice. Those that still do stand here; none may be added, and the list only shrinks."""

from __future__ import annotations

import ast
from collections import defaultdict
from pathlib import Path

import truehang

HOUSE = Path(truehang.__path__[0])
SHARED = """
About Answer Asked Away Block Board Change Circle Clash Curve Cut Days EngineerRecord
Entry Evidence Floor Found Given Heard Kept Layer Leaf Line Network Offcut OldOpening
Panel Piece Place PocketZone Priced Problem Proof Room Row Run Section Service Shape
Sheet Side Site Solved Stage Step Store Table Taken Task Terms Text There Timber Told
Tree Wishes Lines
"""


def of_one_name() -> dict[str, list[str]]:
    """The modules of each public class whose name another has as well."""
    found: dict[str, list[str]] = defaultdict(list)
    for path in sorted(HOUSE.rglob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                found[node.name].append(str(path.relative_to(HOUSE)))
    return {name: places for name, places in found.items() if len(places) > 1}


def test_no_two_public_classes_have_one_name() -> None:
    more = {name: places for name, places in of_one_name().items() if name not in SHARED.split()}
    assert more == {}, "give one of them a name of its own: docs/house/glossary.md"


def test_a_word_of_the_house_stands_for_one_thing() -> None:
    """These are told in the glossary, so a second meaning misleads most."""
    assert not {"Span", "Face", "Zone", "Part", "Member", "Message", "Figure", "Finding"} & set(
        of_one_name()
    )
