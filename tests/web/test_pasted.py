"""A list of readings is what its words say, and nothing else."""

from __future__ import annotations

import pytest

from truehang.job import load, starter
from truehang.reading import KINDS
from truehang.web.stages._opening import label
from truehang.web.stages._pasted import pasted

JOB = load(starter())


def one(text: str) -> tuple[object, ...]:
    (found,) = pasted(text, JOB)
    if found.reading is None:
        return ("wrong", found.wrong)
    read = found.reading
    return tuple(read.get(key) for key in ("kind", "at", "value", "over", "x", "face"))


@pytest.mark.parametrize(
    ("text", "is_"),
    [
        ("w b 3460", ("width", "bottom", 3460.0, None, None, None)),
        ("Bottom width: 3460", ("width", "bottom", 3460.0, None, None, None)),
        ("height left 2105 mm", ("height", "left", 2105.0, None, None, None)),
        ("p l -3 over 2000", ("plumb", "left", -3.0, 2000.0, None, None)),
        ("m tl 1008", ("mark", "top-left", 1008.0, None, None, None)),
        ("top left 1008", ("mark", "top-left", 1008.0, None, None, None)),
        ("face a 2 over 2000 at 500", ("face", None, 2.0, 2000.0, 500.0, "A")),
        ("t 112 at 300", ("thickness", None, 112.0, None, 300.0, None)),
        ("l b 3", ("level", "base", 3.0, None, None, None)),
        ("b l 2", ("bow", "left", 2.0, None, None, None)),
        ("w t 9' 5 1/2\"", ("width", "top", 2882.9, None, None, None)),
        ("w t 3,5 m", ("width", "top", 3500.0, None, None, None)),
        ("run 6200", ("run", None, 6200.0, None, None, None)),
    ],
)
def test_a_reading_is_known_by_its_words_or_their_letters(
    text: str, is_: tuple[object, ...]
) -> None:
    assert one(text) == is_


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("x 3", "names no place"), ("w b", "write the place"), ("w b abc", "write the place"),
        ("d r 4,050", "one way only"), ("s bl 2", "needs `over`"), ("t 112", "needs `at`"),
        ("width 3460", "names no place"), ("m t 1008", "names no place"),
    ],
)  # fmt: skip
def test_what_can_mean_two_things_or_none_is_not_taken(text: str, told: str) -> None:
    kind, wrong = one(text)
    assert kind == "wrong"
    assert told in str(wrong)


def test_every_place_of_the_page_can_be_written_as_the_page_says_it() -> None:
    for kind in KINDS.values():
        for place in kind.words:
            if kind.group:
                text = f"{label(kind.name, place)} 500 over 1000 at 200"
                found = one(text)
                assert found[0] == kind.name, text
                assert found[1] == (place if place and kind.name != "face" else None), text


def test_a_list_has_commas_lines_or_both_and_names_of_its_own() -> None:
    found = pasted("w b 3460, w m 3461,w t 3,5 m; w b 3462\np l 3 over 1800\np r 1", JOB)
    assert [each.reading["value"] for each in found if each.reading] == [
        3460, 3461, 3500, 3462, 3, 1]  # fmt: skip
    names = [each.reading["id"] for each in found if each.reading]
    assert len(set(names)) == 6
    assert not set(names) & {reading.id for reading in JOB.measure.readings}
    assert found[-1].reading is not None
    assert found[-1].reading["over"] == 1800  # as the one before it
