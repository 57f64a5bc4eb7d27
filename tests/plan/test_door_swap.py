"""A hinged door comes out and a pocket door goes in beside its opening.

Source of the set-outs: worked by hand from the kit's sheet (common practice, no source) with
w = C + a + b, P = w - r + g, F = s + P + C + j and 10 beside the frame; the kit has a 12, b 25,
r 0, g 15, s 35, j 35.
"""

from __future__ import annotations

import pytest
from tests.swaps import HOLE, RUN, at, planned, values

from truehang.findings import Severity
from truehang.fit import Arrangement
from truehang.plan import Plan
from truehang.shapes import Span

# Studs at 2200 and 3068; linings of 20 with 10 behind them leave 808 to walk through. With C = 808
# the leaf is 845, the pocket 860, the frame 1738. The closing jamb stands 10 off the right stud.
KEPT = {
    "rough": (1310.0, 3068.0), "frame": (1320.0, 3058.0), "jamb": (3023.0, 3058.0),
    "opening": (2215.0, 3023.0), "pocket": (1355.0, 2215.0), "back": (1320.0, 1355.0),
}  # fmt: skip


def spans(made: Plan) -> dict[str, tuple[float, float]]:
    fit = made.arrangement
    assert fit is not None
    assert fit.closing_jamb is not None
    (pocket,) = fit.pockets
    named = {
        "rough": fit.rough, "frame": fit.frame, "jamb": fit.closing_jamb, "opening": fit.opening,
        "pocket": pocket.inside, "back": pocket.back_stud,
    }  # fmt: skip
    return {name: (span.low, span.high) for name, span in named.items()}


def assert_spans(made: Plan, by_hand: dict[str, tuple[float, float]]) -> None:
    found = spans(made)
    assert found.keys() == by_hand.keys()
    for name, span in by_hand.items():
        assert found[name] == pytest.approx(span, abs=0.3), name


def mirrored(given: dict[str, tuple[float, float]]) -> dict[str, tuple[float, float]]:
    return {name: (RUN - high, RUN - low) for name, (low, high) in given.items()}


def fitted(made: Plan) -> Arrangement:
    assert made.arrangement is not None
    return made.arrangement


@pytest.fixture(scope="module")
def kept() -> Plan:
    return planned(values())


@pytest.fixture(scope="module")
def kept_mirrored() -> Plan:
    return planned(values(mirrored=True))


def test_the_old_clear_opening_is_kept_with_the_pocket_on_the_left(kept: Plan) -> None:
    assert_spans(kept, KEPT)
    assert fitted(kept).option.passage == 808.0
    assert not [finding for finding in kept.findings if finding.severity >= Severity.HOLD]


def test_and_mirrored_with_the_pocket_on_the_right(kept_mirrored: Plan) -> None:
    assert_spans(kept_mirrored, mirrored(KEPT))


def test_a_rod_a_pack_and_a_mouth_are_where_the_set_out_says(kept: Plan) -> None:
    marks = {mark.key: mark.at for mark in fitted(kept).rod.along}
    assert marks["rough-right"] == pytest.approx(HOLE[1], abs=0.3)
    assert marks["left-mouth"] == 2215.0
    assert marks["left-back"] == 1355.0
    assert fitted(kept).mouths == (2215.0,)
    assert sorted(pack.x for pack in fitted(kept).packs) == [1320.0, 2215.0, 3023.0, 3058.0]


def test_no_chance_is_told_of_a_frame_that_goes_in_no_old_opening(kept: Plan) -> None:
    """It is a rough opening cut to its marks: the 868 of the old one is not what it goes into."""
    assert kept.chance is None
    assert at(kept, "measure.fit_chance") == []


@pytest.mark.parametrize(
    ("width", "leaf", "frame"), [(900.0, 937.0, 1922.0), (700.0, 737.0, 1522.0)]
)
def test_widened_and_narrowed_it_keeps_its_closing_jamb(
    width: float, leaf: float, frame: float
) -> None:
    made = planned(values(clear_width=width))
    fit = fitted(made)
    assert fit.option.passage == width
    assert (fit.leaves[0].width, fit.frame.length) == (leaf, frame)
    assert fit.rough.high == pytest.approx(HOLE[1], abs=0.3)
    (told,) = at(made, "wall.old")
    assert "widened" in told.what if width > 808 else "narrowed" in told.what


