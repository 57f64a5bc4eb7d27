"""Evidence of load: default to the safer, hold until recorded. Rules: common practice, no
source."""

from dataclasses import fields, replace
from datetime import date
from itertools import product

import pytest

from truehang.findings import Severity
from truehang.structure import (
    EngineerRecord,
    Evidence,
    OpeningUpRecord,
    StructureError,
    WallState,
    bearing,
)

RECORD = OpeningUpRecord("carries-nothing", "builder", date(2026, 3, 2), "IMG-014")
CLEAR = Evidence(
    joists="along",
    joints_over=False,
    roof="trusses",
    wall_over=False,
    wall_under=False,
    lintels="none-seen",
)


def test_nothing_known_is_treated_as_load_bearing_and_holds() -> None:
    result = bearing(Evidence())
    assert result.state is WallState.TREATED
    assert result.hold
    assert result.bears
    assert [f.severity for f in result.findings] == [Severity.HOLD]
    assert len(result.reasons) == 1 + 6


def test_every_sign_against_load_is_still_not_enough_without_a_record() -> None:
    result = bearing(CLEAR)
    assert result.state is WallState.TREATED
    assert result.hold


def test_clear_evidence_with_a_record_carries_nothing() -> None:
    result = bearing(replace(CLEAR, opened_up=RECORD))
    assert result.state is WallState.NOTHING
    assert not result.hold
    assert not result.bears
    assert result.findings == ()
    assert "builder" in result.reasons[0]
    assert "IMG-014" in result.reasons[0]


@pytest.mark.parametrize("missing", [{"who": " "}, {"when": None}, {"photo": ""}])
def test_a_record_without_who_when_or_photo_does_not_lift_the_hold(missing: dict) -> None:
    result = bearing(replace(CLEAR, opened_up=replace(RECORD, **missing)))
    assert result.state is WallState.TREATED
    assert result.hold
    assert any(next(iter(missing)) in f.where for f in result.findings)


@pytest.mark.parametrize(
    "sign, state",
    [
        ({"joints_over": True}, WallState.CARRIES),
        ({"wall_over": True}, WallState.CARRIES),
        ({"roof": "propped"}, WallState.CARRIES),
        ({"lintels": "heavy"}, WallState.TREATED),
        ({"joists": "across", "roof": "rafters"}, WallState.TREATED),
    ],
)
def test_evidence_against_the_record_resolves_to_the_safer_and_says_so(
    sign: dict, state: WallState
) -> None:
    result = bearing(replace(CLEAR, opened_up=RECORD, **sign))
    assert result.state is state
    assert result.hold
    assert any("recorded as carrying nothing, yet" in clash for clash in result.contradictions)
    assert any("evidence disagrees" in f.what for f in result.findings)


def test_trusses_across_the_wall_do_not_speak_against_the_record() -> None:
    result = bearing(replace(CLEAR, joists="across", opened_up=RECORD))
    assert result.state is WallState.NOTHING


def test_seen_to_carry_load_wins_over_everything() -> None:
    seen = replace(RECORD, finding="carries-load")
    result = bearing(replace(CLEAR, opened_up=seen))
    assert result.state is WallState.CARRIES
    assert result.contradictions


def test_joists_along_with_joints_over_is_named_a_contradiction() -> None:
    result = bearing(Evidence(joists="along", joints_over=True))
    assert result.state is WallState.CARRIES
    assert any("joists run along" in clash for clash in result.contradictions)


def test_an_engineers_design_lifts_the_hold_but_not_the_state() -> None:
    evidence = Evidence(
        joints_over=True, engineer=EngineerRecord("engineer", date(2026, 3, 9), "S-01")
    )
    result = bearing(evidence)
    assert result.state is WallState.CARRIES
    assert not result.hold
    incomplete = replace(evidence, engineer=EngineerRecord("engineer", None, "S-01"))
    assert bearing(incomplete).hold


def test_over_all_evidence_only_a_full_record_without_signs_of_load_carries_nothing() -> None:
    choices = {
        "joists": ("along", "across", "none", "unknown"),
        "joints_over": (True, False, None),
        "roof": ("trusses", "propped", "rafters", "flat", "floor-over", "unknown"),
        "wall_over": (True, False, None),
        "lintels": ("none-seen", "light", "heavy", "unknown"),
        "opened_up": (None, RECORD, replace(RECORD, photo="")),
    }
    for values in product(*choices.values()):
        evidence = Evidence(**dict(zip(choices, values, strict=True)))
        result = bearing(evidence)
        if result.state is WallState.NOTHING:
            assert evidence.opened_up is RECORD
            assert evidence.joints_over is not True
            assert evidence.wall_over is not True
            assert evidence.roof != "propped"
            assert evidence.lintels != "heavy"
        else:
            assert result.hold
            assert any(f.severity is Severity.HOLD for f in result.findings)
        assert result.reasons
    assert {f.name for f in fields(Evidence)} - set(choices) == {"wall_under", "engineer"}


def test_an_unknown_word_is_named() -> None:
    with pytest.raises(StructureError, match=r"evidence\.joists: 'sideways'.*along, across"):
        Evidence(joists="sideways")  # type: ignore[arg-type]
