"""The head before the lining is on. Euler 1744: pi^2 EI/L^2; statics of a simply supported beam."""

import math
from dataclasses import replace

import pytest
from tests.timber import TIMBER

from truehang.findings import Severity
from truehang.lengths import said
from truehang.message import Voice
from truehang.structure import HeadMember, HungLeaf, MouthRibs, TrackHead, head_movement, unlined

MEMBER = HeadMember("MGP10 35x120", 35, 120, 10000, 670, 500, creep=2.0)
LEFT = HungLeaf("left", 1700, 850, (1600, 950), (240, 233), -830, 2340, 10)
RIGHT = HungLeaf("right", 1706, 2556, (1806, 2456), (240, 233), 830, 2340, 10)
HEAD = TrackHead(860, 2546, MEMBER, (LEFT, RIGHT), lining=12.0)
STUDS = (45.0, 3361.0)
RIBS = MouthRibs(45.0, 16.0, 2370.0, 10000.0)
PINE, CODE = TIMBER.grade("MGP10"), TIMBER.code("AS 1720.1")


def test_two_bare_ribs_of_16_x_45_buckle_at_about_540_newtons() -> None:
    one = math.pi**2 * 10000.0 * (45.0 * 16.0**3 / 12.0) / 2370.0**2
    assert RIBS.buckling_load == pytest.approx(2 * one)
    assert RIBS.buckling_load == pytest.approx(540.0, abs=1.0)
    assert replace(RIBS, thickness=32.0).buckling_load == pytest.approx(8 * 2 * one)


def test_a_mouth_gets_half_the_head_one_leaf_and_half_of_the_other() -> None:
    own = (500 * 35 * 120 * 1e-6 + 12.0) * 9.81 * 1.686 / 2
    assert unlined(HEAD, STUDS, RIBS, PINE, CODE).mouth_load == pytest.approx(own + 473 * 1.5)
    single = replace(HEAD, leaves=(LEFT,))
    assert unlined(single, STUDS, RIBS, PINE, CODE).mouth_load == pytest.approx(own + 473)


def test_over_its_euler_load_both_figures_are_said_and_the_back_studs_are_the_span() -> None:
    result = unlined(HEAD, STUDS, RIBS, PINE, CODE)
    assert result.props
    (told,) = result.findings
    assert told.severity is Severity.WARN
    what = Voice("mm", {}).say(told.what)
    assert f"{result.mouth_load:.0f} N" in what
    assert "about 540 N" in what
    assert said(3316) in told.what
    assert "prop the head at each mouth" in told.mend
    whole = replace(HEAD, left=45.0, right=3361.0, member=replace(MEMBER, creep=1.0))
    assert result.deflection == pytest.approx(head_movement(whole).deflection)
    assert result.deflection > 3 * head_movement(HEAD).deflection


def test_stout_ribs_need_no_prop_and_unknown_ribs_do() -> None:
    stout = unlined(HEAD, STUDS, replace(RIBS, thickness=25.0), PINE, CODE)
    assert not stout.props
    assert stout.findings[0].severity is Severity.NOTE
    folded = unlined(HEAD, STUDS, None, PINE, CODE)
    assert folded.props
    assert "datasheet" in folded.findings[0].mend
    assert "structure.mouth_ribs" not in {figure.key for figure in folded.figures}


def test_strength_by_walking_both_leaves_over_the_whole_span() -> None:
    """Moment at each place from every pair of positions, one load at a time; 1.35G, k1 0.57, phi
    0.9, f'b 17 (AS/NZS 1170.0 4.2.2(a), AS 1720.1)."""
    left, right = STUDS
    span = right - left
    weight = (500 * 35 * 120 * 1e-6 + 12.0) * 9.81 / 1000

    def moment(x: float, loads: list[tuple[float, float]]) -> float:
        ends = sum(p * (span - a) / span for a, p in loads)
        beside = sum(p * max(x - a, 0.0) for a, p in loads)
        return weight * x * (span - x) / 2 + ends * x - beside

    worst = 0.0
    for i in range(31):
        for j in range(31):
            loads = [
                (at + step / 30 * leaf.travel - left, load)
                for leaf, step in ((LEFT, i), (RIGHT, j))
                for at, load in zip(leaf.hangers, leaf.loads, strict=True)
            ]
            worst = max(worst, *(moment(a, loads) for a, _ in loads))
    by_hand = 1.35 * worst / (35 * 120**2 / 6) / (0.9 * 0.57 * 17.0)
    got = unlined(HEAD, STUDS, RIBS, PINE, CODE).strength
    assert got == pytest.approx(by_hand, rel=0.01)


def test_both_american_methods_count() -> None:
    """D at C_D 0.9 asks for more than 1.4D at lambda 0.6 and K_F phi 2.159."""
    timber = TIMBER.grade("SPF No.2")
    got = unlined(HEAD, STUDS, RIBS, timber, TIMBER.code("NDS")).strength
    australian = unlined(HEAD, STUDS, RIBS, PINE, CODE).strength
    moment_per = australian * 0.9 * 0.57 * 17.0 / 1.35
    bending = next(band.bending for band in timber.bands if band.up_to >= 120)
    assert got == pytest.approx(moment_per / (0.9 * bending))
    assert got > 1.4 * moment_per / (2.159 * 0.6 * bending)
