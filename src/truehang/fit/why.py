"""Why is each number of the arrangement what it is? One figure for each number acted on."""

from __future__ import annotations

import re
from dataclasses import replace

from truehang.catalogue.leaves import MASS
from truehang.figures import Figure
from truehang.fit.gaps import GAP_TARGET
from truehang.fit.geometry import (
    AIR,
    CLEAR_HEIGHT,
    FRAME_HEIGHT,
    PACK,
    POCKET,
    ROUGH_HEIGHT,
    ROUGH_WIDTH,
    TRAVEL,
    across,
)
from truehang.fit.model import (
    Arrangement,
    FitRequest,
    FloorGap,
    FloorHere,
    Heights,
    Option,
    Pack,
    Rod,
)
from truehang.fit.packers import lowest_support
from truehang.fit.solve import Solved
from truehang.lengths import said
from truehang.message import message
from truehang.rule import Given

GEOMETRY = "geometry of the arrangement"
PRACTICE = "common practice, no source"


def arrangement_figures(
    request: FitRequest,
    option: Option,
    one: Solved,
    made: Arrangement,
) -> tuple[Figure, ...]:
    """All figures of an arrangement; keys "fit.<name>", marks "fit.mark.<key>"."""
    heights, rod = made.heights, made.rod
    ends = _ends(option, one, heights, rod)
    sizes = (*_width_figures(request, one), *_height_figures(request, option, one, heights))
    sizes = _with_wishes(request, one, sizes)
    return (
        *(replace(size, ends=ends.get(size.key.removeprefix("fit."))) for size in sizes),
        *_section_figures(request.wall.stud, one),
        *_pack_figures(made.packs),
        *_gap_figures(made.floor_gaps),
        *_mark_figures(rod),
        *_frame_marks(one, rod),
    )


_WISH_MET = 0.05
"""Within this (mm) a wish is met: no tape shows less."""


def _with_wishes(request: FitRequest, one: Solved, sizes: tuple[Figure, ...]) -> tuple[Figure, ...]:
    """The same, with the reason beside each that is not what was wished."""
    wishes = request.wishes
    asked = {
        "fit.passage": (wishes.clear_width, _why_wider(one, request.step)),
        "fit.clear_height": (wishes.clear_height, _why_higher(one, request.step)),
        "fit.handle_height": (wishes.handle_height, "the pull has to stay on the leaf"),
    }
    made = []
    for size in sizes:
        wish, why = asked.get(size.key, (None, ""))
        given = size.value
        if wish is not None and isinstance(given, float) and abs(given - wish) > _WISH_MET:
            size = replace(
                size, instead=message(f"{said(wish)} wished, {said(given)} given: {why}")
            )
        made.append(size)
    return tuple(made)


def _why_wider(one: Solved, step: float) -> str:
    """Why the passage is not the one wished: how wide leaves come."""
    wide = said(one.widths.leaf)
    if one.leaf.made_to_size and one.kit.made_to_size and not one.shelf:
        return f"leaves are ordered in steps of {said(step)}, none under " \
            f"{said(_least_width(one))}; {wide} is the next that leaves it"  # fmt: skip
    return f"leaf and kit come in set widths; {wide} is the next that leaves it"


def _why_higher(one: Solved, step: float) -> str:
    """Why the clear height is not the one wished: how high leaves come."""
    high = said(one.leaf_height)
    least = said(max(one.kit.leaf_height.least, one.leaf.height.least))
    if one.leaf.made_to_size and one.kit.made_to_size and not one.shelf:
        return f"leaves are ordered in steps of {said(step)}, none under {least}; {high} is the " \
            "next that leaves it"  # fmt: skip
    return f"leaf and kit come in set heights; {high} is the next that leaves it"


def _least_width(one: Solved) -> float:
    return max(one.kit.leaf_width.least, one.leaf.width.least)


def _ends(
    option: Option, one: Solved, heights: Heights, rod: Rod
) -> dict[str, tuple[float, float]]:
    """The marks that each size lies between, so that it prints as they do. Not the frame's width
    and the pocket's: head member, battens and kit are cut or bought to those, in one size."""
    at = {mark.key: mark.at for mark in rod.along}
    return {
        "opening": (one.opening.low, one.opening.high),
        "rough_width": (at["rough-left"], at["rough-right"]),
        "clear_height": (heights.floor_high, heights.clear_head),
        "frame_height": (heights.level_line, heights.head_top),
        "rough_height": (heights.rough_head - option.rough_height, heights.rough_head),
        "handle_height": (heights.floor_high, heights.handle),
    }


