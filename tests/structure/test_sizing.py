"""Preliminary sizing. The clauses of each code are worked by hand in test_clauses.py, published
examples in tests/published; here is what a head, its studs and its props come to."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from tests.timber import TIMBER

from truehang.catalogue.timber import CodeSet, UnknownTimber
from truehang.findings import Severity
from truehang.lengths import said
from truehang.structure import (
    PRELIMINARY,
    AreaLoad,
    BearingHead,
    StructureError,
    drop_after_hanging,
    size_head,
)
from truehang.structure.columns import buckling_factor
from truehang.structure.loads import Acting, line_loads, load_combinations

FLOOR = AreaLoad("floor over", "floor", 0.6, 1.5, 2000.0)
ROOF = AreaLoad("roof", "roof", 0.9, 0.25, 2500.0)
WALL = AreaLoad("wall over", "wall", 0.5, 0.0, 2400.0)
AUSTRALIAN = BearingHead(1200.0, 2400.0, "AS 1720.1", (FLOOR, ROOF, WALL), "MGP10", 45.0, 90.0)
BRITISH = replace(AUSTRALIAN, code="EN 1995-1-1", stud_grade="C16", stud_breadth=47, stud_depth=95)
AMERICAN = replace(
    AUSTRALIAN, code="NDS", stud_grade="SPF No.2", stud_breadth=38.1, stud_depth=88.9
)


def _row(result, section: str, plies: int):
    return next(c for c in result.candidates if c.section == section and c.plies == plies)


@pytest.mark.parametrize("head", [AUSTRALIAN, BRITISH, AMERICAN])
def test_best_of_each_kind_passes_and_none_that_passes_beats_it(head: BearingHead) -> None:
    result = size_head(head, TIMBER)
    passing = [c for c in result.candidates if c.passes]
    assert passing
    assert result.lightest.mass == min(c.mass for c in passing)
    assert result.cheapest.price == min(c.price for c in passing)
    assert result.shallowest.depth == min(c.depth for c in passing)
    assert all(c.utilisation <= 1.0 for c in passing)
    assert all(c.why_not for c in result.candidates if c.utilisation > 1.0)
    assert len(result.candidates) == sum(
        1 if TIMBER.grade(s.grade).kind == "glued laminated" else 3
        for s in TIMBER.sections
        if TIMBER.grade(s.grade).design_code == head.code
    )


@pytest.mark.parametrize("head", [AUSTRALIAN, BRITISH, AMERICAN])
def test_never_reads_as_approval(head: BearingHead) -> None:
    result = size_head(head, TIMBER)
    assert result.label == PRELIMINARY
    assert any(PRELIMINARY in f.what for f in result.findings)
    for figure in result.figures:
        if figure.key.split(".")[-1] in ("lightest", "cheapest", "shallowest", "studs"):
            assert PRELIMINARY in figure.label
            assert PRELIMINARY in figure.source


def test_line_loads_and_combinations() -> None:
    line = line_loads(AUSTRALIAN.loads)
    assert line.dead == pytest.approx(0.6 * 2.0 + 0.9 * 2.5 + 0.5 * 2.4)
    assert line.live == pytest.approx({"floor": 3.0, "roof": 0.625})
    made = load_combinations(TIMBER.code("EN 1995-1-1"), ("floor", "snow"))
    assert [(c.dead, c.live, c.duration) for c in made] == [
        (1.35, {}, "permanent"),
        (1.35, {"floor": 1.5}, "medium"),
        (1.35, {"snow": 1.5}, "short"),
        (1.35, {"floor": 1.5, "snow": 0.75}, "short"),
        (1.35, {"floor": 1.05, "snow": 1.5}, "short"),
    ]


def test_australian_bending_by_hand() -> None:
    """1.2G + 1.5Q with k1 0.80 on one 45x190 MGP12 over 1245, phi 0.9, f'b 25."""
    head = replace(AUSTRALIAN, loads=(FLOOR,))
    row = _row(size_head(head, TIMBER), "MGP12 45x190", 1)
    own = 540 * 45 * 190 * 1e-9 * 9.81
    load = 1.2 * (1.2 + own) + 1.5 * 3.0
    stress = load * 1245.0**2 / 8 / (45 * 190**2 / 6)
    assert row.studs == 1
    assert row.bending == pytest.approx(stress / (0.9 * 0.80 * 25.0))
    shear = 1.5 * load * 1245.0 / 2 / (45 * 190)
    assert row.shear == pytest.approx(shear / (0.9 * 0.80 * 3.3))
    assert row.bearing == pytest.approx(load * 1245.0 / 2 / (45 * 45) / (0.9 * 0.80 * 10.0))


def test_large_area_takes_the_lower_australian_factor() -> None:
    """More than 25 m2 affected: capacity factor 0.70 for 0.90 (AS 1720.1 Table 2.1)."""
    small = replace(AUSTRALIAN, clear_span=3000.0, loads=(replace(FLOOR, tributary=4100.0),))
    large = replace(small, loads=(replace(FLOOR, tributary=4200.0),))
    a = _row(size_head(small, TIMBER), "MGP12 45x290", 1)
    b = _row(size_head(large, TIMBER), "MGP12 45x290", 1)
    assert b.bending / a.bending > 0.9 / 0.7


