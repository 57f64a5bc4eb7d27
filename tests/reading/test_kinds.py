"""What does each kind of reading say of the opening?

Sources: school geometry (angles by the law of cosines, differences by small steps); which readings
there are: common practice, no source.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.measure.conftest import take

from truehang.measure import Reading, adjust
from truehang.reading import INSTRUMENT_SIGMA, KINDS, label_of
from truehang.reading.figure import COLUMN, CORNERS, NAMES, Vector

PLACES = [
    (name, place.word) for name, kind in KINDS.items() for place in kind.places if place.equation
]
BESIDE = {
    "bottom-left": ("top-left", "bottom-right"),
    "bottom-right": ("top-right", "bottom-left"),
    "top-left": ("bottom-left", "top-right"),
    "top-right": ("bottom-right", "top-left"),
}


def crooked(seed: int, *, bowed: bool = True) -> Vector:
    """An opening about 3400 by 2500, no side plumb, level or straight."""
    off = np.random.default_rng(seed).normal(0.0, 9.0, len(NAMES))
    off[8:12] *= bowed
    start = [600.0, 0.0, 4000.0, 0.0, 4000.0, 2500.0, 600.0, 2500.0, 0.0, 0.0, 0.0, 0.0, 6000.0]
    return np.array(start) + off


def corner(figure: Vector, name: str) -> Vector:
    return np.array([figure[COLUMN[f"{name}.{axis}"]] for axis in "xz"])


@pytest.mark.parametrize(("kind", "place"), PLACES)
@pytest.mark.parametrize("over", [None, 1200.0])
def test_every_gradient_is_what_small_steps_give(kind: str, place: str, over: float | None) -> None:
    tool = KINDS[kind].tool
    if over is None and tool is not None and tool.needed:
        over = tool.usual
    equation = KINDS[kind].equation(place)
    assert equation is not None
    for seed in range(3):
        figure = crooked(seed)
        value, gradient = equation(figure, 40.0, over)
        steps = np.eye(len(NAMES)) * 1e-3
        near = [[equation(figure + way * step, 40.0, over)[0] for way in (1, -1)] for step in steps]
        assert gradient == pytest.approx([(up - down) / 2e-3 for up, down in near], abs=2e-6)
        straight = equation.straight(over)
        if straight is not None:
            assert straight @ figure == pytest.approx(value)
            assert straight == pytest.approx(gradient)


@pytest.mark.parametrize("place", CORNERS)
def test_a_square_reads_how_far_a_corner_is_off_a_right_angle(place: str) -> None:
    equation = KINDS["square"].equation(place)
    assert equation is not None
    for seed in range(5):
        figure = crooked(seed, bowed=False)
        here, (up, along) = corner(figure, place), BESIDE[place]
        a, b = corner(figure, up) - here, corner(figure, along) - here
        sides = math.dist(a, b) ** 2, float(a @ a), float(b @ b)
        angle = math.acos((sides[1] + sides[2] - sides[0]) / (2 * math.sqrt(sides[1] * sides[2])))
        assert equation(figure, 0.0, 600.0)[0] == pytest.approx(
            600.0 * math.tan(angle - math.pi / 2), abs=2e-3
        )


def test_a_jamb_that_bows_into_the_opening_closes_both_its_corners() -> None:
    """A string from corner to corner, the middle 10 off it: a parabola leaves the corner at four
    times the bow over the height, less what it has turned by the end of the blade."""
    figure = crooked(0, bowed=False)
    bowed = figure.copy()
    bowed[COLUMN["left.bow"]] = 10.0
    height = figure[COLUMN["top-left.z"]] - figure[COLUMN["bottom-left.z"]]
    share = 600.0 / height
    for place in ("bottom-left", "top-left"):
        equation = KINDS["square"].equation(place)
        assert equation is not None
        turned = equation(bowed, 0.0, 600.0)[0] - equation(figure, 0.0, 600.0)[0]
        assert turned == pytest.approx(-40.0 * share * (1 - share), abs=0.01)


def test_squares_alone_beside_one_width_and_height_give_the_shape() -> None:
    """No diagonal, no level: two squares at the foot say how the jambs lean, and a slip of the
    width at the top is found by them."""
    readings = [r for r in take() if r.kind in ("width", "height")]
    whole = {(r.kind, r.place): r.value for r in take()}
    # of the corners of `take`: (lean over 600) less (fall of the base over 600), to the millimetre
    base = whole["level", "base"] * 600.0 / 3460.0
    for side, opens in (("left", -1.0), ("right", 1.0)):
        lean = whole["plumb", side] * 600.0 / 2000.0
        name = f"bottom-{side}"
        readings.append(Reading(f"sq-{side}", "square", opens * (lean + base), name, over=600.0))
    sound = adjust(readings)
    assert not sound.slips
    slips = {"width-top": 60.0}
    wrong = [
        Reading(r.id, r.kind, r.value + slips.get(r.id, 0.0), r.place, over=r.over)
        for r in readings
    ]
    (slip,) = adjust(wrong).slips
    assert "width-top" in slip.suspects


def test_each_kind_is_whole() -> None:
    for name, kind in KINDS.items():
        assert kind.name == name
        assert kind.instrument in INSTRUMENT_SIGMA
        assert kind.least < kind.most
        assert (kind.least < 0 < kind.most) == (kind.sign != "") or name == "mark"
        assert len({label_of(name, word) for word in kind.words}) == len(kind.words)
        for place in kind.places:
            assert (place.tap is None) == (place.equation is None)
            assert (place.equation is None) == (kind.ties == "")
    groups = {kind.group for kind in KINDS.values()} - {""}
    for group in groups:
        taps = [p.tap for k in KINDS.values() if k.group == group for p in k.places if p.tap]
        assert len({tap.turn for tap in taps}) == len(taps)
        for at, one in enumerate(taps):  # a thumb's box of 88 by 52 overlaps no other
            for other in taps[at + 1 :]:
                assert abs(one.x - other.x) >= 88 or abs(one.y - other.y) >= 52, (one, other)
