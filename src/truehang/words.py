"""Which word do people here use? A trade word in a text is a token until the plan is handed out.

Rooms don't know the region. They put `word("plasterboard")` into a text, and `spell_words` puts
the region's word in its place: drywall in the United States.
"""

from __future__ import annotations

import re
from collections.abc import Mapping


def word(ours: str) -> str:
    """One of our words as a token, readable as it stands: ``⟨word:plasterboard⟩``.

    A capital at the start is kept. Words of two parts have a hyphen: ``top-plate``.
    """
    return f"⟨word:{ours}⟩"


def spell_words(text: str, words: Mapping[str, str]) -> str:
    """The text with the region's word for each token; ours where the region has none."""
    if "⟨word:" not in text:
        return text
    return _TOKEN.sub(lambda token: local(token[1], words), text)


def local(ours: str, words: Mapping[str, str]) -> str:
    """The region's word for one of ours, with a capital where ours has one."""
    small = ours[:1].lower() + ours[1:]
    found = words.get(ours) or words.get(small) or small.replace("-", " ")
    return found[:1].upper() + found[1:] if ours != small else found


_TOKEN = re.compile(r"⟨word:([^⟨⟩]+)⟩")