def test_moved_by_a_wish_what_is_left_of_the_old_opening_is_filled_in() -> None:
    """Centre 2219 instead of 2619: rough 910 to 2668, and 400 of the old hole is left over. The
    stud at the rough opening takes 45 of it."""
    made = planned(values(place={"from_x": 0.0, "to_x": RUN, "centre": 2219.0}))
    fit = fitted(made)
    assert (fit.rough.low, fit.rough.high) == (910.0, 2668.0)
    (rest,) = fit.infill
    assert (rest.low, rest.high) == pytest.approx((2668.0, 3068.0), abs=0.3)
    studs = [m for m in made.members if m.role == "infill stud"]
    assert studs
    assert all(m.x.low >= 2713.0 - 0.3 and m.x.high <= 3068.3 for m in studs)
    assert max(m.x.high for m in studs) == pytest.approx(3068.0, abs=0.3)
    (face, *_) = [face.face for one in made.lining for face in one.faces]
    assert max(x for x, _ in face.outline) == pytest.approx(3068.0, abs=0.3)


def test_an_old_opening_far_from_the_door_is_filled_whole() -> None:
    """Centre 700 with the pocket on the right: rough 261 to 2019, clear of the hole at 2200."""
    made = planned(
        values(arrangement="single-right", place={"from_x": 0.0, "to_x": RUN, "centre": 700.0})
    )
    fit = fitted(made)
    assert fit.rough.high < HOLE[0]
    assert fit.infill == (Span(pytest.approx(HOLE[0], abs=0.3), pytest.approx(HOLE[1], abs=0.3)),)
    studs = [m.x for m in made.members if m.role == "infill stud"]
    assert studs
    assert all(HOLE[0] - 0.3 <= x.low and x.high <= HOLE[1] + 0.3 for x in studs)


def test_a_place_between_two_marks_moves_it_no_more_than_it_must() -> None:
    """The clear opening may end at 2900 at most: 123 further left than in the old place."""
    fit = fitted(planned(values(place={"from_x": 1500.0, "to_x": 2900.0})))
    assert (fit.opening.low, fit.opening.high) == (2092.0, 2900.0)


def test_where_it_cannot_stay_the_reason_is_told() -> None:
    """The rough opening would reach to 1310; a cupboard takes the wall up to 1500."""
    given = values()
    given["wall"]["obstacles"] = [
        {"id": "cupboard", "kind": "cupboard", "from_x": 0.0, "to_x": 1500.0}
    ]
    made = planned(given)
    (told,) = at(made, "wall.old")
    assert told.severity is Severity.WARN
    assert "can't stay in the old place" in told.what
    assert fitted(made).rough.low == 1500.0


def test_both_sides_are_offered_and_the_one_that_stays_comes_first() -> None:
    """To the right of the door stand 532 of wall: a pocket there would move the opening."""
    made = planned(values(arrangement="any"))
    kinds = [one.option.arrangement for one in made.weighed]
    assert kinds[0] == "single-left"
    assert "single-right" in kinds
    other = next(one for one in made.weighed if one.option.arrangement == "single-right")
    assert any("old door's place" in point for point in other.option.loses)


def test_linings_that_were_measured_over_put_the_studs_further_apart() -> None:
    given = values()
    given["wall"]["old"] = {"read": "linings", "lining": 20.0}
    fit = fitted(planned(given))
    assert fit.old is not None
    assert (fit.old.hole.low, fit.old.hole.high) == pytest.approx((2170.0, 3098.0), abs=0.3)
    assert fit.option.passage == 868.0
    assert fit.rough.high == pytest.approx(3098.0, abs=0.3)


