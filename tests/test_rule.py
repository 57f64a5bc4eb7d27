"""A rule is what runs and what is printed. Outside sources: the handbook-style hand sums that stand
beside each case (geometry, worked on paper); Python's own arithmetic for random formulas."""

from __future__ import annotations

import re
from importlib import import_module

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from truehang.catalogue.leaves import MASS
from truehang.fit import geometry
from truehang.fit.geometry import PAIR, SINGLE
from truehang.hardware import running
from truehang.rule import Given, Rule, RuleError, put_in, worked
from truehang.structure.loads import line_rule
from truehang.structure.sizing import END_LOAD
from truehang.structure.supports import PROP_LOAD, PROPS_IN_ROW
from truehang.structure.ties import PULL
from truehang.structure.track_head import LIMIT, PERMANENT, SELF_LOAD
from truehang.structure.unlined import BUCKLING, MOUTH, MOUTH_OF_PAIR

MEANS = {letter: f"the length {letter}" for letter in "wCmbPrsF"}

# Worked on paper, geometry alone: each rule with numbers no two of which are alike, so that a
# sign or a factor that is wrong shows.
BY_HAND = (
    (PAIR.leaf, {"C": 1680, "m": 4, "b": 25}, 863),  # 1676/2 = 838; 838 + 25
    (SINGLE.leaf, {"C": 820, "a": 12, "b": 25}, 857),
    (geometry.POCKET, {"w": 863, "r": 5, "g": 15}, 873),
    (PAIR.frame, {"s": 35, "P": 873, "C": 1680}, 3496),  # 2 x 908 = 1816; 1816 + 1680
    (SINGLE.frame, {"s": 35, "P": 872, "C": 820, "j": 33}, 1760),
    (PAIR.passage, {"C": 1680, "r": 5}, 1670),
    (SINGLE.passage, {"C": 820, "r": 60}, 760),
    (PAIR.lost_wall, {"s": 35, "P": 873}, 1816),
    (SINGLE.lost_wall, {"s": 35, "P": 872}, 907),
    (geometry.TRAVEL, {"w": 863, "r": 5, "b": 25}, 833),
    (geometry.ROUGH_WIDTH, {"F": 2870, "c": 10}, 2890),
    (geometry.CLEAR_HEIGHT, {"B": 21, "h": 2040, "k": 12, "f": 11}, 2038),
    (geometry.FRAME_HEIGHT, {"B": 21, "h": 2040, "u": 60, "d": 35, "L": 3}, 2153),
    (geometry.ROUGH_HEIGHT, {"L": 3, "z": -6, "E": 2153, "c": 10}, 2172),
    (geometry.PACK, {"L": 3, "z": -6}, 9),
    (geometry.FLOOR_GAP, {"B": 21, "f": 11}, 10),
    (geometry.FLOOR_GAP_NOW, {"G": 10, "n": 11}, 21),
    (geometry.GUIDE_GROOVE, {"U": 10, "v": 2}, 12),
    (geometry.AIR, {"D": 90, "q": 16, "T": 35}, 11.5),
    # 9.81 x 40 = 392.4; 392.4 x (700 - 400)/(700 - 100) = 196.2; 392.4 - 190 = 202.4
    (running.LEADING_LOAD, {"M": 40, "x": 400, "l": 100, "t": 700}, 196.2),
    (running.TRAILING_LOAD, {"M": 40, "A": 190}, 202.4),
    (running.STARTING_FORCE, {"M": 40, "k": 0.02, "q": 12, "d": 5}, 24.848),  # 7.848 + 17
    (running.SLIDING_FORCE, {"M": 40, "k": 0.02, "d": 5}, 12.848),
    (running.CLOSING_ENERGY, {"M": 40, "v": 0.5}, 5),  # 40 x 0.25/2
    # 9.81 x (500 x 90 x 200/10^6 + 11)/1000 = 9.81 x (9 + 11)/1000
    (SELF_LOAD, {"D": 500, "b": 90, "h": 200, "l": 11}, 0.1962),
    (LIMIT, {"L": 720}, 2),
    # 5 x 1 x 10^12/(32 x 10^4 x 50 x 10^6) = 5/16; 3 x 10^6/(20 x 1000 x 50 x 100) = 0.03; twice
    (PERMANENT, {"c": 2, "w": 1, "L": 1000, "E": 10000, "S": 1000, "b": 50, "h": 100}, 0.685),
    (MOUTH, {"w": 0.2, "L": 800, "P": 400}, 480),
    (MOUTH_OF_PAIR, {"w": 0.2, "L": 1600, "P": 400, "Q": 300}, 710),
    (line_rule(2), {"q1": 1.5, "w1": 2000, "q2": 0.5, "w2": 3000}, 4.5),
    # 1.2 x ((4 + 0.1) x 1000 + 9.81 x 50) = 1.2 x 4590.5; 3 x 1000
    (END_LOAD, {"d": 1.2, "G": 4, "o": 0.1, "L": 2000, "M": 50, "q": 3}, 8508.6),
    (PULL, {"u": 1, "U": 5, "d": 0.9, "G": 2, "o": 0.5, "L": 2000}, 2750),
    (PROP_LOAD, {"G": 4, "Q": 3, "s": 900, "k": 0.6}, 3780),
    (PROPS_IN_ROW, {"L": 1800, "e": 300, "s": 900}, 4),  # 2400/900 = 2.7, so 3 bays
    # pi^2 = 9.8696044; 48 x 10^3/12 = 4000; 2 x 9.8696044 x 8000 x 4000/2000^2
    (BUCKLING, {"n": 2, "E": 8000, "b": 48, "t": 10, "L": 2000}, 157.91367),
    (MASS, {"w": 800, "h": 2000, "e": 21}, 33.6),  # 1.6 m2 x 21
)


