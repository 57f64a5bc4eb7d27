"""The wall through a pocket: ribs, air, and what a site-built pocket is cut from."""

from __future__ import annotations

import itertools

import pytest

from truehang.fit import WallMakeup
from truehang.fit.section import Ribs, TooThin, layers, parts, rib_offsets, ribs
from truehang.lengths import said


def test_site_built_takes_the_thickest_batten_that_leaves_the_air(kit) -> None:  # type: ignore[no-untyped-def]
    # 90 - 35 - 2 x 7 = 41, 20.5 a side: 19 is the thickest; air (90 - 38 - 35)/2 = 8.5.
    assert ribs(kit("site-built"), 90, 35) == Ribs(19, 8.5)
    # 140 - 40 - 14 = 86, 43 a side: 42; air (140 - 84 - 40)/2 = 8.
    assert ribs(kit("site-built"), 140, 40) == Ribs(42, 8)


def test_site_built_in_a_thin_wall_says_how_short(kit) -> None:  # type: ignore[no-untyped-def]
    # 70 - 40 - 14 = 16, 8 a side; 12 is the thinnest: 4 a side, 8 in all.
    found = ribs(kit("site-built"), 70, 40)
    assert isinstance(found, TooThin)
    assert found.short_by == 8


@pytest.mark.parametrize(
    ("name", "stud", "leaf", "short", "mend"),
    [
        # 78 less two battens of 12 and 7 of air a side: 40; the kit takes 33 to 44
        ("site-built", 78, 43, 3, f"take a leaf of {said(33)} to {said(40)}, or fur the wall out "
         f"by {said(3)}"),
        # 70 less the same: 32, thinner than any leaf of it
        ("site-built", 70, 40, 8, f"fur the wall out by {said(8)}, or take another kit; none of "
         "its leaves is thin enough"),
        # 70 less two ribs of 12 and 4 of air a side: 38; the kit takes 33 to 36
        ("slim-70", 70, 44, 6, f"take a leaf that kit slim-70 takes ({said(33)} to {said(36)}), or "
         f"fur the wall out by {said(6)}"),
    ],
)  # fmt: skip
def test_a_leaf_too_thick_is_told_which_would_do(  # type: ignore[no-untyped-def]
    kit, name: str, stud: float, leaf: float, short: float, mend: str
) -> None:
    one = kit(name)
    found = ribs(one, stud, leaf)
    assert isinstance(found, TooThin)
    assert found.short_by == pytest.approx(short)
    assert found.mend == mend
    # what is told works, and no more would
    assert isinstance(ribs(one, stud, leaf - short), Ribs)
    assert isinstance(ribs(one, stud, leaf - short + 0.1), TooThin)


def test_kit_in_its_own_wall(kit) -> None:  # type: ignore[no-untyped-def]
    assert ribs(kit("timber-90"), 90, 40) == Ribs(16, 9)
    assert ribs(kit("slim-70"), 70, 35) == Ribs(12, 5.5)


def test_kit_in_another_wall_names_what_it_suits(kit) -> None:  # type: ignore[no-untyped-def]
    found = ribs(kit("slim-70"), 90, 35)
    assert isinstance(found, TooThin)
    assert f"suits studs of {said(70)}; the wall has {said(90)}" in found.what
    assert found.short_by == 20


def test_layers_fill_the_wall_without_a_gap() -> None:
    wall = WallMakeup(90, 10, 13)
    stack = layers(wall, Ribs(16, 9), 40)
    assert stack[0].y0 == 0
    assert stack[-1].y1 == wall.thickness == 113
    assert all(one.y1 == two.y0 for one, two in itertools.pairwise(stack))
    kinds = " ".join(layer.kind for layer in stack)
    assert kinds == "lining rib air leaf air rib lining"


@pytest.mark.parametrize("pocket", [300.0, 832.0, 1240.0, 1990.0])
def test_ribs_are_no_wider_apart_than_the_kit_allows(kit, pocket: float) -> None:  # type: ignore[no-untyped-def]
    one = kit("timber-90")
    offsets = rib_offsets(one, pocket)
    ends = [*offsets, pocket + one.back_stud / 2]
    steps = [b - a for a, b in itertools.pairwise(ends)]
    assert offsets[0] == one.rib_width / 2, "the first rib is at the mouth"
    assert max(steps) <= one.rib_spacing_most + 1e-6
    assert max(steps) == pytest.approx(min(steps))
    assert offsets[-1] + one.rib_width / 2 < pocket


def test_site_built_parts_by_hand(kit) -> None:  # type: ignore[no-untyped-def]
    # Single, pocket 872, frame 1782, frame height 2205: uprights 2205 - 90 = 2115;
    # ribs: bays of (872 + 22.5 - 21)/400 -> 3, so 3 ribs a face, 6 in all, 2115 - 42 long;
    # track 1782 - 45 - 45.
    found = {
        part.key: (part.count, part.length, part.section)
        for part in parts(kit("site-built"), Ribs(19, 8.5), 90, 872, (1782, 2205), pair=False)
    }
    assert found["head"] == (2, 1782, (45, 90))  # two laid flat: nothing is sold 90 x 90
    assert found["back-stud"] == (1, 2115, (45, 90))
    assert found["jamb"] == (1, 2115, (45, 90))
    assert found["rib"] == (6, 2073, (19, 42))
    assert found["base"] == (2, 872, (19, 42))
    assert found["track"][:2] == (1, 1692)
    assert found["hanger"][0] == 2


def test_a_kit_is_one_part(kit) -> None:  # type: ignore[no-untyped-def]
    (part,) = parts(kit("timber-90"), Ribs(16, 9), 90, 872, (1762, 2205), pair=False)
    assert (part.material, part.count, part.length) == ("kit", 1, 1762)
