"""Edges of what fits: where the first station, a service that just touches, the side of a pocket
and each part of a price make the difference. Worked by hand; kits and prices are invented data."""

from __future__ import annotations

import pytest

from truehang.fit import Floor, PackerSet, Service, Span, Wishes, arrange, options
from truehang.fit.model import REACH
from truehang.fit.solve import _stands_in


def test_a_floor_reaches_from_its_first_station_to_its_last() -> None:
    floor = Floor((0.0, 1200.0, 2400.0), (0.0, 0.0, 0.0))
    assert [floor.reaches(x) for x in (-REACH, 0.0, 600.0, 2400.0 + REACH)] == [True] * 4
    assert not floor.reaches(-REACH - 1.0)
    assert not floor.reaches(2400.0 + REACH + 1.0)
    assert not Floor((0.0,), (0.0,)).reaches(0.0), "one station says nothing of what is beside it"


def test_the_packers_that_are_on_every_van() -> None:
    """Common practice, no source: 1 to 10, and what is between."""
    assert PackerSet().sizes == (1.0, 1.5, 2.0, 3.0, 5.0, 6.0, 10.0)


@pytest.mark.parametrize(
    ("x", "runs", "stands"),
    [
        (60.0, "", False),  # from 20 to 100: it ends where the stretch begins
        (60.5, "", True),
        (240.0, "", False),  # from 200, where the stretch ends
        (239.5, "", True),
        (600.0, "left", True),  # its cable goes through
        (600.0, "right", False),
        (0.0, "right", True),
    ],
)
def test_what_only_touches_does_not_stand_in(x: float, runs: str, stands: bool) -> None:
    service = Service("outlet", "outlet", x, 300.0, width=80.0, height=80.0, runs=runs)  # type: ignore[arg-type]
    assert _stands_in(service, Span(100.0, 200.0)) is stands


@pytest.mark.parametrize("kind", ["single-left", "single-right"])
def test_what_stands_out_of_a_pocket_narrows_the_way_on_its_side(new, kit, leaf, kind: str) -> None:  # type: ignore[no-untyped-def]
    """A leaf that is left standing out r when open takes it from the pocket's side (the set-out
    rule: clear passage = C - r)."""
    request = new(wishes=Wishes(arrangements=(kind,)))
    one = kit("timber-90").model_copy(update={"standing_out": 40.0, "standing_out_most": 40.0})
    found = options(request, [one], [leaf("solid-35")]).options[0]
    made = arrange(request, found, [one], [leaf("solid-35")])
    low, high = made.passage.low - made.opening.low, made.opening.high - made.passage.high
    assert (low, high) == ((40.0, 0.0) if kind == "single-left" else (0.0, 40.0))


@pytest.mark.parametrize(
    ("kind", "width", "sets"), [("single-left", 823.0, 1), ("pair", 1501.0, 2)]
)
def test_a_pocket_made_on_site_is_priced_by_its_timber_track_and_hangers(
    new, kit, leaf, kind: str, width: float, sets: int
) -> None:  # type: ignore[no-untyped-def]
    request = new(wishes=Wishes(clear_width=width, arrangements=(kind,), soft_close=False))
    one, hung = kit("site-built"), leaf("solid-40")
    found = next(o for o in options(request, [one], [hung]).options if not o.leaf_stock)
    made = arrange(request, found, [one], [hung])
    area = found.leaf_width * found.leaf_height / 1e6
    leaves = max(hung.price_least_minor, int(area * hung.price_minor_per_m2 + 0.5))
    length = {
        material: sum(p.length * p.count for p in made.parts if p.material == material) / 1000
        for material in ("timber", "track")
    }
    cost = one.site_parts
    frame = int(length["timber"] * cost.timber_minor_per_m + 0.5) + int(
        length["track"] * cost.track_minor_per_m + 0.5
    )
    assert found.price_minor == frame + sets * (leaves + cost.running_set_minor)
