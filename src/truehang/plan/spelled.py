"""How does this job print its lengths, and which words are used here? Every text of a plan.

Rooms write lengths and trade words as tokens (`truehang.lengths.said`, `truehang.words.word`).
Here, once, each becomes the job's own, so that nothing that shows a plan has to know of tokens.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from operator import is_not
from typing import Any, TypeVar

from truehang.cutting import CuttingPlan
from truehang.figures import Figure, Ledger
from truehang.findings import Finding
from truehang.fit import AccessCheck, Arrangement, FloorGap, Option, Options, Refusal
from truehang.fixings import Choice, Fixings, Row
from truehang.hardware import (
    BoltTurn,
    Drag,
    HangingAdjustment,
    HangingLeft,
    LeafHardware,
    Residual,
)
from truehang.lining import LiningPlan
from truehang.measure import (
    Adjustment,
    Advice,
    FitChance,
    Measured,
    ReadingCheck,
    Slip,
    Usable,
)
from truehang.members import Member
from truehang.message import Message, Voice
from truehang.plan.answers import Answers
from truehang.plan.model import Plan
from truehang.plan.over_model import HeadWay, OverOpening
from truehang.plan.weigh import WeighedOption
from truehang.sound import SoundResult
from truehang.steps import Check, Number, Step
from truehang.structure import Bearing, CheckedHead, HeadMovement, HeadSizing, Props
from truehang.takeoff import Item, Takeoff

_FOUND = ("findings", "figures")
_TEXTS: dict[type, tuple[str, ...]] = {
    Plan: (
        "measured", "chance", "options", "weighed", "arrangement", "bearing", "head_movement",
        "head_sizing", "unsized", "over", "hardware", "hanging_left", "members", "fixings",
        "takeoff", "lining", "sound", "steps", "answers", *_FOUND,
    ),
    Finding: ("what", "mend"),
    Figure: ("label", "value", "rule", "instead"),
    Measured: ("opening", "as_read", "alternatives", "usable", "slips", "along", "advice", *_FOUND),
    Slip: ("instead",),
    Adjustment: ("readings", "usable"),
    ReadingCheck: ("label",),
    Usable: ("held_by",),
    Advice: ("label",),
    FitChance: ("figures",),
    Options: ("options", "refusals", *_FOUND),
    Option: ("access", "wins", "loses"),
    Refusal: ("what", "mend"),
    AccessCheck: ("limit", "shown"),
    WeighedOption: ("option", "arrangement", "hardware"),
    Arrangement: ("option", "access", "floor_gaps", "findings", "figures"),
    FloorGap: ("on_stacks",),
    Bearing: ("reasons", "contradictions", *_FOUND),
    HeadMovement: _FOUND,
    OverOpening: ("ways",),
    HeadWay: ("why_not", "member", "clashes"),
    HeadSizing: ("candidates", "lightest", "cheapest", "shallowest", "props", *_FOUND),
    CheckedHead: ("why_not",),
    Props: ("cautions",),
    LeafHardware: ("drags", *_FOUND),
    Drag: ("rule",),
    HangingLeft: _FOUND,
    HangingAdjustment: ("turns", "residuals", *_FOUND),
    BoltTurn: ("words",),
    Residual: ("name",),
    Member: ("label", "making", "where"),
    Fixings: ("choices", *_FOUND),
    Choice: ("row", "offers"),
    Row: ("label", "note"),
    Takeoff: ("items", "figures"),
    Item: ("label", "note", "making", "where"),
    CuttingPlan: _FOUND,
    LiningPlan: _FOUND,
    SoundResult: _FOUND,
    Step: ("title", "do", "numbers", "pouch", "caution", "checks", "hold"),
    Number: ("label", "value"),
    Check: ("label", "mend"),
}  # fmt: skip
"""Where the texts of each kind of result are, or what holds them. A test looks at every text of a
plan, so that none is forgotten here. The answers of later rooms need no line: they are searched
whole."""


_Result = TypeVar("_Result")


def spelled(plan: Plan) -> Plan:
    """The same plan with every length and trade word in its texts as this job prints them."""
    return spelled_as(plan, plan.voice)


def spelled_as(result: _Result, voice: Voice) -> _Result:
    """Any room's result with its texts as a job of this voice says them."""
    whole: _Result = _Speller(voice).of(result)
    return whole


def _tokens_in(figure: Figure) -> bool:
    texts = (figure.label, figure.rule, figure.instead, figure.value)
    return any(isinstance(text, str) and "⟨" in text for text in texts)


class _Speller:
    """Spells what it is given and everything inside; what has no tokens is handed back itself."""

    def __init__(self, voice: Voice) -> None:
        self._voice = voice
        self._known: dict[int, Any] = {}
        self._whole = False

    def of(self, thing: Any) -> Any:
        kind = type(thing)
        if kind is str:
            return self._voice.say(thing) if "⟨" in thing else thing
        if kind is Message:
            return thing.in_voice(self._voice)
        if kind is tuple:
            return self._each(thing)
        if kind is Ledger:
            return self._ledger(thing)
        if kind is Answers:
            return self._answers(thing)
        names = _TEXTS.get(kind)
        if names is None and self._whole and is_dataclass(thing):
            names = tuple(field.name for field in fields(thing))
        if names is None:
            return thing
        if kind is Figure and not _tokens_in(thing):  # most of a plan: a quick way past
            return thing
        known = self._known.get(id(thing))
        if known is not None:
            return known
        changes = {}
        for name in names:
            old = getattr(thing, name)
            new = self.of(old)
            if new is not old:
                changes[name] = new
        made = self._known[id(thing)] = replace(thing, **changes) if changes else thing
        return made

    def _each(self, things: tuple[Any, ...]) -> tuple[Any, ...]:
        made = tuple([self.of(thing) for thing in things])
        return made if any(map(is_not, made, things)) else things

    def _answers(self, answers: Answers) -> Answers:
        self._whole = True
        made = {name: self.of(answer) for name, answer in answers.items()}
        self._whole = False
        return answers if all(made[name] is answers[name] for name in made) else Answers(made)

    def _ledger(self, ledger: Ledger) -> Ledger:
        old = tuple(ledger.values())
        new = self._each(old)
        return ledger if new is old else Ledger(new)
