"""Source: GEOS, through Shapely (an independent geometry library), in plan (x along, y through).

The frame is drawn as solid polygons from the kit's own dimensions; a leaf moved to any place of
its travel must not overlap a stud, rib, jamb, lining or the other leaf. The same test pushes the
leaf past its ends and makes it too thick, and must then find an overlap, so it can fail.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box, unary_union

from truehang.catalogue.access import access_rule_sets
from truehang.catalogue.kits import Kit, kits
from truehang.catalogue.leaves import leaves
from truehang.fit import Arrangement, FitRequest, Leaf, Span, WallMakeup, Wishes, arrange, options

KITS = {kit.id: kit for kit in kits()}
ADA = next(rules for rules in access_rule_sets() if rules.id == "us-2010").limits()


def _solids(made: Arrangement) -> list[Polygon]:
    """Everything that stands still, in plan."""
    wall = made.wall
    inner = Span(wall.lining_a, wall.lining_a + wall.stud)
    solid = []
    for pocket in made.pockets:
        solid.append(box(pocket.back_stud.low, inner.low, pocket.back_stud.high, inner.high))
        for centre in pocket.rib_centres:
            left, right = centre - pocket.rib_width / 2, centre + pocket.rib_width / 2
            solid.append(box(left, inner.low, right, inner.low + pocket.rib_thickness))
            solid.append(box(left, inner.high - pocket.rib_thickness, right, inner.high))
        low, high = pocket.inside.low, pocket.inside.high
        solid.append(box(low, 0, high, wall.lining_a))
        solid.append(box(low, inner.high, high, wall.thickness))
    if made.closing_jamb is not None:
        jamb = made.closing_jamb
        body = box(jamb.low, inner.low, jamb.high, inner.high)
        # The groove leaves the leaf the air it has in the pocket.
        rib = made.pockets[0].rib_thickness
        right = made.pockets[0].side == "left"
        x0 = jamb.low if right else jamb.high - made.jamb_groove
        groove = box(x0, inner.low + rib, x0 + made.jamb_groove, inner.high - rib)
        solid.append(body.difference(groove))
    # What is beside the frame: the wall or infill it is packed from.
    solid.append(box(made.frame.low - 500, 0, made.frame.low, wall.thickness))
    solid.append(box(made.frame.high, 0, made.frame.high + 500, wall.thickness))
    return solid


def _leaf_at(leaf: Leaf, made: Arrangement, part: float, thicker: float = 0.0) -> Polygon:
    """The leaf at `part` of its travel: 0 closed, 1 open."""
    layer = next(one for one in made.pocket_section if one.key == "leaf")
    left = leaf.closed.low + (leaf.open.low - leaf.closed.low) * part
    return box(left, layer.y0 - thicker / 2, left + leaf.width, layer.y1 + thicker / 2)


def _request(situation: str, run: float, stud: float, ada: bool, wishes: Wishes) -> FitRequest:
    return FitRequest(
        "fill" if situation == "fill" else "new",
        Span(250.0, 250.0 + run),
        2500.0,
        WallMakeup(stud, 10.0, 13.0),
        wishes=wishes,
        access=ADA if ada else None,
    )


def _some(request: FitRequest, every: int, catalogue: tuple[Kit, ...]) -> list[Arrangement]:
    found = options(request, catalogue, leaves()).options
    return [arrange(request, option, catalogue, leaves()) for option in found[::every]]


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(["fill", "new"]),
    st.integers(2200, 5200),
    st.sampled_from([70.0, 90.0, 120.0, 140.0]),
    st.booleans(),
    st.lists(st.floats(0, 1), min_size=3, max_size=5),
    st.lists(st.floats(0, 1), min_size=3, max_size=5),
)
def test_no_overlap_anywhere_in_the_travel(
    situation: str,
    run: int,
    stud: float,
    ada: bool,
    one: list[float],
    two: list[float],
) -> None:
    request = _request(situation, float(run), stud, ada, Wishes())
    for made in _some(request, 9, kits()):
        still = unary_union(_solids(made))
        for first in (0.0, *one, 1.0):
            shapes = [_leaf_at(made.leaves[0], made, first)]
            assert shapes[0].intersection(still).area < 1e-6, made.option.key
            if len(made.leaves) == 1:
                continue
            for second in (0.0, *two, 1.0):
                other = _leaf_at(made.leaves[1], made, second)
                assert other.intersection(still).area < 1e-6, made.option.key
                assert other.intersection(shapes[0]).area < 1e-6, made.option.key


@settings(max_examples=30, deadline=None)
@given(
    st.floats(5, 60),
    st.floats(0, 30),
    st.floats(0, 150),
    st.floats(2, 40),
    st.floats(1, 12),
    st.floats(25, 60),
)
def test_no_overlap_for_any_kit(
    tail: float, lead: float, out: float, buffer: float, meet: float, stud: float
) -> None:
    # A kit of the user's own with any set-out values (invented).
    own = KITS["timber-90"].model_copy(
        update={
            "id": "own",
            "tail": tail,
            "lead": lead,
            "standing_out": out,
            "standing_out_most": max(out, 150.0),
            "buffer_space": buffer,
            "meeting_gap": meet,
            "back_stud": stud,
            "closing_jamb": max(stud, lead + 5),
        }
    )
    for made in _some(_request("new", 4200.0, 90.0, False, Wishes()), 5, (own,)):
        still = unary_union(_solids(made))
        for part in (0.0, 0.2, 0.5, 0.9, 1.0):
            for leaf in made.leaves:
                assert _leaf_at(leaf, made, part).intersection(still).area < 1e-6
        if len(made.leaves) == 2:
            left, right = (_leaf_at(leaf, made, 0.0) for leaf in made.leaves)
            assert left.distance(right) == pytest.approx(meet, abs=1e-6)


@pytest.mark.parametrize("arrangement", ["single-left", "single-right", "pair"])
@pytest.mark.parametrize("kit", ["timber-90", "heavy", "steel-90", "site-built"])
def test_measured_in_the_drawing(arrangement: str, kit: str) -> None:
    """Kit values measured off the polygons: tail, buffer space, lead, meeting gap, passage."""
    wishes = Wishes(arrangements=(arrangement,), kit=kit)  # type: ignore[arg-type]
    request = _request("new", 4200.0, 90.0, False, wishes)
    its = KITS[kit]
    for made in _some(request, 3, kits()):
        still = unary_union(_solids(made))
        inside = {
            pocket.side: box(pocket.inside.low, -50, pocket.inside.high, 250)
            for pocket in made.pockets
        }
        for leaf in made.leaves:
            closed, opened = _leaf_at(leaf, made, 0.0), _leaf_at(leaf, made, 1.0)
            pocket = next(one for one in made.pockets if one.side == leaf.pocket)
            tail = closed.intersection(inside[leaf.pocket]).area / leaf.thickness
            assert tail == pytest.approx(its.tail, abs=1e-6)
            stud = box(pocket.back_stud.low, 0, pocket.back_stud.high, made.wall.thickness)
            assert opened.distance(stud) == pytest.approx(its.buffer_space, abs=1e-6)
            standing = opened.difference(inside[leaf.pocket]).area / leaf.thickness
            assert standing == pytest.approx(its.standing_out, abs=1e-6)
        # What is left of the clear opening with every leaf open is the passage.
        opening = box(made.opening.low, 0, made.opening.high, made.wall.thickness)
        leaves_open = unary_union([_leaf_at(leaf, made, 1.0) for leaf in made.leaves])
        low, _, high, _ = opening.bounds
        blocked = leaves_open.intersection(opening)
        taken = sum(
            part.bounds[2] - part.bounds[0]
            for part in getattr(blocked, "geoms", [blocked])
            if not part.is_empty
        )
        assert high - low - taken == pytest.approx(made.option.passage, abs=1e-6)
        assert still.bounds[2] - still.bounds[0] == pytest.approx(made.option.frame_width + 1000)
        # And with every leaf closed nothing but the meeting gap is open.
        shut = unary_union([_leaf_at(leaf, made, 0.0) for leaf in made.leaves])
        left = made.opening.length - shut.intersection(opening).area / made.leaves[0].thickness
        assert left == pytest.approx(its.meeting_gap if arrangement == "pair" else 0.0, abs=1e-6)


@pytest.mark.parametrize("arrangement", ["single-left", "single-right", "pair"])
def test_the_test_finds_an_overlap_where_there_is_one(arrangement: str) -> None:
    wishes = Wishes(arrangements=(arrangement,), kit="timber-90")  # type: ignore[arg-type]
    (made, *_) = _some(_request("new", 4200.0, 90.0, False, wishes), 1, kits())
    still = unary_union(_solids(made))
    its = KITS["timber-90"]
    leaf = made.leaves[0]
    beyond = 1 + (its.buffer_space + 1) / leaf.travel
    assert _leaf_at(leaf, made, beyond).intersection(still).area > 1
    thick = 2 * next(layer.y1 - layer.y0 for layer in made.pocket_section if layer.key == "air-a")
    assert _leaf_at(leaf, made, 1.0, thicker=thick + 1).intersection(still).area > 1
    assert _leaf_at(leaf, made, 1.0, thicker=thick - 1e-6).intersection(still).area < 1e-6
    past = _leaf_at(leaf, made, -(its.meeting_gap + 1) / leaf.travel)
    if arrangement == "pair":
        assert past.intersection(_leaf_at(made.leaves[1], made, 0.0)).area > 1
    else:
        assert past.intersection(still).area > 1
