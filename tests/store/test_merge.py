"""Is everything that can be joined joined, and nothing lost that can't?"""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from truehang.store.merge import ABSENT, merge, put

documents = st.recursive(
    st.integers(0, 3) | st.text("ab", max_size=2),
    lambda inner: (
        st.dictionaries(st.sampled_from("abc"), inner, max_size=3) | st.lists(inner, max_size=2)
    ),
    max_leaves=8,
)
roots = st.dictionaries(st.sampled_from("abc"), documents, max_size=3)


def test_items_with_ids_are_joined_one_by_one() -> None:
    base = [{"id": "w1", "value": 1}, {"id": "w2", "value": 2}]
    theirs = [{"id": "w1", "value": 9}, {"id": "w2", "value": 2}, {"id": "w3", "value": 3}]
    mine = [{"id": "w1", "value": 1}, {"id": "w2", "value": 8}, {"id": "w4", "value": 4}]
    joined, clashes = merge(base, theirs, mine)
    assert joined == [
        {"id": "w1", "value": 9}, {"id": "w2", "value": 8},
        {"id": "w3", "value": 3}, {"id": "w4", "value": 4},
    ]  # fmt: skip
    assert clashes == ()


def test_what_one_person_read_is_never_joined_with_what_another_did() -> None:
    """Two phones from one base: one changed the number, one the length it was read over."""
    base = {"readings": [{"id": "p", "value": 4.0, "over": 2000}, {"id": "q", "value": 1.0}]}
    theirs = {"readings": [{"id": "p", "value": 6.5, "over": 2000}, {"id": "q", "value": 1.0}]}
    mine = {"readings": [{"id": "p", "value": 4.0, "over": 1200}, {"id": "q", "value": 2.0}]}
    joined, (clash,) = merge(base, theirs, mine)
    assert joined == {"readings": [theirs["readings"][0], mine["readings"][1]]}
    assert (clash.path, clash.mine) == (("readings", "p"), mine["readings"][0])
    fresh = [{"id": "n", "value": 1, "over": 1}], [{"id": "n", "value": 2}]
    joined, (clash,) = merge([], *fresh)
    assert (joined, clash.mine) == (fresh[0], fresh[1][0])


def test_the_record_of_one_look_is_one_value() -> None:
    """Who looked, and what was found: of one person, or of the other."""
    base: dict[str, Any] = {"wall": {"evidence": {"roof": "unknown"}, "run": 1}}
    theirs: dict[str, Any] = {"wall": {"evidence": {"roof": "cut", "opened_up": {
        "who": "builder", "finding": "carries-load"}}, "run": 1}}  # fmt: skip
    mine: dict[str, Any] = {"wall": {"evidence": {"roof": "unknown", "joists": "along",
        "opened_up": {"who": "engineer", "finding": "carries-nothing"}}, "run": 2}}  # fmt: skip
    joined, (clash,) = merge(base, theirs, mine)
    found = theirs["wall"]["evidence"]["opened_up"]
    assert joined == {"wall": {"evidence": {"roof": "cut", "joists": "along", "opened_up": found},
                               "run": 2}}  # fmt: skip
    assert clash.path == ("wall", "evidence", "opened_up")


def test_a_change_against_a_removal_is_a_clash() -> None:
    joined, (clash,) = merge({"a": 1}, {}, {"a": 2})
    assert joined == {}
    assert (clash.path, clash.theirs, clash.mine) == (("a",), ABSENT, 2)


@given(roots, roots)
def test_a_change_of_one_side_alone_is_taken_whole(base: Any, changed: Any) -> None:
    assert merge(base, changed, base) == (changed, ())
    assert merge(base, base, changed) == (changed, ())
    assert merge(base, changed, changed) == (changed, ())


@given(roots, roots, roots)
def test_settling_every_clash_with_mine_keeps_all_of_my_changes(
    base: Any, theirs: Any, mine: Any
) -> None:
    joined, clashes = merge(base, theirs, mine)
    for clash in clashes:
        joined = put(joined, clash.path, clash.mine)
    again, more = merge(base, joined, mine)
    assert more == ()
    assert again == joined
