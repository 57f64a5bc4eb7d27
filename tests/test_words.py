"""Is a trade word in a text the region's own when it is handed out?"""

from __future__ import annotations

import pytest

from truehang.message import Voice
from truehang.words import word

WORDS = {"plasterboard": "drywall", "top-plate": "top plate", "lintel": "header"}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (f"cut the {word('plasterboard')}", "cut the drywall"),
        (f"{word('Plasterboard')} dust", "Drywall dust"),
        (
            f"{word('lintel')}s under the {word('top-plate')}",
            "headers under the top plate",
        ),
        (f"a {word('double-outlet')} moves", "a double outlet moves"),  # no word of its own here
        (f"{word('water pipe')}", "water pipe"),
        ("no token at all: plasterboard", "no token at all: plasterboard"),
    ],
)
def test_words(text: str, told: str) -> None:
    assert Voice("mm", WORDS).say(text) == told