def test_more_load_longer_span_never_work_a_section_less() -> None:
    base = size_head(AUSTRALIAN, TIMBER)
    for harder in (
        replace(AUSTRALIAN, clear_span=1500.0),
        replace(AUSTRALIAN, loads=(FLOOR, ROOF, replace(WALL, dead=1.0))),
        replace(AUSTRALIAN, leaf_mass=80.0),
    ):
        for before, after in zip(
            base.candidates, size_head(harder, TIMBER).candidates, strict=True
        ):
            assert after.final_deflection > before.final_deflection
            if before.studs == after.studs:
                assert after.bending > before.bending


def test_top_edge_free_to_move_sideways_is_weaker() -> None:
    held = size_head(replace(BRITISH, clear_span=2700.0), TIMBER)
    free = size_head(replace(BRITISH, clear_span=2700.0, restrained=False), TIMBER)
    pairs = list(zip(held.candidates, free.candidates, strict=True))
    assert all(b.bending >= a.bending * 0.999 for a, b in pairs if a.studs == b.studs)
    assert any(b.bending > 1.3 * a.bending for a, b in pairs if a.studs == b.studs)


def test_room_and_stock_length_are_reasons() -> None:
    result = size_head(replace(AUSTRALIAN, depth_room=150.0, breadth_room=90.0), TIMBER)
    assert f"room for {said(150)}" in _row(result, "MGP12 45x190", 1).why_not
    assert f"{said(135)} broad, room for {said(90)}" in _row(result, "MGP12 45x140", 3).why_not
    assert all(c.depth <= 150 and c.breadth <= 90 for c in result.candidates if c.passes)
    long = size_head(replace(AUSTRALIAN, clear_span=6200.0), TIMBER)
    assert f"sold to {said(6000)}" in _row(long, "MGP12 45x290", 3).why_not


def test_span_beyond_the_catalogue_is_a_finding_with_the_nearest() -> None:
    result = size_head(replace(AUSTRALIAN, clear_span=7000.0), TIMBER)
    assert result.lightest is result.cheapest is result.shallowest is result.jamb is None
    stop = result.findings[0]
    assert stop.severity is Severity.STOP
    assert f"over {said(7000)};" in stop.what
    assert "nearest is 3 / LVL13 63x400" in stop.what
    assert "engineer" in stop.mend


def test_jamb_studs_by_hand() -> None:
    """EN 1995-1-1 6.3.2 for the studs under the cheapest British head; k_c of the worse axis."""
    result = size_head(BRITISH, TIMBER)
    jamb = result.jamb
    stud = TIMBER.grade("C16")
    slender = max(2400 * np.sqrt(12) / 95, 1200 * np.sqrt(12) / 47)
    assert jamb.slenderness == pytest.approx(slender)
    relative = slender / np.pi * np.sqrt(17.0 / 5400.0)
    k = 0.5 * (1 + 0.2 * (relative - 0.3) + relative**2)
    assert jamb.buckling_factor == pytest.approx(1 / (k + np.sqrt(k**2 - relative**2)))
    assert jamb.each_end == result.cheapest.studs
    stress = jamb.load / (jamb.each_end * 47 * 95)
    roughly = stress / (jamb.buckling_factor * stud.compression_along * 0.8 / 1.3)
    assert jamb.utilisation == pytest.approx(roughly, rel=0.15)


def _acting(code: CodeSet, temporary: float = 0.25) -> Acting:
    method = next(iter(code.method.values()))
    return Acting(method, method.duration_factor["medium"], np.array(temporary))


@pytest.mark.parametrize("head", [AUSTRALIAN, BRITISH, AMERICAN])
def test_buckling_factor_falls_with_slenderness(head: BearingHead) -> None:
    code, stud = TIMBER.code(head.code), TIMBER.grade(head.stud_grade)
    kept = [
        float(buckling_factor(code, stud, stud.compression_along, s, _acting(code)))
        for s in range(5, 200, 5)
    ]
    assert kept[0] > 0.97
    assert all(b <= a + 1e-12 for a, b in pairwise(kept))
    assert 0.0 < kept[-1] < 0.12


def test_australian_buckling_curve_is_joined_up() -> None:
    """AS 1720.1 3.3.3: k12 is 1, then 1.5 - 0.05 S, then 200/S^2; equal at S = 10 and S = 20."""
    code, stud = TIMBER.code("AS 1720.1"), TIMBER.grade("MGP10")
    fine = np.array([
        float(buckling_factor(code, stud, 18.0, s, _acting(code)))
        for s in np.linspace(10.0, 150.0, 5000)
    ])  # fmt: skip
    assert np.abs(np.diff(fine)).max() < 0.002