def test_what_is_not_known_of_the_old_opening_is_asked() -> None:
    given = values()
    given["wall"]["old"] = {}
    given["measure"]["readings"] = [
        one for one in given["measure"]["readings"] if one["kind"] not in ("mark", "clear")
    ]
    made = planned(given)
    assert [one.severity for one in at(made, "wall.old.read")] == [Severity.WARN]
    (hold,) = [one for one in at(made, "measure.readings") if one.severity is Severity.HOLD]
    assert hold.before == "order"


def test_without_its_size_nothing_is_planned() -> None:
    given = values()
    given["measure"]["readings"] = []
    made = planned(given)
    assert made.arrangement is None
    assert any("size of the opening" in one.what for one in made.findings)


def test_a_wall_that_carries_is_held_propped_and_given_a_head_as_a_new_opening_is() -> None:
    given = values()
    given["wall"]["evidence"] = {"joists": "across", "joint_over": True}
    made = planned(given)
    assert made.bearing.hold
    keys = [step.key for step in made.steps]
    assert keys.index("look") < keys.index("prop") < keys.index("studs-out")
    assert made.unsized


def test_the_new_head_runs_over_the_whole_rough_opening_and_the_steps_speak_of_the_door(
    kept: Plan,
) -> None:
    head = [m for m in kept.members if m.role == "head" and m.origin == "new"]
    assert head
    assert head[0].x.low <= 1310.0
    assert head[0].x.high >= 3067.7
    said = " ".join(str(line) for step in kept.steps for line in step.do)
    assert "off its hinges" in said
    assert "head of the old opening" in said
    assert "what hangs in the old opening" not in said


def test_a_narrow_door_is_never_planned_in_silence() -> None:
    """An old opening of 1010 takes a frame with 400 to walk through; under 600 nobody does (common
    practice, no source). Said as a warning, and gone where it is wished so."""
    given = values(arrangement="any", kit="any", leaf={"construction": "any"})
    given["wall"]["situation"] = "fill-opening"
    for one in given["measure"]["readings"]:
        if one["kind"] == "width":
            one["value"] = 1010.0
        if one["kind"] == "diagonal":
            one["value"] = (1010.0**2 + 2090.0**2) ** 0.5
        if one["kind"] == "clear":
            one["value"] = RUN - HOLE[0] - 1010.0
    made = planned(given)
    assert 300.0 < fitted(made).option.passage < 500.0
    (told,) = at(made, "wishes.least_passage")
    assert told.severity is Severity.WARN
    assert "beside-opening" in told.mend
    given["wishes"]["least_passage"] = 400.0
    assert at(planned(given), "wishes.least_passage") == []


def test_a_hole_too_narrow_for_the_whole_frame_asks_for_a_pocket_beside_it() -> None:
    """An 820 leaf in its own 868: the frame alone is 1738."""
    given = values(clear_width=808.0)
    given["wall"]["situation"] = "fill-opening"
    made = planned(given)
    assert made.arrangement is None
    (stop,) = [one for one in made.findings if one.where.startswith("options.")]
    assert "put the pocket in the wall beside the opening" in stop.mend
    assert "wall.situation: beside-opening" in stop.mend


def test_under_a_load_the_infill_begins_past_the_stud_to_the_ceiling() -> None:
    """Centre 2219: the rough opening ends at 2668, and 400 of the old hole is left over. Two studs
    of 45 stand under and past the head, and the infill's plate lies on the other 310."""
    given = values(place={"from_x": 0.0, "to_x": RUN, "centre": 2219.0})
    given["wall"]["evidence"] = {
        "joists": "across", "joint_over": True, "wall_over": False, "wall_under": True,
        "roof": "none-above", "lintel": True,
        "loads": [
            {"id": "f", "kind": "floor", "tributary": 1500, "dead": 0.5, "live": 1.5, "uplift": 0}
        ],
    }  # fmt: skip
    made = planned(given)
    fit = fitted(made)
    king = next(m for m in made.members if m.role == "king stud" and m.side == "right")
    plate = next(m for m in made.members if m.key.startswith("infill-plate"))
    assert king.x.low == pytest.approx(fit.rough.high + 45.0, abs=0.3)
    assert plate.x.low == pytest.approx(king.x.high, abs=0.3)
    assert plate.x.high == pytest.approx(HOLE[1], abs=0.3)