def _mm(
    key: str, label: str, value: float, rule: str, inputs: tuple[str, ...], source: str = GEOMETRY
) -> Figure:
    return Figure(f"fit.{key}", label, value, "mm", rule, inputs, source)


def _kit(one: Solved, **symbols: str) -> dict[str, Given]:
    """The kit's numbers for these symbols, by the names of its fields."""
    return {
        symbol: Given(getattr(one.kit, name), f"catalogue:kits.{one.kit.id}.{name}")
        for symbol, name in symbols.items()
    }


def _width_figures(request: FitRequest, one: Solved) -> tuple[Figure, ...]:
    rules, wide = across(one.pair), one.widths
    opening = Given(wide.opening, "fit.opening")
    leaf = Given(wide.leaf, "fit.leaf_width")
    pocket = Given(wide.pocket, "fit.pocket_length")
    frame = Given(wide.frame, "fit.frame_width")
    out = Given(one.sym.r, "fit.standing_out")
    kit = _kit(one, m="meeting_gap", b="tail") if one.pair else _kit(one, a="lead", b="tail")
    ends = _kit(one, s="back_stud") if one.pair else _kit(one, s="back_stud", j="closing_jamb")
    return (
        *_opening_figures(request, one),
        rules.passage.figure(
            "fit.passage", "clear passage with leaves open", {"C": opening, "r": out}, GEOMETRY
        ),
        rules.leaf.figure("fit.leaf_width", "leaf width to order", {"C": opening, **kit}, GEOMETRY),
        POCKET.figure(
            "fit.pocket_length",
            "pocket, mouth to back",
            {"w": leaf, "r": out, **_kit(one, g="buffer_space")},
            GEOMETRY,
        ),
        rules.frame.figure(
            "fit.frame_width", "frame width", {"C": opening, "P": pocket, **ends}, GEOMETRY
        ),
        ROUGH_WIDTH.figure(
            "fit.rough_width",
            "rough opening width",
            {"F": frame, **_kit(one, c="side_clearance")},
            PRACTICE,
        ),
        TRAVEL.figure(
            "fit.travel",
            "travel of each leaf",
            {"w": leaf, "r": out, **_kit(one, b="tail")},
            GEOMETRY,
        ),
        rules.lost_wall.figure(
            "fit.lost_wall",
            "wall given up to pockets and back studs",
            {"P": pocket, **_kit(one, s="back_stud")},
            GEOMETRY,
        ),
    )


def _opening_figures(request: FitRequest, one: Solved) -> tuple[Figure, Figure]:
    """Where all other widths come from: how far an open leaf stands out, and the opening."""
    kit = f"catalogue:kits.{one.kit.id}"
    wished = request.width_inputs if request.wishes.clear_width is not None else ()
    return (
        _mm(
            "standing_out",
            "leaf left standing out when open (r)",
            one.sym.r,
            "the kit's, more where the pull must clear the mouth or be in reach of the open leaf",
            (f"{kit}.standing_out", "job:wishes.handle"),
        ),
        _mm(
            "opening",
            "clear opening between mouths" if one.pair else "clear opening, mouth to closing jamb",
            one.widths.opening,
            (
                "C from the wished passage"
                if wished
                else "largest C with F + 2 x clearance inside the space"
            )
            + f", leaf in steps of {said(request.step)}",
            (*wished, *request.space_inputs, "fit.standing_out"),
        ),
    )


def _height_figures(
    request: FitRequest, option: Option, one: Solved, heights: Heights
) -> tuple[Figure, ...]:
    line = Given(one.level_line, "fit.level_line")
    bottom = Given(one.leaf_bottom, "fit.leaf_bottom")
    leaf = Given(one.leaf_height, "fit.leaf_height")
    return (
        *_level_figures(request, one),
        CLEAR_HEIGHT.figure(
            "fit.clear_height",
            "clear height over finished floor",
            {
                "B": bottom,
                "h": leaf,
                "f": Given(one.floor_high, "fit.mark.floor-high"),
                **_kit(one, k="head_cover"),
            },
            GEOMETRY,
        ),
        FRAME_HEIGHT.figure(
            "fit.frame_height",
            "frame height",
            {"B": bottom, "h": leaf, "L": line, **_kit(one, u="hanging_allowance", d="head_depth")},
            GEOMETRY,
        ),
        ROUGH_HEIGHT.figure(
            "fit.rough_height",
            "rough opening height, from the lowest floor under a support",
            {
                "L": line,
                "z": Given(lowest_support(request.floor, one.supports), "job:floor.stations"),
                "E": Given(one.frame_height, "fit.frame_height"),
                **_kit(one, c="head_clearance"),
            },
            PRACTICE,
        ),
        _mm(
            "handle_height",
            "pull over finished floor",
            heights.handle - one.floor_high,
            "mid-height of the leaf, or as wished, inside the rule set's limits",
            ("fit.leaf_height", "job:wishes.handle_height"),
            PRACTICE if request.access is None else request.access.source,
        ),
        *_bought_figures(option, one),
    )