def test_props() -> None:
    """Common practice, no source: opening + 300 each side; a row of two takes 0.6."""
    result = size_head(AUSTRALIAN, TIMBER)
    assert result.props.per_row == 3
    assert result.props.load == pytest.approx((4.65 + 3.625) * 900 * 0.6)
    one = size_head(replace(AUSTRALIAN, prop_rows=1, prop_spacing=600.0), TIMBER).props
    assert one.per_row == 4
    assert one.load == pytest.approx((4.65 + 3.625) * 600)
    assert all(caution for caution in one.cautions)


@pytest.mark.parametrize(
    "change, words",
    [
        ({"clear_span": 0.0}, r"structure\.clear_span: 0\.0 must be a number, more than 0"),
        ({"clear_span": float("nan")}, r"structure\.clear_span: nan"),
        ({"height": -2400.0}, r"structure\.height: -2400"),
        ({"loads": ()}, r"structure\.loads: none given"),
        ({"depth_room": -1.0}, r"structure\.depth_room: -1\.0 leaves no room"),
        ({"stud_breadth": float("inf")}, r"structure\.stud_breadth: inf"),
    ],
)
def test_bad_input_names_field_value_and_mend(change: dict, words: str) -> None:
    with pytest.raises(StructureError, match=words):
        replace(AUSTRALIAN, **change)


@pytest.mark.parametrize("field", ["dead", "live"])
def test_negative_load_is_named(field: str) -> None:
    with pytest.raises(StructureError, match=f"load floor over.{field}: -1.0 .*kPa"):
        replace(FLOOR, **{field: -1.0})


def test_unknown_grade_suggests_and_wrong_code_says_so() -> None:
    with pytest.raises(UnknownTimber, match=r"'mgp 10'.*did you mean 'MGP10'"):
        size_head(replace(AUSTRALIAN, stud_grade="mgp 10"), TIMBER)
    with pytest.raises(UnknownTimber, match=r"structure\.code: 'BS 5268' is not known"):
        size_head(replace(AUSTRALIAN, code="BS 5268"), TIMBER)
    with pytest.raises(StructureError, match=r"stud_grade: C16 belongs to EN 1995-1-1"):
        size_head(replace(AUSTRALIAN, stud_grade="C16"), TIMBER)


def test_mixed_currencies_and_an_empty_catalogue_are_named() -> None:
    foreign = TIMBER.sections[0].model_copy(update={"currency": "USD"})
    with pytest.raises(StructureError, match="priced in AUD and USD"):
        size_head(AUSTRALIAN, replace(TIMBER, sections=(*TIMBER.sections, foreign)))
    british = replace(TIMBER, sections=tuple(s for s in TIMBER.sections if s.currency == "GBP"))
    with pytest.raises(StructureError, match="holds no section for AS 1720"):
        size_head(AUSTRALIAN, british)


def test_what_the_head_still_comes_down_is_live_load_and_creep() -> None:
    """Strength of materials: 5wL^4/384EI + wL^2/8kGA with k 5/6, by hand beside the room's own.
    AS 1720.1 j2 = 2 and the long-term share 0.4 of a floor's live load are from memory."""
    head = BearingHead(
        clear_span=1942.0,
        height=2150.0,
        code="AS 1720.1",
        loads=(AreaLoad("floor", "floor", 0.6, 1.5, 2000.0),),
        stud_grade="MGP10",
        stud_breadth=45.0,
        stud_depth=90.0,
        leaf_mass=50.0,
        depth_room=400.0,
        breadth_room=90.0,
    )
    row = next(
        row
        for row in size_head(head, TIMBER).candidates
        if row.section == "MGP10 45x240" and row.plies == 1
    )
    span = 1942.0 + 45.0 * row.studs
    inertia, area = 45.0 * 240.0**3 / 12.0, 45.0 * 240.0
    per_load = 5.0 * span**4 / (384.0 * 10000.0 * inertia) + span**2 / (8.0 * 5 / 6 * 670.0 * area)
    per_point = span**3 / (48.0 * 10000.0 * inertia) + span / (4.0 * 5 / 6 * 670.0 * area)
    own = 500.0 * area * 1e-9 * 9.81
    dead = (0.6 * 2.0 + own) * per_load + 50.0 * 9.81 * per_point
    live = 1.5 * 2.0 * per_load
    by_hand = live + dead + 0.4 * live  # creep doubles what lasts: dead, and 0.4 of the live load
    assert drop_after_hanging(head, TIMBER.code(head.code), row) == pytest.approx(by_hand, rel=1e-6)


def test_a_heads_mass_is_its_volume_times_its_density() -> None:
    """kg/m3 x mm3 x 1e-9, by hand from the piece's own sizes: as long as opening and studs."""
    density = {grade.code: grade.density for grade in TIMBER.grades}
    for row in size_head(AUSTRALIAN, TIMBER).candidates:
        assert row.length == pytest.approx(1200.0 + 2 * row.studs * 45.0)
        volume = row.breadth * row.depth * row.length
        assert row.mass == pytest.approx(density[row.grade] * volume * 1e-9)
