"""Frozen dataclasses whose functions are made when called: the standard library's, in all they do.

Source of what is expected: `dataclasses.dataclass` itself, given the same class bodies.
"""

from __future__ import annotations

import copy
import dataclasses
import pickle
from collections.abc import Callable
from dataclasses import FrozenInstanceError, field
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from truehang import values


class Body:
    """A class body to be made twice."""

    a: int
    b: str = "b"
    c: tuple[int, ...] = ()
    d: list[int] = field(default_factory=list, compare=False)
    e: float = field(default=1.5, repr=False, kw_only=True)
    kind: str = field(default="body", init=False)
    made: list[int] = field(default_factory=lambda: [1], init=False, compare=False)

    @property
    def twice(self) -> int:
        return 2 * self.a


class Checked:
    a: int

    def __post_init__(self) -> None:
        if self.a < 0:
            raise ValueError("below zero")

    def __repr__(self) -> str:
        return "mine"

    def __eq__(self, other: object) -> bool:
        return True


def made(by: Any, body: type, **options: bool) -> Any:
    inside = {key: value for key, value in vars(body).items() if key not in _OWN}
    return by(type(body.__name__, (), inside), frozen=True, slots=True, **options)


_OWN = ("__dict__", "__weakref__")
OURS, THEIRS = made(values.dataclass, Body), made(dataclasses.dataclass, Body)


@values.dataclass(frozen=True, slots=True)
class Kept:
    a: int
    b: tuple[str, ...] = ()


@given(
    st.lists(st.integers(-2, 2), min_size=0, max_size=2),
    st.dictionaries(st.sampled_from("abcdefx"), st.integers(-2, 2), max_size=4),
)
def test_it_takes_and_refuses_what_the_librarys_does(given: list[int], named: Any) -> None:
    outcomes = []
    for kind in (OURS, THEIRS):
        try:
            one = kind(*given, **named)
            outcomes.append((dataclasses.astuple(one), repr(one), one.twice))
        except TypeError as wrong:
            outcomes.append(str(wrong).replace("Body.", ""))
    assert outcomes[0] == outcomes[1]


@given(st.tuples(st.integers(0, 1), st.integers(0, 1)), st.tuples(st.integers(0, 1), st.just(0)))
def test_equal_and_hashed_as_the_librarys(one: tuple[int, int], other: tuple[int, int]) -> None:
    ours = [OURS(a, "x", (b,), [b], e=b) for a, b in (one, other)]
    theirs = [THEIRS(a, "x", (b,), [b], e=b) for a, b in (one, other)]
    assert (ours[0] == ours[1]) == (theirs[0] == theirs[1])
    assert (hash(ours[0]) == hash(ours[1])) == (hash(theirs[0]) == hash(theirs[1]))
    assert ours[0] != theirs[0]
    assert dataclasses.asdict(ours[0]) == dataclasses.asdict(theirs[0])


def test_nothing_in_it_can_be_changed() -> None:
    one = OURS(1)
    for change in (lambda: setattr(one, "a", 2), lambda: delattr(one, "a")):
        with pytest.raises(FrozenInstanceError):
            change()
    with pytest.raises(FrozenInstanceError):
        one.other = 1
    assert one.a == 1
    assert not hasattr(one, "__dict__")


@pytest.mark.parametrize(
    "again", [copy.copy, copy.deepcopy, lambda one: pickle.loads(pickle.dumps(one))]
)
def test_it_is_copied_and_kept(again: Callable[[Kept], Kept]) -> None:
    one = Kept(1, ("x",))
    assert again(one) == one
    assert dataclasses.replace(one, a=2) == Kept(2, ("x",))


def test_what_the_class_says_itself_stays() -> None:
    ours, theirs = made(values.dataclass, Checked), made(dataclasses.dataclass, Checked)
    with pytest.raises(ValueError, match="below zero"):
        ours(-1)
    assert repr(ours(1)) == repr(theirs(1)) == "mine"
    assert ours(1) == ours(2)
    assert hash(ours(1)) == hash(ours(1)) != hash(ours(2))


def test_given_by_name_only_where_the_class_asks_it() -> None:
    ours = made(values.dataclass, Body, kw_only=True)
    assert ours(a=1).a == 1
    with pytest.raises(TypeError):
        ours(1)


def test_each_default_list_is_its_own() -> None:
    assert OURS(1).d is not OURS(1).d
