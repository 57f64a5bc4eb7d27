"""Does the room choose fixings that hold and reach nothing that moves?

Figures of the trade here are common practice, no source, unless a line names one.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from truehang import catalogue
from truehang.catalogue.fasteners import board_rules, fasteners
from truehang.findings import Severity
from truehang.fixings import (
    FixingsInputError,
    Hold,
    Row,
    Sheet,
    StockFastener,
    choose,
    fixings,
    rows_by_depth,
    shots,
    spread,
    window,
)

STOCK = tuple(
    StockFastener(
        f.id, f.name, f.kind, f.into, f.length, f.diameter, f.head_height, f.box_count,
        f.box_price_minor,
    )
    for f in fasteners()
    if f.range == "metric"
)  # fmt: skip
RIB = Hold(15.9, "GA-216", glued=10.0, source_glued="common practice, no source")


def rib_row(board: float = 10, rib: float = 16, **changes: object) -> Row:
    given_ = {
        "key": "lining-ribs-a",
        "label": "lining to ribs, face A",
        "axis": "+y",
        "surface": 0.0,
        "places": ((500.0, 300.0), (500.0, 600.0)),
        "through": (Sheet("plasterboard", board),),
        "into": Sheet("rib", rib),
        "cavity": True,
        "hold": RIB,
        "kind": "board-screw",
        "glued": True,
    }
    return Row(**(given_ | changes))  # type: ignore[arg-type]


def test_ten_board_on_sixteen_rib_takes_twenty_five_at_the_longest() -> None:
    # common practice, no source
    row = rib_row()
    assert window(row, glued=True) == (20.0, 25.0)
    choice = choose(row, STOCK)
    assert choice.fastener is not None
    assert choice.fastener.length == 25.0
    assert (choice.holds, choice.spare) == (15.0, 1.0)


def test_twenty_five_nail_through_eleven_trim_leaves_fourteen() -> None:
    # common practice, no source: 25 - 11 = 14, of which 10 is board and 4 is rib
    row = rib_row(
        through=(Sheet("trim", 11), Sheet("plasterboard", 10)), kind="trim-nail", glued=False,
        hold=Hold(4.0, "common practice, no source"),
    )  # fmt: skip
    choice = choose(row, [f for f in STOCK if f.length == 25.0])
    assert choice.fastener is not None
    assert choice.fastener.length - 11 == 14
    assert choice.holds == 4.0


def test_screws_alone_do_not_hold_in_a_sixteen_rib_and_the_mends_are_offered() -> None:
    # GA-216 asks for 5/8 in (15.9) in timber: 10 + 15.9 is more than 10 + 16 - 1
    result = fixings([rib_row(glued=False)], STOCK)
    choice = result.choices[0]
    assert choice.fastener is not None
    assert choice.glued
    assert choice.fastener.length == 25.0
    assert any("glue" in offer for offer in choice.offers)
    assert any("rib of at least" in offer for offer in choice.offers)
    assert any("off the pocket" in offer for offer in choice.offers)
    assert [f.severity for f in result.findings] == [Severity.WARN]


def test_an_empty_window_says_so_and_picks_nothing() -> None:
    result = fixings([rib_row(board=26, rib=8)], STOCK)
    assert result.choices[0].fastener is None
    assert result.boxes == ()
    assert "no stock fixing lies between" in result.findings[0].what
    assert result.findings[0].mend


def test_a_head_that_would_touch_is_never_chosen() -> None:
    row = Row(
        key="base", label="base to floor", axis="-z", surface=20.0, places=((500.0, 50.0),),
        through=(Sheet("base member", 18),), into=Sheet("floor", 40), cavity=False,
        hold=Hold(25, "common practice, no source"), kind="base-screw", head_room=1.0,
    )  # fmt: skip
    low = choose(row, STOCK)
    assert low.fastener is None
    assert "head" in low.offers[0]


def test_boxes_are_whole_and_count_the_waste() -> None:
    result = fixings([rib_row(places=tuple((x * 1.0, 0.0) for x in range(460)))], STOCK)
    (box,) = result.boxes
    assert box.count == math.ceil(460 * 1.1)
    assert box.boxes == 2
    assert box.price_minor == 2 * box.fastener.box_price_minor


@pytest.mark.parametrize("thickness", [0.0, -3.0, math.nan, math.inf])
def test_bad_thickness_names_the_layer(thickness: float) -> None:
    with pytest.raises(FixingsInputError, match=r"plasterboard = .*above zero"):
        choose(rib_row(board=thickness), STOCK)


def test_spread_reaches_both_ends_and_never_exceeds_the_spacing() -> None:
    assert spread(0, 1000, 300, 50) == pytest.approx((50, 350, 650, 950))
    assert spread(0, 40, 300, 50) == (20,)
    with pytest.raises(FixingsInputError, match="spacing"):
        spread(0, 100, 0)


def test_each_region_has_a_board_rule_that_says_how_sure_it_is() -> None:
    made = catalogue.load()
    assert len({made.board_rule(region).id for region in made.regions}) >= 3
    assert all(rule.verified or "check" in rule.source or "confirm" in rule.source
               for rule in board_rules())  # fmt: skip


def test_each_region_has_a_nailing_rule_that_says_how_sure_it_is() -> None:
    made = catalogue.load()
    rules = {made.nailing_rule(region).id: made.nailing_rule(region) for region in made.regions}
    assert len(rules) >= 2
    assert all(rule.verified or "check" in rule.source or "not read" in rule.source
               for rule in rules.values())  # fmt: skip


def test_what_is_only_counted_stays_off_a_pocket() -> None:
    """Without a place nothing shows where a tip ends (geometry)."""
    row = Row(
        key="k", label="k", axis="+y", surface=0.0, places=(), through=(Sheet("board", 10.0),),
        into=Sheet("stud", 45.0), cavity=False, hold=Hold(20.0, "x"), kind="board-screw", counted=7,
    )  # fmt: skip
    assert choose(row, STOCK).count == 7
    with pytest.raises(FixingsInputError, match="over a pocket"):
        choose(replace(row, cavity=True), STOCK)
    with pytest.raises(FixingsInputError, match="at least one"):
        choose(replace(row, counted=0), STOCK)


lengths = st.floats(6, 60, allow_nan=False)


@given(lengths, lengths, st.booleans(), st.sampled_from(["+y", "-y"]), st.floats(60, 200))
def test_no_tip_comes_within_a_millimetre_of_the_cavity(
    board: float, rib: float, glued: bool, axis: str, wall: float
) -> None:
    surface = 0.0 if axis == "+y" else wall
    choice = choose(rib_row(board, rib, glued=glued, axis=axis, surface=surface), STOCK)
    for shot in shots(choice):
        depth = abs(shot.tip[1] - surface)
        assert depth <= board + rib - 1 + 1e-9
        assert depth - board >= 10 - 1e-9


def base_row(**changes: object) -> Row:
    given_ = {
        "key": "base",
        "label": "base feet to the floor",
        "axis": "-z",
        "surface": 10.0,
        "places": tuple((float(x), 45.0) for x in (0, 800, 1600, 2400)),
        "through": (Sheet("base foot", 3.0),),
        "into": Sheet("floor", 35.0, there=True),
        "cavity": False,
        "hold": Hold(25.0, "common practice, no source"),
        "kind": "base-screw",
    }
    return Row(**(given_ | changes))  # type: ignore[arg-type]


def test_a_layer_that_varies_bounds_the_length_at_both_ends() -> None:
    # By hand: foot 3, packers 0 to 9, 25 to hold, 35 of floor: 3 + 9 + 25 = 37 in the highest
    # stack, and 3 + 0 + 35 = 38 where there is none. No base screw is sold from 37 to 38.
    row = base_row(through=(Sheet("base foot", 3.0), Sheet("packers", 9.0, 0.0)))
    assert window(row, glued=False) == (37.0, 38.0)
    result = fixings([row], STOCK)
    assert result.choices[0].fastener is None
    # 40 holds up to packers of 40 - 25 - 3 = 12 and stays in the floor from 40 - 35 - 3 = 2 on.
    assert any("keep packers from" in offer for offer in result.choices[0].offers)
    assert not any("use floor of" in offer for offer in result.choices[0].offers)
    figures = {figure.key: str(figure.rule) for figure in result.figures}
    assert figures["fixings.base.longest"] == "base foot 3 + packers 0 + floor 35"
    assert figures["fixings.base.shortest"] == "base foot 3 + packers 9 + hold 25"


def test_where_no_one_screw_does_each_depth_gets_its_own() -> None:
    # By hand: 32 does from 32 - 38 (none) to 32 - 28 = 4; 40 from 2 to 12.
    low, high = rows_by_depth(base_row(), "packers", (0.0, 3.0, 6.0, 9.0), STOCK)
    assert (low.places, high.places) == (base_row().places[:2], base_row().places[2:])
    chosen = [choose(row, STOCK).fastener for row in (low, high)]
    assert [f and f.length for f in chosen] == [32.0, 40.0]


@given(
    depths=st.lists(st.floats(0, 40), min_size=1, max_size=7),
    floor=st.sampled_from([28.0, 35.0, 60.0]),
)
def test_the_rows_are_the_fewest_and_every_place_is_right(
    depths: list[float], floor: float
) -> None:
    # Arithmetic at each place by itself, and every way to part the places tried one by one.
    places = tuple((float(i), 0.0) for i in range(len(depths)))
    row = base_row(places=places, into=Sheet("floor", floor, there=True))
    lengths = [f.length for f in STOCK if f.kind == "base-screw" and f.into == "timber"]
    depth_at = dict(zip(places, depths, strict=True))

    def does(some: list[float]) -> bool:
        return any(
            all(3 + depth + 25 <= length + 1e-9 and length <= 3 + depth + floor + 1e-9
                for depth in some)
            for length in lengths
        )  # fmt: skip

    rows = rows_by_depth(row, "packers", depths, STOCK)
    assert sorted(place for one in rows for place in one.places) == sorted(places)
    for one in rows:
        here = [depth_at[place] for place in one.places]
        fastener = choose(one, STOCK).fastener
        assert (fastener is not None) == does(here)
        if fastener is None:
            assert not any(does([depth]) for depth in here)
        else:
            assert all(28 + d - 1e-6 <= fastener.length <= 3 + d + floor + 1e-6 for d in here)
    ordered = sorted(depth for depth in depths if does([depth]))
    least = [0] + [99] * len(ordered)
    for end in range(1, len(ordered) + 1):
        for start in range(end):
            if does(ordered[start:end]):
                least[end] = min(least[end], least[start] + 1)
    assert sum(choose(one, STOCK).fastener is not None for one in rows) <= max(least[-1], 0) + (
        len(ordered) < len(depths)
    )


def test_a_least_thickness_over_the_most_is_refused() -> None:
    with pytest.raises(FixingsInputError, match=r"least thickness of packers = 9\.5"):
        choose(base_row(through=(Sheet("packers", 9.0, 9.5),)), STOCK)
