"""What the evidence names must be among the loads. Rules: common practice, no source; the engineer
decides."""

from dataclasses import replace
from datetime import date
from itertools import combinations, product

import pytest

from truehang.findings import Severity
from truehang.structure import EngineerRecord, Evidence, OpeningUpRecord, bearing, named_loads

LOOKED = Evidence(joists="along", joints_over=False, roof="trusses", wall_over=False)
KINDS = ("floor", "storage", "ceiling", "roof", "snow", "wall")


@pytest.mark.parametrize(
    "seen, short, words, enough",
    [
        ({"joists": "across", "joints_over": True, "roof": "floor-over"}, ("roof",), "floor over",
         ("floor",)),
        ({"joists": "across", "roof": "floor-over"}, ("roof", "ceiling"), "floor over",
         ("storage",)),
        ({"joists": "unknown", "joints_over": True, "roof": "floor-over"}, (), "floor over",
         ("floor",)),
        ({"joints_over": True, "roof": "rafters"}, ("wall",), "end, lap or join", ("ceiling",)),
        ({"joists": "across", "roof": "rafters"}, (), "run across", ("roof",)),
        ({"joists": "across", "roof": "flat"}, ("ceiling",), "run across", ("snow",)),
        ({"joints_over": True}, (), "end, lap or join", ("ceiling",)),
        ({"roof": "propped"}, ("ceiling",), "props stand on this wall", ("roof",)),
        ({"wall_over": True}, ("floor", "roof"), "wall that stands over", ("wall",)),
    ],
)  # fmt: skip
def test_what_is_named_and_not_listed_holds_and_says_so(
    seen: dict, short: tuple[str, ...], words: str, enough: tuple[str, ...]
) -> None:
    evidence = replace(LOOKED, **seen)
    lacking = named_loads(evidence, short)
    assert not lacking.complete
    assert any(words in one for one in lacking.missing)
    (hold,) = [f for f in lacking.findings if f.severity is Severity.HOLD]
    assert words in hold.what
    assert "no head" in hold.what
    listed = named_loads(evidence, enough)
    assert listed.complete
    assert not any(f.severity is Severity.HOLD for f in listed.findings)


def test_trusses_across_and_joists_along_name_nothing() -> None:
    for quiet in (LOOKED, replace(LOOKED, joists="across"), replace(LOOKED, roof="floor-over")):
        assert named_loads(quiet, ("ceiling",)).complete


@pytest.mark.parametrize(
    "unseen, words, told",
    [
        ({"wall_over": None}, "wall_over", ("floor", "wall")),
        ({"roof": "unknown"}, "evidence.roof", ("floor", "roof")),
        ({"joists": "unknown"}, "evidence.joists", ("floor",)),
        ({"joints_over": None}, "joint_over", ("floor",)),
    ],
)
def test_what_nobody_looked_at_is_not_taken_for_nothing(
    unseen: dict, words: str, told: tuple[str, ...]
) -> None:
    evidence = replace(LOOKED, **unseen)
    open_question = named_loads(evidence, ())
    assert any(words in one for one in open_question.unknown)
    assert any(words in f.what and f.severity is Severity.HOLD for f in open_question.findings)
    assert named_loads(evidence, told).complete


def test_seen_to_carry_load_needs_a_load() -> None:
    seen = OpeningUpRecord("carries-load", "builder", date(2026, 3, 2), "IMG-014")
    assert named_loads(replace(LOOKED, opened_up=seen), ()).missing
    assert named_loads(replace(LOOKED, opened_up=seen), ("ceiling",)).complete


def test_an_engineers_design_makes_it_a_note() -> None:
    design = EngineerRecord("engineer", date(2026, 3, 9), "S-01")
    evidence = replace(LOOKED, wall_over=True, engineer=design)
    (told,) = named_loads(evidence, ("floor",)).findings
    assert told.severity is Severity.NOTE
    assert "engineer" in told.mend


def test_no_wall_over_speaks_against_a_wall_and_a_roof_in_the_loads() -> None:
    wall = named_loads(LOOKED, ("floor", "wall"))
    assert wall.complete
    assert any("no wall stands over" in f.what for f in wall.findings)
    brought_down = replace(LOOKED, joists="across", joints_over=True, roof="floor-over")
    told = named_loads(brought_down, ("floor", "roof")).findings
    assert any("bring a roof down" in f.what and f.severity is Severity.WARN for f in told)
    with_wall = named_loads(replace(brought_down, wall_over=True), ("floor", "roof", "wall"))
    assert with_wall.findings == ()


def test_nothing_named_and_nothing_listed_is_a_note() -> None:
    (told,) = named_loads(LOOKED, ()).findings
    assert told.severity is Severity.NOTE


def test_more_loads_never_leave_more_out() -> None:
    choices = product(
        ("along", "across", "none", "unknown"), (True, False, None),
        ("trusses", "propped", "rafters", "flat", "floor-over", "unknown"), (True, False, None),
    )  # fmt: skip
    groups = [set(group) for size in range(4) for group in combinations(KINDS, size)]
    for joists, joints, roof, wall in choices:
        evidence = Evidence(joists=joists, joints_over=joints, roof=roof, wall_over=wall)
        assert named_loads(evidence, KINDS).complete
        left = {frozenset(g): named_loads(evidence, g) for g in groups}
        for group, result in left.items():
            if wall is True and "wall" not in group:
                assert result.missing
            for kind in KINDS:
                more = left.get(group | {kind})
                if more is not None:
                    assert set(more.missing) <= set(result.missing)
                    assert set(more.unknown) <= set(result.unknown)


def test_seen_to_carry_load_is_no_disagreement_where_something_bears_on_it() -> None:
    """Joists join over the wall and no wall stands over: both can be so."""
    seen = OpeningUpRecord("carries-load", "builder", date(2026, 3, 2), "IMG-014")
    joined = replace(LOOKED, joists="across", joints_over=True, roof="floor-over", opened_up=seen)
    assert bearing(joined).contradictions == ()
    assert not any("disagrees" in f.what for f in bearing(joined).findings)
    alone = bearing(replace(LOOKED, opened_up=seen))
    assert len(alone.contradictions) == 1