@pytest.mark.parametrize(("rule", "put", "comes"), BY_HAND, ids=lambda each: str(each)[:40])
def test_each_rule_by_hand_and_with_any_sign_turned(
    rule: Rule, put: dict[str, float], comes: float
) -> None:
    assert rule(**put) == pytest.approx(comes)
    for at, sign in enumerate(rule.text):
        if (
            sign in "+-" and at > 0
        ):  # the rule with this sign turned is another rule: the sum above shows it
            turned = Rule(rule.text[:at] + "-+"["+-".index(sign)] + rule.text[at + 1 :], rule.means)
            assert turned(**put) != pytest.approx(comes)


def test_every_rule_is_worked_by_hand_above() -> None:
    structure = ("loads", "sizing", "supports", "ties", "track_head", "unlined")
    rooms = ("fit.geometry", "hardware.running", *(f"structure.{name}" for name in structure))
    named = [each for room in rooms for each in vars(import_module(f"truehang.{room}")).values()]
    across = [getattr(one, name) for one in (PAIR, SINGLE) for name in one.__slots__]
    rules = {each for each in (*named, *across, MASS) if isinstance(each, Rule)}
    assert rules | {line_rule(2)} == {row[0] for row in BY_HAND}


def test_it_prints_what_ran() -> None:
    rule = Rule("w = (C - m)/2 + b", MEANS)
    figure = rule.figure(
        "fit.leaf", "leaf",
        {"C": Given(1680, "fit.C"), "m": Given(4, "kit.m"), "b": Given(-25, "")},
        "geometry", behind=("job:wish", "kit.m"),
    )  # fmt: skip
    assert figure.value == 813
    assert figure.inputs == ("fit.C", "kit.m", "job:wish")
    told = worked(figure, lambda put: f"{put.value:g}", in_mm=True)
    assert told == "w = (C - m)/2 + b = (1680 - 4)/2 + (-25)"


def test_numbers_side_by_side_multiply_and_are_printed_so() -> None:
    assert Rule("F = 2(s + P) + C", MEANS)(s=45, P=738, C=1400) == 2966
    spelled = {"s": "45", "P": "738", "C": "1400"}
    assert put_in("F = 2(s + P) + C", spelled) == "2 × (45 + 738) + 1400"
    assert put_in("w = C - 2r", {"C": "820", "r": "5"}) == "820 - 2 × 5"
    assert put_in("w = most(C, r)", {"C": "820", "r": "5"}) == "most(820, 5)"


@pytest.mark.parametrize(
    "text",
    ["w", "w =", "w = C P", "w = Q", "w = __import__", "w = C.real", "w = b(C)", "w = C if b",
     "w = C; b", "w = C[0]", "w = (C", "2 = C", "w = least(C", "w = C == b", "w = 'C'"],
)  # fmt: skip
def test_what_is_no_rule_is_refused_and_named(text: str) -> None:
    with pytest.raises(RuleError, match=re.escape("rule ")):
        Rule(text, MEANS)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.sampled_from("+-×/"), st.sampled_from("CmbPrs")), max_size=6))
def test_it_computes_as_python_does(terms: list[tuple[str, str]]) -> None:
    put = {"C": 7.0, "m": 2.5, "b": -3.0, "P": 11.0, "r": 0.5, "s": 4.0}
    text = "C" + "".join(f" {sign} {symbol}" for sign, symbol in terms)
    rule = Rule(f"w = {text}", MEANS)
    expected = eval(text.replace("×", "*"), {}, put)
    assert rule(**{each: put[each] for each in rule.symbols}) == pytest.approx(expected)
