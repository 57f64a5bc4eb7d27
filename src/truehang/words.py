"""Which word do people here use? A trade word in a sentence is a value until somebody prints it.

Rooms don't know the region. They put `word("plasterboard")` into a text, as a mark that becomes
part of a `truehang.message.Message`, which prints the region's word: drywall in the United States.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Word:
    """One of our trade words in a sentence. A capital at its start is kept; a word of two parts
    has a hyphen: ``top-plate``."""

    ours: str

    def mark(self) -> str:
        """As it stands in a text that nobody has printed yet: ``⟨word:plasterboard⟩``."""
        return f"{_MARK}{self.ours}⟩"

    def printed(self, words: Mapping[str, str]) -> str:
        """The region's word for it."""
        return local(self.ours, words)


_MARK = "⟨word:"


def word(ours: str) -> str:
    """A `Word` as it is written into an f-string that becomes a message."""
    return Word(ours).mark()


def marked_word(mark: str) -> Word | None:
    """The word that was written as this mark; None where it is no mark of a word."""
    return Word(mark[len(_MARK) : -1]) if mark.startswith(_MARK) else None


def local(ours: str, words: Mapping[str, str]) -> str:
    """The region's word for one of ours, with a capital where ours has one."""
    small = ours[:1].lower() + ours[1:]
    found = words.get(ours) or words.get(small) or small.replace("-", " ")
    return found[:1].upper() + found[1:] if ours != small else found