def _level_figures(request: FitRequest, one: Solved) -> tuple[Figure, ...]:
    """How high everything stands: the level line, and the leaf over it."""
    kit = f"catalogue:kits.{one.kit.id}"
    return (
        _mm(
            "level_line",
            "level line, from the level datum",
            one.level_line,
            "highest support + least pack, and over every floor that a base stands on",
            ("job:floor.stations", "job:packers"),
            PRACTICE,
        ),
        _mm(
            "leaf_bottom",
            "leaf bottom, from the level datum",
            one.leaf_bottom,
            "level line + design gap + new flooring; evenly about the design gap where the floor "
            f"falls too much for {said(GAP_TARGET.low)} to {said(GAP_TARGET.high)}, moved in steps "
            f"of {said(1.0)}",
            ("fit.level_line", f"{kit}.floor_gap", "job:floor.to_come", "job:floor.stations"),
            PRACTICE,
        ),
        _mm(
            "leaf_height",
            "leaf height to order",
            one.leaf_height,
            "from leaf bottom to what the head allows or the clear height asks, down in "
            f"steps of {said(request.step)}"
            + (f"; {said(request.head_keep)} kept for a new head" if request.head_keep else ""),
            ("fit.leaf_bottom", *request.head_inputs, f"{kit}.hanging_allowance"),
        ),
    )


def _bought_figures(option: Option, one: Solved) -> tuple[Figure, ...]:
    """What leaves and frame weigh and cost, and when they come."""
    kit, leaf = f"catalogue:kits.{one.kit.id}", f"catalogue:leaves.{one.leaf.id}"
    return (
        MASS.figure(
            "fit.leaf_mass",
            "mass of one leaf",
            {
                "w": Given(one.widths.leaf, "fit.leaf_width"),
                "h": Given(one.leaf_height, "fit.leaf_height"),
                "e": Given(one.leaf.surface_density, f"{leaf}.surface_density", "kg/m2"),
            },
            GEOMETRY,
            unit="kg",
        ),
        Figure(
            "fit.price_minor",
            "frame and leaves",
            option.price_minor,
            f"minor units of {option.currency}",
            "frame + leaves + soft close where asked, before labour, lining, tax, margin",
            (kit, leaf, "fit.leaf_width", "fit.leaf_height"),
            "the catalogue",
        ),
        Figure(
            "fit.lead_time",
            "lead time",
            option.lead_time_days,
            "days",
            "the longer of frame and leaf",
            (f"{kit}.lead_time_days", f"{leaf}.lead_time_days"),
            "the catalogue",
        ),
    )


def _section_figures(stud: float, one: Solved) -> tuple[Figure, ...]:
    kit, leaf = f"catalogue:kits.{one.kit.id}", f"catalogue:leaves.{one.leaf.id}"
    site = bool(one.kit.rib_stock)
    return (
        _mm(
            "rib_thickness",
            "rib thickness",
            one.ribs.thickness,
            "thickest batten that leaves the least air" if site else "the kit's for this stud",
            (
                (
                    "job:wall.make_up.studs.depth",
                    f"{leaf}.thickness",
                    f"{kit}.rib_stock",
                    f"{kit}.air_least",
                )
                if site
                else ("job:wall.make_up.studs.depth", f"{kit}.walls")
            ),
        ),
        AIR.figure(
            "fit.air",
            "air each side of the leaf",
            {
                "D": Given(stud, "job:wall.make_up.studs.depth"),
                "q": Given(one.ribs.thickness, "fit.rib_thickness"),
                "T": Given(one.leaf.thickness, f"{leaf}.thickness"),
            },
            GEOMETRY,
        ),
    )


def _pack_figures(packs: tuple[Pack, ...]) -> tuple[Figure, ...]:
    return tuple(
        replace(
            PACK.figure(
                f"fit.pack.{pack.key}",
                f"pack under {pack.label}, floor here to level line",
                {
                    "L": Given(pack.floor + pack.height, "fit.level_line"),
                    "z": Given(pack.floor, "job:floor.stations"),
                },
                GEOMETRY,
            ),
            ends=(pack.floor, pack.floor + pack.height),
        )
        for pack in packs
    )


