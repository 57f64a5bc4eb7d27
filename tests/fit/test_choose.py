"""Options: what is offered, what is refused and why, and that the refusals' mends work."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.catalogue.access import access_rule_sets
from truehang.catalogue.kits import Kit, kits
from truehang.catalogue.leaves import leaves
from truehang.findings import Change, Severity
from truehang.fit import Service, Span, WallMakeup, Wishes, nearest, options
from truehang.lengths import said
from truehang.words import word

ADA = next(rules for rules in access_rule_sets() if rules.id == "us-2010").limits()


def test_every_option_keeps_every_limit(fill, new, kit, leaf) -> None:  # type: ignore[no-untyped-def]
    for request in (fill(), fill(wishes=Wishes()), new(), new(wishes=Wishes(clear_height=2100.0))):
        found = options(request, kits(), leaves())
        assert found.options
        for option in found.options:
            its, one = kit(option.kit_id), leaf(option.leaf_id)
            assert option.rough_width <= request.space.length + 1e-9
            left, clear = option.frame_left, its.side_clearance
            assert left - clear >= request.space.low - 1e-9
            assert left + option.frame_width + clear <= request.space.high + 1e-9
            assert option.leaf_mass <= its.leaf_mass_most
            assert its.leaf_thickness.holds(option.leaf_thickness)
            assert its.leaf_width.holds(option.leaf_width)
            assert its.leaf_height.holds(option.leaf_height)
            assert one.width.holds(option.leaf_width)
            assert option.leaf_width == int(option.leaf_width)
            assert option.leaf_height == int(option.leaf_height)
            if request.wishes.clear_width is not None:
                assert option.passage >= request.wishes.clear_width - 1e-9
            if request.wishes.clear_height is not None:
                assert option.clear_height >= request.wishes.clear_height - 1e-9


def test_ranks_are_a_count_and_something_is_unbeaten(fill) -> None:  # type: ignore[no-untyped-def]
    found = options(fill(wishes=Wishes()), kits(), leaves()).options
    assert [option.rank for option in found] == list(range(1, len(found) + 1))
    assert any(option.unbeaten for option in found)
    assert options(fill(wishes=Wishes()), kits(), leaves()).options == found


def test_the_order_of_the_catalogue_does_not_matter(fill) -> None:  # type: ignore[no-untyped-def]
    forward = options(fill(), kits(), leaves()).options
    back = options(fill(), kits()[::-1], leaves()[::-1]).options
    assert forward == back


def test_price_by_hand(new, kit, leaf) -> None:  # type: ignore[no-untyped-def]
    # Wish 820: leaf 857, made to size. Solid 40, 857 x 2040: 1.74828 m2 at 215.00 = 375.88, under
    # the least charge of 380.00. Timber kit 485.00 + 90.00 off standard + 380.00 = 955.00.
    request = new(wishes=Wishes(clear_width=820.0, arrangements=("single-left",)))
    (found,) = options(request, [kit("timber-90")], [leaf("solid-40")]).options
    assert not found.leaf_stock
    assert found.price_minor == 95500
    assert found.lead_time_days == 15
    assert found.leaf_mass == pytest.approx(1.74828 * 27)


def test_a_shelf_size_is_offered_beside_made_to_size(new, kit, leaf) -> None:  # type: ignore[no-untyped-def]
    # Wish 820 asks 857; the shelf has 870 (224.00): passage 833, no extra for the standard kit.
    request = new(wishes=Wishes(clear_width=820.0, arrangements=("single-left",)))
    found = options(request, [kit("timber-90")], [leaf("solid-35")]).options
    shelf = next(option for option in found if option.leaf_stock)
    assert shelf.key == "single-left/timber-90/solid-35/stock"
    assert (shelf.leaf_width, shelf.passage, shelf.price_minor) == (870, 833, 48500 + 22400)
    assert {option.leaf_width for option in found} == {857, 870}


def test_clear_width_too_wide_says_how_short_and_the_mend_works(fill, kit, leaf) -> None:  # type: ignore[no-untyped-def]
    # By hand, timber kit, pair: F = 2C + 146, rough F + 20. C 1660 asks 3486; 3460 is there: 26.
    # Largest: 2C + 166 <= 3460 -> 1647; whole leaf (C - 4)/2 -> 1646.
    request = fill(wishes=Wishes(clear_width=1660.0, arrangements=("pair",), kit="timber-90"))
    found = options(request, kits(), [leaf("solid-35")])
    assert found.options == ()
    near = nearest(found.refusals)
    assert near is not None
    assert (near.binding, near.short_by, near.unit) == ("opening width", 26, "mm")
    assert near.largest_passage == 1646
    stop = found.findings[-1]
    assert stop.severity is Severity.STOP
    assert str(stop.mend).startswith(f"reduce the clear width to {said(1646)}")
    assert stop.changes == (Change("wishes.clear_width", 1646.0),)
    mended = replace(request, wishes=replace(request.wishes, clear_width=1646.0))
    assert options(mended, kits(), [leaf("solid-35")]).options
    over = replace(request, wishes=replace(request.wishes, clear_width=1647.0))
    assert not options(over, kits(), [leaf("solid-35")]).options


def test_another_kit_is_named_when_it_would_fit(fill) -> None:  # type: ignore[no-untyped-def]
    request = fill(wishes=Wishes(clear_width=1640.0, kit="steel-90", arrangements=("pair",)))
    stop = options(request, kits(), leaves()).findings[-1]
    assert "kit timber-90" in stop.mend


@settings(max_examples=40, deadline=None)
@given(st.integers(1500, 5000), st.integers(600, 2600), st.sampled_from(["fill", "new"]))
def test_the_largest_passage_is_the_largest(fill, run: int, wish: int, situation: str) -> None:  # type: ignore[no-untyped-def]
    request = fill(
        situation=situation, space=Span(0.0, float(run)), wishes=Wishes(clear_width=float(wish))
    )
    light = [leaf for leaf in leaves() if leaf.id == "solid-35"]
    for refusal in options(request, kits(), light).refusals:
        if refusal.step not in (4, 5) or refusal.largest_passage is None:
            continue
        only = Wishes(
            clear_width=refusal.largest_passage,
            kit=refusal.kit_id,
            arrangements=(refusal.arrangement,),
        )
        again = options(replace(request, wishes=only), kits(), light)
        widths = [one.binding for one in again.refusals]
        assert "opening width" not in widths
        assert "run length" not in widths
        more = replace(only, clear_width=refusal.largest_passage + 2)
        for option in options(replace(request, wishes=more), kits(), light).options:
            raise AssertionError(f"{option.key} gives more than the refusal said")


def test_head_too_low(new, kit, leaf) -> None:  # type: ignore[no-untyped-def]
    # Leaf 2018 + 12 - 10 = 2020; 10 + 2020 + 58 + 45 + 10 = 2143: 43 over 2100.
    request = new(head_limit=2100.0, wishes=Wishes(clear_width=820.0, clear_height=2018.0))
    found = options(request, [kit("timber-90")], [leaf("solid-35")])
    near = nearest(found.refusals)
    assert near is not None
    assert (near.binding, near.short_by) == ("head height", 43)


def test_too_heavy_names_the_limit(fill, kit, leaf) -> None:  # type: ignore[no-untyped-def]
    request = fill(space=Span(0, 5200), wishes=Wishes(clear_width=2440.0, arrangements=("pair",)))
    found = options(request, [kit("timber-90")], [leaf("solid-40")])
    near = nearest(found.refusals)
    assert near is not None
    assert (near.binding, near.unit) == ("leaf mass", "kg")
    assert "80 kg" in near.what


def test_wrong_wall_and_thick_leaf_are_refused_by_name(new, kit, leaf) -> None:  # type: ignore[no-untyped-def]
    thin = new(wall=WallMakeup(70.0, 10.0, 10.0))
    found = options(thin, [kit("timber-90")], [leaf("solid-35")])
    assert {one.binding for one in found.refusals} == {"wall thickness"}
    glass = options(new(), [kit("timber-90")], [leaf("glass-10")])
    assert {one.binding for one in glass.refusals} == {"leaf thickness"}
    assert f"{said(33)} to {said(42)}" in glass.refusals[0].what


def test_unknown_kit_lists_the_known(new) -> None:  # type: ignore[no-untyped-def]
    found = options(new(wishes=Wishes(kit="timbre-90")), kits(), leaves())
    assert found.findings[0].severity is Severity.STOP
    assert "timber-90" in found.findings[0].mend


def test_new_opening_goes_where_no_service_is(new) -> None:  # type: ignore[no-untyped-def]
    # Run 300 to 4300; a pipe at 2300 (the middle) leaves 1960 clear on either side: enough for a
    # rough opening of 1782.
    pipe = Service("water pipe", "water pipe", 2300.0, 600.0, width=80.0)
    request = new(
        services=(pipe,),
        wishes=Wishes(clear_width=820.0, kit="timber-90", leaf="solid-35"),
    )
    for option in options(request, kits(), leaves()).options:
        if option.arrangement != "pair":
            assert option.clashes == ()


def test_wished_place_meets_the_service_and_says_who_moves_it(new) -> None:  # type: ignore[no-untyped-def]
    pipe = Service("water pipe", "water pipe", 2200.0, 600.0)
    request = new(services=(pipe,), wishes=Wishes(clear_width=820.0, centre=2700.0))
    found = options(request, kits(), leaves()).options
    left = next(option for option in found if option.arrangement == "single-left")
    assert [(clash.where, clash.trade) for clash in left.clashes] == [("left pocket", "plumber")]
    assert any(f"water pipe must move ({word('plumber')})" in words for words in left.loses)


def test_a_service_over_the_head_is_no_clash(new) -> None:  # type: ignore[no-untyped-def]
    high = Service("cable", "cable", 2300.0, 2350.0, height=40.0)
    found = options(new(services=(high,), wishes=Wishes(clear_width=820.0)), kits(), leaves())
    assert all(option.clashes == () for option in found.options if option.frame_height < 2250)


def test_the_pull_stays_out_where_the_rules_ask(new, kit) -> None:  # type: ignore[no-untyped-def]
    request = new(access=ADA, wishes=Wishes(clear_width=820.0, arrangements=("single-left",)))
    for option in options(request, kits(), leaves()).options:
        its: Kit = kit(option.kit_id)
        assert option.standing_out == min(95.0, its.standing_out_most)
        assert option.passage >= 820.0
        assert option.opening == option.passage + option.standing_out


def test_figures_have_one_key_each(fill) -> None:  # type: ignore[no-untyped-def]
    figures = options(fill(wishes=Wishes()), kits(), leaves()).figures
    keys = [figure.key for figure in figures]
    assert len(keys) == len(set(keys))
    assert all(key.startswith("fit.") for key in keys)


@pytest.mark.parametrize("bad", [Span(100.0, 100.0), Span(0.0, float("nan"))])
def test_bad_space_is_named(new, bad: Span) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match="space"):
        new(space=bad)


@pytest.mark.parametrize(
    ("x", "z", "runs", "met"),
    [
        (3800.0, 1100.0, "left", True),  # its cable crosses the opening
        (3800.0, 1100.0, "right", False),
        (2300.0, 2350.0, "down", True),  # over the head, but its cable drops through
        (2300.0, 2350.0, "up", False),
    ],
)
def test_cables_and_pipes_clash_too(
    new, kit, leaf, x: float, z: float, runs: str, met: bool
) -> None:  # type: ignore[no-untyped-def]
    # Wish 820 at 2300: the frame runs to 2300 + 410 + 35 = 2745 on the jamb side.
    service = Service("light switch", "switch", x, z, height=40.0, runs=runs)
    request = new(
        services=(service,),
        wishes=Wishes(clear_width=820.0, centre=2300.0, arrangements=("single-left",)),
    )
    (first, *_) = options(request, [kit("timber-90")], [leaf("solid-40")]).options
    assert bool(first.clashes) is met


def test_soft_close_is_priced_and_kept_inside_its_limits(new, kit, leaf) -> None:  # type: ignore[no-untyped-def]
    wishes = Wishes(clear_width=820.0, arrangements=("single-left",))
    timber, solid = [kit("timber-90")], [leaf("solid-40")]
    (plain,) = options(new(wishes=wishes), timber, solid).options
    closing = replace(wishes, soft_close=True)
    (soft,) = options(new(wishes=closing), timber, solid).options
    assert soft.price_minor - plain.price_minor == 7800
    none = options(new(wishes=closing), [kit("site-built")], solid)
    assert {one.binding for one in none.refusals} == {"soft close"}
    wide = options(new(wishes=replace(closing, clear_width=1150.0)), timber, solid)
    assert wide.refusals[0].binding == "soft close"
    assert "60 kg" in wide.refusals[0].what


def test_hours_count_in_the_rank(new, kit, leaf) -> None:  # type: ignore[no-untyped-def]
    # Site-built 5 h against 1.5 h for the kit; by hand, same leaf: the kit is dearer by the
    # difference of the frames, and 3.5 h at 200.00 is more than that.
    wishes = Wishes(clear_width=820.0, arrangements=("single-left",))
    two, solid = [kit("timber-90"), kit("site-built")], [leaf("solid-40")]
    free = options(new(wishes=wishes), two, solid).options
    paid = options(new(wishes=wishes, labour_minor_per_hour=20000), two, solid).options
    assert [option.kit_id for option in free] == ["site-built", "timber-90"]
    assert [option.kit_id for option in paid] == ["timber-90", "site-built"]
    assert {o.kit_id: o.built_minor - o.price_minor for o in paid} == {
        "timber-90": 30000,
        "site-built": 100000,
    }


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(["fill", "new", "divide"]),
    st.floats(1, 9000),
    st.floats(-50, 6000),
    st.tuples(st.floats(20, 400), st.floats(0, 60), st.floats(0, 60)),
    st.one_of(st.none(), st.floats(-100, 6000)),
    st.one_of(st.none(), st.floats(-100, 6000)),
    st.one_of(st.none(), st.floats(-9000, 9000)),
    st.booleans(),
)
def test_any_request_is_answered(  # type: ignore[no-untyped-def]
    fill, situation, run, head, wall, width, height, centre, ada
) -> None:
    request = fill(
        situation=situation,
        space=Span(0.0, run),
        head_limit=head,
        wall=WallMakeup(*wall),
        wishes=Wishes(clear_width=width, clear_height=height, centre=centre),
        access=ADA if ada else None,
    )
    found = options(request, kits(), leaves())
    assert found.options or any(one.severity is Severity.STOP for one in found.findings)
    for option in found.options:
        assert option.passage > 0
        assert option.leaf_height > 0


def test_the_clear_opening_lies_in_the_wished_place(new, kit, leaf) -> None:  # type: ignore[no-untyped-def]
    # Place 2900 to 3900: a pipe at 2650 is met with the opening in its middle, where the frame
    # begins at 2990 - 872 - 35 = 2083; no place inside the limits misses it: the nearest to the
    # middle stands. A pipe at 2050 can be missed and is.
    wishes = Wishes(clear_width=820.0, place=Span(2900, 3900), arrangements=("single-left",))
    timber, solid = [kit("timber-90")], [leaf("solid-40")]
    for x, met in ((2650.0, 1), (2050.0, 0)):
        pipe = Service("pipe", "water", x, 500.0, width=80.0)
        (first,) = options(new(services=(pipe,), wishes=wishes), timber, solid).options
        opening = first.frame_left + 35 + 872
        assert 2900 <= opening <= 3900 - 820
        assert len(first.clashes) == met
