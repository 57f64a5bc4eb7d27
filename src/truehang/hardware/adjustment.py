"""Which hanger bolts turn, how far and which way, so that the leaf hangs true?

A leaf is stiff and hangs on two bolts. Raising the leading bolt by a and the trailing by b lifts
the place x from the leading edge by a + (b - a)(x - x1)/(x2 - x1), and leans the leaf by
(a - b)/(x2 - x1): its foot goes towards the leading side, so (gap at top - gap at bottom) of the
leading edge grows by that lean times the leaf's height. Every gap read gives one linear equation;
least squares of what is left; then whole quarter turns within what the bolts have left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.hardware.inputs import Hangers, HardwareError, LeafAsHung, MeetingGaps, need_number
from truehang.hardware.results import BoltTurn, HangingAdjustment, HangingLeft, Residual
from truehang.lengths import said
from truehang.message import message

Array = NDArray[np.float64]
Integers = NDArray[np.int64]

QUARTERS = 4
FLOOR_WEIGHT = 0.3
"""A floor gap may be 5 out where closing edges may be 1.5 out of parallel (common practice, no
source), so a miss of a floor gap counts that much less."""
CLOSE_ENOUGH = 1.0
"""A gap left more than this from its target (mm) is worth a word."""
SOURCE = "geometry of a stiff leaf on two bolts"
BOLTS: tuple[Literal["leading", "trailing"], ...] = ("leading", "trailing")


@dataclass(frozen=True, slots=True)
class _Equation:
    """`read + row . raises = target`, raises being mm up at each bolt (two per leaf)."""

    name: str
    row: Array
    read: float
    target: float
    weight: float = 1.0
    to_come: float = 0.0
    """What floor still to come will take of this gap, mm."""


def hang_true(
    leaves: Sequence[LeafAsHung], meeting: MeetingGaps | None = None
) -> HangingAdjustment:
    """Quarter turns for one leaf, or for a pair so that its edges are parallel and heads level.

    Raises HardwareError when nothing was read, or for other than one leaf or a pair.
    """
    if not 1 <= len(leaves) <= 2:
        raise HardwareError(f"leaves: {len(leaves)} given; adjust one leaf or a pair")
    equations = _equations(leaves, meeting)
    if not equations:
        raise HardwareError("gaps: nothing was read; read the gap under both ends of the leaf")
    rows = np.array([equation.row for equation in equations])
    short = np.array([equation.target - equation.read for equation in equations])
    weight = np.array([equation.weight for equation in equations])
    ideal = np.linalg.lstsq(rows * weight[:, None], short * weight, rcond=None)[0]
    step = np.array([leaf.hangers.pitch / QUARTERS for leaf in leaves for _ in BOLTS])
    down, up = _room(leaves, step)
    wanted = np.round(ideal / step).astype(np.int64)
    quarters = _best_quarters(
        rows * step * weight[:, None], short * weight, np.clip(wanted, -down, up), down, up
    )
    fits = bool(np.all((wanted >= -down) & (wanted <= up)))
    after = rows @ (quarters * step)
    residuals = tuple(
        Residual(
            message(e.name),
            e.read,
            e.target,
            float(e.read + moved),
            float(e.read + moved) - e.to_come if e.to_come else None,
        )
        for e, moved in zip(equations, after, strict=True)
    )
    turns = _turns(leaves, quarters, step)
    return HangingAdjustment(
        turns=turns,
        residuals=residuals,
        within_range=fits,
        figures=_figures(turns, residuals),
        findings=tuple(_findings(leaves, ideal, fits, residuals)),
    )


def hanging_left(
    hangers_range: float, raised: tuple[float, float], name: str, number: int = 0
) -> HangingLeft:
    """What is left on the bolts once the leaf has been raised (mm, leading first; minus: lowered).

    The bolts are delivered in the middle of `hangers_range`. Feed it what the head's deflection
    and the track's level take.
    """
    need_number("hangers_range", hangers_range, "the kit's whole range in mm")
    half = hangers_range / 2.0
    up = (half - raised[0], half - raised[1])
    down = (half + raised[0], half + raised[1])
    worst = min(*up, *down)
    findings: tuple[Finding, ...] = ()
    if worst < 0.0:
        findings = (
            Finding(
                Severity.WARN,
                name,
                f"hanging it level takes {said(max(abs(r) for r in raised), 1)} of bolt; "
                f"{said(half, 1)} is there each way",
                "pack or plane the track level first, or stiffen the head",
                "the kit's hanging range",
            ),
        )
    figure = Figure(
        f"hardware.{number}.hanging_left",
        f"{name}: hanging adjustment left, the lesser way",
        worst,
        "mm",
        "half the kit's range - what hanging level takes",
        ("catalogue:kits", f"structure.track_head.{number}.hung_drop"),
        "the kit's hanging range; bolts delivered in the middle: common practice, no source",
    )
    return HangingLeft(
        (max(up[0], 0.0), max(up[1], 0.0)), (max(down[0], 0.0), max(down[1], 0.0)), worst,
        (figure,), findings,
    )  # fmt: skip


def lift(hangers: Hangers, x: float) -> tuple[float, float]:
    """How far the place `x` rises for 1 mm on the leading and on the trailing bolt."""
    share = (x - hangers.leading) / (hangers.trailing - hangers.leading)
    return 1.0 - share, share


def _lean(leaf: LeafAsHung) -> tuple[float, float]:
    """How (gap at top - gap at bottom) of the leading edge grows for 1 mm on each bolt."""
    lever = leaf.height / (leaf.hangers.trailing - leaf.hangers.leading)
    return lever, -lever


def _equations(leaves: Sequence[LeafAsHung], meeting: MeetingGaps | None) -> list[_Equation]:
    size = 2 * len(leaves)

    def row(*parts: tuple[int, tuple[float, float], float]) -> Array:
        made = np.zeros(size)
        for index, pair, sign in parts:
            made[2 * index : 2 * index + 2] += sign * np.asarray(pair)
        return made

    found = []
    for i, leaf in enumerate(leaves):
        gaps = leaf.gaps
        ends = (
            ("leading", 0.0, gaps.floor_leading, gaps.target_leading),
            ("trailing", leaf.width, gaps.floor_trailing, gaps.target_trailing),
        )
        for end, x, read, target in ends:
            if read is not None and target is not None:
                name = f"{leaf.name}: gap under the {end} end"
                found.append(
                    _Equation(
                        name,
                        row((i, lift(leaf.hangers, x), 1.0)),
                        read,
                        target,
                        FLOOR_WEIGHT,
                        gaps.floor_to_come,
                    )
                )
        if gaps.edge_top is not None and gaps.edge_bottom is not None:
            name = f"{leaf.name}: closing edge, top less bottom"
            read = gaps.edge_top - gaps.edge_bottom
            found.append(_Equation(name, row((i, _lean(leaf), 1.0)), read, 0.0))
    if meeting is None:
        return found
    if len(leaves) != 2:
        raise HardwareError("meeting: gaps where a pair meets need two leaves; leave them out")
    first, second = leaves
    if meeting.top is not None and meeting.bottom is not None:
        both = row((0, _lean(first), 1.0), (1, _lean(second), 1.0))
        read = meeting.top - meeting.bottom
        found.append(_Equation("meeting edges, top less bottom", both, read, 0.0))
    if meeting.step is not None:
        both = row((0, lift(first.hangers, 0.0), 1.0), (1, lift(second.hangers, 0.0), -1.0))
        name = f"heads at the meeting edge, {first.name} over {second.name}"
        found.append(_Equation(name, both, meeting.step, 0.0))
    return found


def _room(leaves: Sequence[LeafAsHung], step: Array) -> tuple[Integers, Integers]:
    """Whole quarter turns left down and up on each bolt."""
    down = np.array([left for leaf in leaves for left in leaf.hangers.down_left])
    up = np.array([left for leaf in leaves for left in leaf.hangers.up_left])
    tiny = 1e-9
    return (
        np.floor(down / step + tiny).astype(np.int64),
        np.floor(up / step + tiny).astype(np.int64),
    )


def _best_quarters(
    rows: Array, short: Array, start: Integers, down: Integers, up: Integers
) -> Integers:
    """Quarter turns with the least squared misses, reached by single steps on all bolts at once.

    The misses are convex in the turns, so stepping to the best neighbour ends; ties prefer
    fewer turns, shared between the bolts.
    """
    steps = np.array(list(product((-1, 0, 1), repeat=len(start))), dtype=np.int64)
    best = start
    while True:
        near = best + steps
        near = near[np.all((near >= -down) & (near <= up), axis=1)]
        missed = ((near @ rows.T - short) ** 2).sum(axis=1)
        cost = np.round(missed, 9) + 1e-7 * (near**2).sum(axis=1)
        pick = near[int(cost.argmin())]
        if np.array_equal(pick, best):
            return best
        best = pick


def _turns(leaves: Sequence[LeafAsHung], quarters: Integers, step: Array) -> tuple[BoltTurn, ...]:
    """One leaf at a time; the trailing bolt first, since the leading one sets the closing edge."""
    turns: list[BoltTurn] = []
    for i, leaf in enumerate(leaves):
        for bolt in (1, 0):
            at = 2 * i + bolt
            count, moved = int(quarters[at]), float(quarters[at] * step[at])
            way: Literal["up", "down", "leave"] = (
                "leave" if count == 0 else "up" if count > 0 else "down"
            )
            words = f"{leaf.name}, {BOLTS[bolt]} hanger: {turn_words(count)}"
            if count:
                words += f" ({'raises' if count > 0 else 'lowers'} it {said(abs(moved), 1)})"
            turns.append(
                BoltTurn(len(turns) + 1, leaf.name, BOLTS[bolt], count, way, moved, message(words))
            )
    return tuple(turns)


def turn_words(quarters: int) -> str:
    """Quarter turns in words: 5 is `1 1/4 turns up`, 0 is `leave it`."""
    if quarters == 0:
        return "leave it"
    whole, part = divmod(abs(quarters), QUARTERS)
    pieces = [str(whole)] if whole else []
    pieces += [str(Fraction(part, QUARTERS))] if part else []
    plural = "turns" if abs(quarters) > QUARTERS else "turn"
    return f"{' '.join(pieces)} {plural} {'up' if quarters > 0 else 'down'}"


def _figures(turns: tuple[BoltTurn, ...], residuals: tuple[Residual, ...]) -> tuple[Figure, ...]:
    read = ("job:prove.readings", "catalogue:kits")
    names = list(dict.fromkeys(turn.leaf for turn in turns))
    bolts = [
        Figure(
            f"hardware.adjust.{names.index(turn.leaf)}.{turn.hanger}",
            f"{turn.leaf}: turns of the {turn.hanger} hanger bolt, up",
            turn.quarters / QUARTERS,
            "turns",
            "least squares of the gaps, in quarter turns within the bolt's range",
            read,
            SOURCE,
        )
        for turn in turns
    ]
    gaps = [
        Figure(
            f"hardware.adjust.after.{number}",
            f"{residual.name}: expected after the turns",
            residual.after,
            "mm",
            f"read {residual.read:g} + movement of the bolts",
            tuple(bolt.key for bolt in bolts),
            SOURCE,
        )
        for number, residual in enumerate(residuals)
    ]
    return (*bolts, *gaps)


def _findings(
    leaves: Sequence[LeafAsHung], ideal: Array, fits: bool, residuals: tuple[Residual, ...]
) -> list[Finding]:
    where = " and ".join(leaf.name for leaf in leaves)
    findings = []
    if not fits:
        findings.append(
            Finding(
                Severity.WARN,
                where,
                f"hanging it true takes {said(float(np.abs(ideal).max()), 1)} on one bolt, more "
                "than the bolts have left; the turns given go as far as they can",
                "pack or level the track, then hang again",
                "the kit's hanging range",
            )
        )
    for residual in residuals:
        off = residual.after - residual.target
        if fits and abs(off) > CLOSE_ENOUGH:
            findings.append(
                Finding(
                    Severity.NOTE,
                    where,
                    f"{residual.name} will be {said(residual.after, 1)}, {said(abs(off), 1)} off: "
                    "the gaps can't all be had at once",
                    "read them again; if they stand, the floor, the jamb or the leaf is out of "
                    "true",
                    SOURCE,
                )
            )
    return findings
