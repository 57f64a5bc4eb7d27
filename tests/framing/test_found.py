"""What of the framing that is there comes out, what stays, and what does for a new stud?

Source: the set-out of tests/framing/test_framing.py read by hand; that a sound stud on the mark is
kept and one in the way is taken out is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.framing.test_framing import OPENING

from truehang.framing import Found, opening_members, overlapping
from truehang.framing.model import OpeningSetOut
from truehang.members import Member
from truehang.shapes import Span

TALL = 2475.0
"""Underside of the plate under the ceiling: 2520 less 45."""


def stud(id: str, low: float, top: float = TALL, **more: object) -> Found:
    given: dict[str, object] = {"x": Span(low, low + 45.0), "sure": True, **more}
    return Found(id=id, what="stud", label=f"stud {id}", foot=None, top=top, **given)  # type: ignore[arg-type]


def settled(*found: Found, at: OpeningSetOut = OPENING) -> dict[str, Member]:
    made = opening_members(replace(at, found=found))
    return {member.name: member for member in made}


def test_a_stud_in_the_rough_opening_comes_out_and_one_beside_it_stays() -> None:
    made = settled(stud("in", 1500.0), stud("far", 300.0))
    assert made["stud in"].origin == "comes out"
    assert made["stud far"].origin == "there already"
    assert str(made["stud far"].where) == "clear of the work"


def test_it_is_told_in_which_part_it_stood() -> None:
    pockets = (("left pocket", Span(1000.0, 1700.0)), ("clear opening", Span(1700.0, 2390.0)))
    made = settled(stud("p", 1500.0), stud("o", 2000.0), at=replace(OPENING, stretches=pockets))
    assert "in the left pocket" in made["stud p"].where
    assert "in the clear opening" in made["stud o"].where


@pytest.mark.parametrize(
    ("low", "side"), [(955.0, "left"), (953.0, "left"), (2400.0, "right"), (2402.5, "right")]
)
def test_a_sound_stud_on_the_mark_becomes_the_jamb_stud(low: float, side: str) -> None:
    """The rough opening ends at 1000 and 2400, the new studs stand at 955 and at 2400."""
    made = settled(stud("k", low))
    (kept,) = [m for m in made.values() if m.origin == "there already"]
    assert (kept.role, kept.side, kept.x.low) == ("jamb stud", side, low)
    assert "cut it off at the head" in kept.where  # it runs to the plate, the head is at 2150
    new = [m for m in made.values() if m.role == "jamb stud" and m.origin == "new"]
    assert len(new) == 1 and new[0].side != side  # noqa: PT018


@pytest.mark.parametrize(
    "one",
    [
        stud("short", 955.0, top=2100.0),
        stud("unsure", 955.0, sure=False),
        stud("off", 945.0),
        stud("into", 970.0),
        replace(stud("high", 955.0), foot=900.0),
        replace(stud("thin", 980.0), x=Span(980.0, 1000.0)),
    ],
    ids=lambda one: one.id,
)
def test_one_that_would_not_do_comes_out_and_a_new_stud_goes_in(one: Found) -> None:
    made = settled(one)
    assert made[one.label].origin == "comes out"
    new = [m for m in made.values() if m.role == "jamb stud" and m.origin == "new"]
    assert len(new) == 2


def test_two_studs_under_a_head_are_kept_one_for_one() -> None:
    assert OPENING.head is not None
    at = replace(OPENING, head=replace(OPENING.head, studs=2))
    # two jamb studs at 910 and 955, the king stud past them at 865
    made = settled(stud("a", 955.0), stud("b", 910.0), stud("c", 865.0), at=at)
    kept = {m.x.low: m.role for m in made.values() if m.origin == "there already"}
    assert kept == {955.0: "jamb stud", 910.0: "jamb stud", 865.0: "king stud"}
    new = [m for m in made.values() if m.origin == "new" and m.side == "left" and m.lies == "z"]
    assert {m.role for m in new} == {"backing"}  # nothing stands behind the old lining's edge


def test_what_stands_where_the_head_or_its_packing_goes_comes_out() -> None:
    """The head lies from 955 to 2445 at 2150: a noggin at 2200 beside the opening is in its way."""
    nog = Found(id="n", what="noggin", label="noggin n", x=Span(960.0, 990.0), foot=2178.0,
                top=2223.0, sure=True)  # fmt: skip
    low = replace(nog, id="m", label="noggin m", foot=1200.0, top=1245.0, x=Span(700.0, 905.0))
    behind = replace(low, id="b", label="noggin b", x=Span(700.0, 950.0))
    made = settled(nog, low, behind)
    assert "where the backing" in made["noggin b"].where  # that stands from 910 to 955
    assert made["noggin n"].origin == "comes out"
    assert "head over the frame" in made["noggin n"].where
    assert made["noggin m"].origin == "there already"


def test_a_stud_that_may_not_come_out_stays_wherever_it_stands() -> None:
    assert settled(stud("post", 1500.0, stays=True))["stud post"].origin == "there already"


def test_the_plate_is_cut_out_but_where_the_old_opening_has_none() -> None:
    made = settled(at=replace(OPENING, situation="beside", old=Span(1900.0, 2300.0)))
    out = sorted((m.x.low, m.x.high) for m in made.values() if m.role == "plate")
    # up to where the studs beside the opening end, which stand on the floor
    assert out == [(955.0, 1900.0), (2300.0, 2445.0)]


def test_studs_in_one_another_are_found() -> None:
    pairs = [(a.id, b.id) for a, b in overlapping((stud("b", 440.0), stud("a", 400.0)))]
    assert pairs == [("a", "b")]
    assert list(overlapping((stud("a", 400.0), stud("b", 445.0)))) == []


@pytest.mark.parametrize(
    ("low", "new"),
    [
        (900.0, False),  # 10 from the edge at 955: that edge is screwed to it
        (865.0, False),  # a whole stud off, the farthest that serves
        (840.0, True),
    ],
)
def test_a_stud_near_the_edge_of_the_lining_is_its_backing(low: float, new: bool) -> None:
    """The jamb stud stands from 955 to 1000 (common practice, no source)."""
    made = settled(stud("a", low))
    assert made["stud a"].origin == "there already"
    assert ("backing stud, left" in {m.name for m in made.values()}) is new
    assert "backing stud, right" in {m.name for m in made.values()}
