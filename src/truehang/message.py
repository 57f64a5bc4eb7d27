"""What does a sentence say, before it is printed? Words, with lengths and trade words as values.

Rooms know neither how a job prints its lengths nor the region's words. They write a sentence as an
f-string with `said(mm)` and `word(..)` in it; what takes the sentence in (a finding, a label, a
step) makes a `Message` of it. A plan gives its messages the job's `Voice`: then `str`, an
f-string, a page or a sheet prints one in the job's own lengths and words, the same everywhere.
`voiced` does so for a whole result, whatever it is made of.
Marks (``⟨38 mm⟩``, ``⟨word:plasterboard⟩``) are how a value gets through an f-string, or stands in
a data file; they are read here and nowhere else.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from functools import cache, lru_cache
from operator import is_not
from typing import Any, TypeVar, get_args

from truehang.amounts import Amount, marked_amount
from truehang.lengths import Between, Length, LengthStyle, Metres, marked_length
from truehang.words import Word, marked_word

Part = str | Length | Between | Metres | Amount | Word


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


@dataclass(frozen=True, slots=True, eq=False)
class Message:
    """A sentence, a label or a name that people read: its parts, in their order.

    With a `voice` it prints itself as that job does. Before, it stands in an f-string as it was
    written, with its values as marks, so that a message may be told within another. It equals a
    message of the same parts, whoever says it; where it is words alone, their text as well.
    """

    parts: tuple[Part, ...]
    voice: Voice | None = field(default=None, repr=False)

    @property
    def _same(self) -> tuple[Part, ...] | str:
        if all(type(part) is str for part in self.parts):
            return "".join(map(str, self.parts))
        return self.parts

    def __eq__(self, other: object) -> bool:
        if isinstance(other, Message):
            return self._same == other._same
        return self._same == other if isinstance(other, str) else NotImplemented

    def __hash__(self) -> int:
        return hash(self._same)

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

    def __contains__(self, words: Message | str) -> bool:
        """Do these words stand in it?"""
        return str(words) in str(self)


NOTHING = Message(())
"""Where nothing is said."""

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
        return Message((text,)) if text else NOTHING
    parts: list[Part] = []
    for piece in _MARKS.split(text):
        value = _marked(piece) if piece[:1] == "⟨" else None
        last = parts[-1] if parts else None
        if value is not None:
            parts.append(value)
        elif isinstance(last, str):  # no mark of ours: a user may have typed the bracket
            parts[-1] = last + piece
        elif piece:
            parts.append(piece)
    return Message(tuple(parts))


def _marked(piece: str) -> Length | Between | Metres | Amount | Word | None:
    return marked_length(piece) or marked_amount(piece) or marked_word(piece)


_Result = TypeVar("_Result")


def voiced(result: _Result, voice: Voice) -> _Result:
    """Any result with the messages in it, however deep, said in this voice."""
    whole: _Result = _Voicing(voice).of(result)
    return whole


class _Voicing:
    """Goes through a result by the types it is made of. What says nothing is handed back itself."""

    def __init__(self, voice: Voice) -> None:
        self._voice = voice
        self._known: dict[int, Any] = {}

    def of(self, thing: Any) -> Any:
        kind: Any = type(thing)
        if kind is Message:
            return thing.in_voice(self._voice)
        if kind is tuple:
            made = tuple([self.of(each) for each in thing])
            return made if any(map(is_not, made, thing)) else thing
        names = _telling(kind)
        if names is None:
            return thing
        known = self._known.get(id(thing))
        if known is None:
            known = self._known[id(thing)] = self._inside(thing, names)
        return known

    def _inside(self, thing: Any, names: tuple[str, ...]) -> Any:
        if not names:
            return thing.each_said(self.of)
        changes = {}
        for name in names:
            old = getattr(thing, name)
            new = self.of(old)
            if new is not old:
                changes[name] = new
        return replace(thing, **changes) if changes else thing


@cache
def _telling(kind: Any) -> tuple[str, ...] | None:
    """The fields of a dataclass that may hold a message, going by their types; None where there is
    none, () for a type of another make that hands out what it holds by `each_said`."""
    if hasattr(kind, "each_said"):
        return ()
    if not is_dataclass(kind):
        return None
    known, above = vars(sys.modules[kind.__module__]), frozenset((kind,))
    return tuple(one.name for one in fields(kind) if _may_tell(one.type, known, above)) or None


_NAME = re.compile(r"[A-Za-z_]\w*")
_QUOTED = re.compile(r"'[^']*'|\"[^\"]*\"")
_BUILT_IN = frozenset({"None", "str", "float", "int", "bool", "bytes", "tuple", "dict", "complex"})


def _may_tell(written: Any, known: Mapping[str, Any], above: frozenset[Any]) -> bool:
    """May a value of the type that is written here hold a message? What is not known may."""
    for name in _NAME.findall(_QUOTED.sub("", str(written))):
        if name not in _BUILT_IN and (name not in known or _tells(known[name], above)):
            return True
    return False


def _tells(kind: Any, above: frozenset[Any]) -> bool:
    if kind is Message or kind is Any or hasattr(kind, "each_said"):
        return True
    if not isinstance(kind, type):  # an alias: a union, a tuple, a literal
        return any(_tells(each, above) for each in get_args(kind) if not isinstance(each, str))
    if kind in above or not is_dataclass(kind):
        return False
    inside = vars(sys.modules[kind.__module__])
    return any(_may_tell(one.type, inside, above | {kind}) for one in fields(kind))
