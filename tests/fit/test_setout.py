"""The chosen option in full: marks agree whichever way they are summed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.catalogue.access import access_rule_sets
from truehang.catalogue.kits import kits
from truehang.catalogue.leaves import leaves
from truehang.findings import Severity
from truehang.fit import (
    Arrangement,
    FitRequest,
    Floor,
    NotFitted,
    Option,
    PackerSet,
    Span,
    Wishes,
    arrange,
    options,
)
from truehang.lengths import said

ADA = next(rules for rules in access_rule_sets() if rules.id == "us-2010").limits()


def _first(request: FitRequest, key: str = "") -> tuple[Option, Arrangement]:
    found = options(request, kits(), leaves()).options
    option = next(one for one in found if one.key.startswith(key))
    return option, arrange(request, option, kits(), leaves())


def test_a_pair_by_hand(fill) -> None:  # type: ignore[no-untyped-def]
    # Timber kit, pair, C 1600: w 823, P 838, F 3346, rough 3366. Opening 3460: frame centred at
    # 1730, so it runs from 57 to 3403; back stud to 92, mouths 930 and 2530, centre 1730.
    _, made = _first(fill(), "pair/timber-90/solid-35")
    at = {mark.key: mark.at for mark in made.rod.marks}
    assert at["rough-left"] == 47
    assert at["frame-left"] == 57
    assert at["left-back"] == 92
    assert at["left-mouth"] == 930
    assert at["centre"] == 1730
    assert at["right-mouth"] == 2530
    assert at["right-back"] == 3368
    assert at["frame-right"] == 3403
    assert at["rough-right"] == 3413
    # Left leaf closed 930 - 25 = 905 to 1728, open 107 to 930; meeting gap 1728 to 1732.
    assert (at["left-leaf-closed-left"], at["left-leaf-closed-right"]) == (905, 1728)
    assert (at["left-leaf-open-left"], at["left-leaf-open-right"]) == (107, 930)
    assert (at["right-leaf-closed-left"], at["right-leaf-open-right"]) == (1732, 3353)
    # Hangers 90 in from each edge.
    assert (at["left-leaf-closed-hanger-1"], at["left-leaf-closed-hanger-2"]) == (995, 1638)
    assert made.infill == (Span(0, 47), Span(3413, 3460))
    # Floor: -3 x/1200 to 1200, so -0.1425 at 57; line there. Gap shared: fall under the frame is
    # from -0.1425 to -8 + 57 x 2.5/1060 = -7.8656, 7.7231; least 10 - 3.8615 = 6.1385, in
    # whole mm off the design gap: 6, so -0.1425 + 6 = 5.8575.
    assert made.heights.level_line == pytest.approx(-0.1425)
    assert made.heights.leaf_bottom == pytest.approx(5.8575)
    # Leaf: 2520 - 10 - 45 - 58 - 5.8575 = 2401.14: 2401 to order.
    assert made.leaf_order_size == (823, 2401, 35)
    assert at["rough-head"] == pytest.approx(2519.8575)


def test_a_single_right_is_a_single_left_seen_from_behind(new) -> None:  # type: ignore[no-untyped-def]
    request = new(wishes=Wishes(clear_width=820.0, kit="timber-90", leaf="solid-35"))
    _, left = _first(request, "single-left")
    _, right = _first(request, "single-right")
    turned = request.space.low + request.space.high
    one = {mark.key: mark.at for mark in left.rod.along}
    two = {mark.key: mark.at for mark in right.rod.along}
    assert two["frame-left"] == pytest.approx(turned - one["frame-right"])
    assert two["right-mouth"] == pytest.approx(turned - one["left-mouth"])
    assert two["jamb"] == pytest.approx(turned - one["jamb"])
    assert two["jamb-groove"] == pytest.approx(turned - one["jamb-groove"])
    assert two["leaf-closed-left"] == pytest.approx(turned - one["leaf-closed-right"])
    assert two["leaf-open-right"] == pytest.approx(turned - one["leaf-open-left"])


@settings(max_examples=40, deadline=None)
@given(
    st.integers(2600, 4600),
    st.floats(0, 900),
    st.lists(st.floats(-9, 0), min_size=2, max_size=6),
    st.sampled_from(["fill", "new"]),
    st.floats(0, 12),
    st.booleans(),
)
def test_marks_agree_whichever_way_they_are_summed(  # type: ignore[no-untyped-def]
    fill, run, start, floor, situation, build_up, ada
) -> None:
    stations = tuple(start + run * at / (len(floor) - 1) for at in range(len(floor)))
    request = fill(
        situation=situation,
        space=Span(start, start + run),
        floor=Floor(stations, tuple(floor), build_up),
        wishes=Wishes(),
        access=ADA if ada else None,
    )
    for option in options(request, kits(), leaves()).options[::7]:
        made = arrange(request, option, kits(), leaves())
        at = {mark.key: mark.at for mark in made.rod.marks}
        sides = [pocket.side for pocket in made.pockets]
        stud = {p.side: p.back_stud.length for p in made.pockets}
        length = {p.side: p.inside.length for p in made.pockets}
        # From the left end rightwards.
        x = at["frame-left"]
        x += stud["left"] + length["left"] if "left" in sides else made.closing_jamb.length
        assert x == pytest.approx(made.opening.low)
        x += made.opening.length
        assert x == pytest.approx(made.opening.high)
        x += stud["right"] + length["right"] if "right" in sides else made.closing_jamb.length
        assert x == pytest.approx(at["frame-right"])
        # From the right end of the rough opening leftwards.
        assert at["rough-right"] - option.rough_width == pytest.approx(at["rough-left"])
        assert at["frame-right"] - option.frame_width == pytest.approx(at["frame-left"])
        assert at["centre"] == pytest.approx((made.opening.low + made.opening.high) / 2)
        for leaf in made.leaves:
            key = leaf.name.replace(" ", "-")
            moved = abs(at[f"{key}-open-left"] - at[f"{key}-closed-left"])
            assert moved == pytest.approx(leaf.travel)
            assert abs(at[f"{key}-open-right"] - at[f"{key}-closed-right"]) == pytest.approx(moved)
            assert at[f"{key}-closed-right"] - at[f"{key}-closed-left"] == pytest.approx(leaf.width)
        # Up: from the level line to the rough head, and down from the head limit.
        high = made.heights
        assert high.frame_bottom + option.frame_height == pytest.approx(high.head_top)
        assert high.leaf_top - high.leaf_bottom == pytest.approx(option.leaf_height)
        assert high.rough_head <= request.head_limit + 1e-9
        assert high.clear_head - high.floor_high == pytest.approx(option.clear_height)
        deepest = max(pack.height for pack in made.packs)
        its = next(kit for kit in kits() if kit.id == option.kit_id)
        assert option.rough_height == pytest.approx(
            deepest + option.frame_height + its.head_clearance
        )
        assert [mark.at for mark in made.rod.along] == sorted(mark.at for mark in made.rod.along)
        keys = [mark.key for mark in made.rod.marks]
        assert len(keys) == len(set(keys))
        # Gaps.
        for gap in made.floor_gaps:
            assert 5.0 - 1e-9 <= gap.least <= gap.most
        figures = [figure.key for figure in made.figures]
        assert len(figures) == len(set(figures))


def test_every_figures_inputs_are_known_or_given(fill) -> None:  # type: ignore[no-untyped-def]
    _, made = _first(fill())
    keys = {figure.key for figure in made.figures}
    for figure in made.figures:
        for source in figure.inputs:
            assert source in keys or source.startswith(("job:", "catalogue:", "measure."))


def test_every_mark_has_a_figure_with_its_value(fill) -> None:  # type: ignore[no-untyped-def]
    _, made = _first(fill())
    figures = {figure.key: figure.value for figure in made.figures}
    for mark in made.rod.marks:
        assert figures[f"fit.mark.{mark.key}"] == mark.at


def test_clash_holds_until_it_is_moved(fill) -> None:  # type: ignore[no-untyped-def]
    _, made = _first(fill())
    held = [one for one in made.findings if one.severity is Severity.HOLD]
    assert {one.where for one in held} == {"services.double outlet", "services.light switch"}
    assert all("electrician" in one.mend for one in held)


def test_a_stack_that_cannot_be_made_is_told(fill) -> None:  # type: ignore[no-untyped-def]
    _, made = _first(fill(packers=PackerSet((10.0,), 1, 10.0)))
    told = [one for one in made.findings if "tapered plate" in one.mend]
    assert told
    assert any(pack.pieces is None for pack in made.packs)


def test_wished_centre_out_of_reach_is_told(new) -> None:  # type: ignore[no-untyped-def]
    request = new(wishes=Wishes(clear_width=820.0, centre=400.0, arrangements=("single-left",)))
    _, made = _first(request)
    assert any(one.where == "wishes.centre" for one in made.findings)


def test_a_narrow_clear_width_stops_an_accessible_job(new) -> None:  # type: ignore[no-untyped-def]
    request = new(access=ADA, wishes=Wishes(clear_width=700.0, arrangements=("single-left",)))
    found = options(request, kits(), leaves()).options
    narrow = next(option for option in found if option.passage < 815)
    stops = [
        one
        for one in arrange(request, narrow, kits(), leaves()).findings
        if one.severity is Severity.STOP
    ]
    assert [one.where for one in stops] == ["accessibility.clear-width"]


def test_fixed_frame_with_thick_new_flooring_is_told(new) -> None:  # type: ignore[no-untyped-def]
    request = new(
        floor=Floor(build_up=14.0),
        wishes=Wishes(clear_width=820.0, kit="steel-90", leaf="solid-35"),
    )
    _, made = _first(request)
    assert any(f"sole {said(14)} thick" in one.mend for one in made.findings)


def test_an_option_of_another_catalogue_is_refused(fill) -> None:  # type: ignore[no-untyped-def]
    request = fill()
    option, _ = _first(request)
    with pytest.raises(NotFitted, match="not in the catalogue"):
        arrange(request, replace(option, kit_id="gone"), kits(), leaves())
    smaller = replace(request, space=Span(0, 2000))
    with pytest.raises(NotFitted, match="short"):
        arrange(smaller, option, kits(), leaves())


def test_a_pull_wished_off_the_leaf_is_set_on_it_and_said(fill) -> None:  # type: ignore[no-untyped-def]
    # Common practice, no source: half a pull of 100 stays on the leaf.
    wishes = Wishes(clear_width=1600.0, arrangements=("pair",), handle_height=3000.0)
    _, made = _first(fill(wishes=wishes))
    over_floor = made.heights.handle - made.heights.floor_high
    assert over_floor == made.leaves[0].height - 50.0
    told = [finding for finding in made.findings if finding.where == "wishes.handle_height"]
    assert said(3000.0, 1) in told[0].what
    assert said(over_floor, 1) in told[0].what


def test_nothing_of_the_frame_stands_inside_a_hump(fill) -> None:  # type: ignore[no-untyped-def]
    # By hand: flat but for 6 half way between the frame's left end and its mouth.
    key = "pair/timber-90/solid-35"
    _, flat = _first(fill(floor=Floor()), key)
    middle = (flat.frame.low + flat.mouths[0]) / 2
    bump = Floor((middle - 40, middle, middle + 40), (0.0, 6.0, 0.0))
    _, made = _first(fill(floor=bump), key)
    assert made.heights.level_line == pytest.approx(6.0)
    assert {pack.pieces for pack in made.packs} == {(6.0,)}
    (told,) = [one for one in made.findings if "rises" in one.what]
    assert said(6.0, 1) in told.what
    assert not [one for one in flat.findings if "rises" in one.what]


def test_each_support_stud_and_jamb_knows_the_floor_under_it(fill) -> None:  # type: ignore[no-untyped-def]
    # By hand, on the pair of the first test. Floor -3x/1200 to 1200, then -3 - 2.5(x - 1200)/1200
    # to 2400: at the left mouth, x 930, it is -2.325; line -0.1425, so 2.1825 over the floor.
    # At the left back stud, 57 to 92, middle 74.5: -0.18625, so 0.04375. 11 to come buries it.
    _, made = _first(fill(floor=replace(fill().floor, build_up=11.0)), "pair/timber-90/solid-35")
    here = {place.key: place for place in made.floor_here}
    mouth, stud = here["mouth-left"], here["left-back-stud"]
    assert (mouth.x, stud.x) == (930, 74.5)
    assert mouth.from_floor == pytest.approx(2.1825)
    assert mouth.from_floor_down == pytest.approx(2.1825 - 11)
    assert stud.from_floor == pytest.approx(0.04375)
    assert mouth.over(made.heights.leaf_bottom) == pytest.approx(made.heights.leaf_bottom + 2.325)
    assert {pack.key for pack in made.packs} <= set(here)
    for pack in made.packs:
        assert here[pack.key].from_floor == pytest.approx(pack.height)
    assert {"stud-left", "stud-right", "right-back-stud"} <= set(here)
    figures = {figure.key: figure.value for figure in made.figures}
    assert figures["fit.floor_here.mouth-left"] == pytest.approx(2.1825)


def test_a_closing_jamb_knows_the_floor_under_it(new) -> None:  # type: ignore[no-untyped-def]
    sloping = Floor((0.0, 4000.0), (0.0, -8.0))  # 2 to the metre
    _, made = _first(new(floor=sloping), "single-left")
    here = {place.key: place for place in made.floor_here}
    jamb = made.closing_jamb
    assert jamb is not None
    assert here["closing-jamb"].x == jamb.middle
    assert here["closing-jamb"].from_floor == pytest.approx(
        made.heights.level_line + jamb.middle / 500
    )
