"""Is a sentence said as its job says things, and as nobody else does? Values that get through an
f-string must come out as they went in. The inch is 25.4 mm exactly (international yard and pound
agreement, 1959)."""

from __future__ import annotations

import json
import pickle

from hypothesis import given
from hypothesis import strategies as st

from truehang.findings import Finding, Severity, worst_first
from truehang.lengths import Between, Length, Metres, said, said_between, said_metres
from truehang.message import Message, Voice, message, messages
from truehang.plain import to_json
from truehang.words import Word, word

OURS = Voice("mm", {})
THEIRS = Voice("feet-inches", {"plasterboard": "drywall"})


def test_an_f_string_keeps_its_values() -> None:
    told = message(f"{word('plasterboard')} of {said(12.7, 1)}, {said_metres(19.2)} of it")
    assert told.parts == (
        Word("plasterboard"), " of ", Length(12.7, 1), ", ", Metres(19.2), " of it",
    )  # fmt: skip
    assert OURS.say(told) == "plasterboard of 12.7 mm, 19.2 m of it"
    assert THEIRS.say(told) == 'drywall of 1/2", 63.0 ft of it'


_MM = st.integers(-50_000_000, 50_000_000).map(lambda micro: micro / 1000)
_OFF = st.integers(-20_000, 20_000).map(lambda micro: micro / 1000)


@given(_MM, st.integers(0, 1), st.booleans(), _OFF)
def test_a_value_comes_out_of_a_sentence_as_it_went_in(
    mm: float, places: int, plus: bool, off: float
) -> None:
    """What is printed of the value itself and of the sentence is the same in every style."""
    values = (
        (Length(mm, places, plus), said(mm, places, plus=plus)),
        (Length(mm, places, limit=round(mm + off, 3)), said(mm, places, limit=round(mm + off, 3))),
        (Between(mm, round(mm + off, 3)), said_between(mm, round(mm + off, 3))),
    )
    for value, written in values:
        for voice in (OURS, THEIRS):
            assert voice.say(message(f"at {written} up")) == f"at {value.printed(voice.style)} up"


def test_a_message_is_told_within_another() -> None:
    within = message(f"short by {said(25.4)}")
    whole = message(f"nothing fits: {within}")
    assert whole.parts == ("nothing fits: short by ", Length(25.4))
    spoken = within.in_voice(THEIRS)
    assert f"nothing fits: {spoken}" == 'nothing fits: short by 1"'
    assert spoken.in_voice(OURS) is spoken  # who has a voice keeps it
    assert "1 in" not in spoken
    assert '1"' in spoken


def test_what_is_no_mark_of_ours_stays_as_it_was_typed() -> None:
    for text in ("a ⟨note⟩ of the user", "⟨", "⟩⟨", "⟨⟩ and ⟨12 mmm⟩", "3 mm"):
        assert message(text).parts == (text,)
        assert str(message(text).in_voice(THEIRS)) == text
    assert not message("")
    assert messages(["a", message("b")]) == (message("a"), message("b"))


def test_a_finding_takes_what_was_written_and_is_one_value_in_every_voice() -> None:
    def made() -> Finding:
        return Finding(Severity.WARN, "wall", f"{said(900)} is left", "look", "common practice")

    assert made().what == Message((Length(900.0), " is left"))
    assert worst_first((made(), made())) == (made(),)
    spoken = made().what.in_voice(THEIRS)
    assert spoken == made().what
    again = pickle.loads(pickle.dumps(spoken))
    assert str(again) == str(spoken) == "2' 11 7/16\" is left"
    assert json.loads(to_json({"what": spoken})) == {"what": "2' 11 7/16\" is left"}
