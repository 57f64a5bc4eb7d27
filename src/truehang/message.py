"""What does a sentence say, before it is printed? Words, with lengths and trade words as values.

Rooms know neither how a job prints its lengths nor the region's words. They write a sentence as an
f-string with `said(mm)` and `word(..)` in it; what takes the sentence in (a finding, a label, a
step) makes a `Message` of it. A plan gives its messages the job's `Voice`: then `str`, an
f-string, a page or a sheet prints one in the job's own lengths and words, the same everywhere.
Marks (``⟨38 mm⟩``, ``⟨word:plasterboard⟩``) are how a value gets through an f-string, or stands in
a data file; they are read here and nowhere else.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from truehang.lengths import Between, Length, LengthStyle, Metres, marked_length
from truehang.words import Word, marked_word

Part = str | Length | Between | Metres | Word


@dataclass(frozen=True, slots=True)
class Voice:
    """How a job says things: how it prints its lengths, and the region's word for each of ours."""

    style: LengthStyle
    words: Mapping[str, str] = field(hash=False)

    def printed(self, part: Part) -> str:
        """One part of a sentence as this job prints it."""
        if isinstance(part, str):
            return part
        return part.printed(self.words) if isinstance(part, Word) else part.printed(self.style)

    def say(self, text: Message | str) -> str:
        """A sentence as this job prints it."""
        return "".join([self.printed(part) for part in message(text).parts])


@dataclass(frozen=True, slots=True)
class Message:
    """A sentence, a label or a name that people read: its parts, in their order.

    With a `voice` it prints itself as that job does. Before, it stands in an f-string as it was
    written, with its values as marks, so that a message may be told within another.
    """

    parts: tuple[Part, ...]
    voice: Voice | None = field(default=None, compare=False, repr=False)

    def in_voice(self, voice: Voice) -> Message:
        """The same as this job says it. What is words alone, or has its voice, stays as it is."""
        if self.voice is not None or all(type(part) is str for part in self.parts):
            return self
        return Message(self.parts, voice)

    def __str__(self) -> str:
        if self.voice is not None:
            return self.voice.say(self)
        return "".join([part if isinstance(part, str) else part.mark() for part in self.parts])

    def __format__(self, how: str) -> str:
        return format(str(self), how)

    def __bool__(self) -> bool:
        return bool(self.parts)

    def __contains__(self, words: str) -> bool:
        """Do these words stand in it?"""
        return words in str(self)


_MARKS = re.compile(r"(⟨[^⟨⟩]+⟩)")


def message(text: Message | str) -> Message:
    """The sentence that an f-string wrote. A text with no mark in it is one part: itself."""
    return text if isinstance(text, Message) else _read(text)


def messages(texts: Iterable[Message | str]) -> tuple[Message, ...]:
    """Each of them as a message."""
    return tuple(map(message, texts))


@lru_cache(maxsize=4096)  # a plan says most of its labels many times
def _read(text: str) -> Message:
    if "⟨" not in text:
        return Message((text,) if text else ())
    parts: list[Part] = []
    for piece in _MARKS.split(text):
        value = (marked_length(piece) or marked_word(piece)) if piece[:1] == "⟨" else None
        last = parts[-1] if parts else None
        if value is not None:
            parts.append(value)
        elif isinstance(last, str):  # no mark of ours: a user may have typed the bracket
            parts[-1] = last + piece
        elif piece:
            parts.append(piece)
    return Message(tuple(parts))