def floor_here_figures(places: tuple[FloorHere, ...]) -> tuple[Figure, ...]:
    """The level line over the floor at each support, stud and jamb: where a tape is hooked."""
    return tuple(
        replace(
            PACK.figure(
                f"fit.floor_here.{place.key}",
                f"level line over the floor as it is now, {place.label}",
                {
                    "L": Given(place.line, "fit.level_line"),
                    "z": Given(place.floor, "job:floor.stations"),
                },
                GEOMETRY,
            ),
            ends=(place.floor, place.line),
        )
        for place in places
    )


def _gap_figures(gaps: tuple[FloorGap, ...]) -> tuple[Figure, ...]:
    made: list[Figure] = []
    for at, gap in enumerate(gaps):
        inputs = ("fit.leaf_bottom", "job:floor.stations", "fit.travel")
        down = ", when the floor is down" if gap.to_come else ""
        made += [
            _mm(
                f"floor_gap.{at}.{which}",
                f"{which} floor gap{down}, {gap.leaf}",
                value,
                "leaf bottom - finished floor along the travel",
                inputs,
            )
            for which, value in (("least", gap.least), ("most", gap.most))
        ]
        if gap.off:
            made += [
                _mm(
                    f"floor_gap.{at}.{which}_on_stacks",
                    f"{which} floor gap{down}, on the stacks as they are made, {gap.leaf}",
                    value,
                    f"{which} floor gap {sign} what a stack is {than} than its pack",
                    (f"fit.floor_gap.{at}.{which}", "job:packers"),
                )
                for which, value, sign, than in (
                    ("least", gap.least_built, "-", "thinner"),
                    ("most", gap.most_built, "+", "thicker"),
                )
            ]
        if gap.to_come:
            made += [
                _mm(
                    f"floor_gap.{at}.{which}_now",
                    f"{which} floor gap now, before the floor to come is laid, {gap.leaf}",
                    value,
                    "floor gap when the floor is down + floor to come",
                    (f"fit.floor_gap.{at}.{which}", "job:floor.to_come"),
                )
                for which, value in (("least", gap.least_now), ("most", gap.most_now))
            ]
    least = tuple(f"fit.floor_gap.{at}.least" for at in range(len(gaps)))
    made.append(
        _mm(
            "floor_gap",
            "least floor gap under any leaf",
            min(gap.least for gap in gaps),
            "the least of all leaves",
            least,
        )
    )
    return tuple(made)


def _mark_figures(rod: Rod) -> tuple[Figure, ...]:
    made = []
    for mark in rod.marks:
        made.append(
            _mm(
                f"mark.{mark.key}",
                mark.label if mark.axis == "x" else f"{mark.label}, from the level datum",
                mark.at,
                "distance from the datum mark along the wall"
                if mark.axis == "x"
                else "height over the level datum",
                _mark_inputs(mark.key, mark.axis),
            )
        )
    return tuple(made)


_ON_THE_FRAME = re.compile(r"(left|right)-(back|rib-\d+|mouth)|jamb")


def _frame_marks(one: Solved, rod: Rod) -> tuple[Figure, ...]:
    """The marks of the frame itself, from its left end, for it lies on the floor while it is put
    together; each as the difference of the two marks along the wall, so that they agree."""
    return tuple(
        replace(
            _mm(
                f"on_frame.{mark.key}",
                f"{mark.label}, from the frame's left end",
                mark.at - one.frame.low,
                "mark along the wall - frame, left edge",
                (f"fit.mark.{mark.key}", "fit.mark.frame-left"),
            ),
            ends=(one.frame.low, mark.at),
        )
        for mark in rod.along
        if _ON_THE_FRAME.fullmatch(mark.key)
    )


def _mark_inputs(key: str, axis: str) -> tuple[str, ...]:
    """What a mark's place follows from: the frame's place and the widths between."""
    if axis == "z":
        if key in ("level-datum", "floor-high", "floor-low"):
            return ("job:floor.stations",)
        if key in ("level-line", "leaf-bottom"):
            return (f"fit.{key.replace('-', '_')}",)
        if key == "handle":
            return ("fit.handle_height", "job:floor.stations")
        return ("fit.leaf_bottom", "fit.leaf_height", "fit.frame_height")
    if key == "frame-left":
        return ("job:wishes.place", "fit.frame_width")
    if key.startswith("rough"):
        return ("fit.mark.frame-left", "fit.rough_width")
    if key == "frame-right":
        return ("fit.mark.frame-left", "fit.frame_width")
    if "leaf" in key:
        return ("fit.mark.frame-left", "fit.pocket_length", "fit.leaf_width", "fit.travel")
    return ("fit.mark.frame-left", "fit.pocket_length", "fit.opening")
