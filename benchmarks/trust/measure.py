"""Do the measure's own promises hold? Openings are made up, read with noise, and asked about.

Bounds of the usable opening, the chance that a frame goes in, slips and who is blamed for them,
and how often a sound job is blamed for anything.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TypeVar

import numpy as np
from benchmarks.trust.openings import SETS, opening, read, read_along
from benchmarks.trust.table import Row, Table

from truehang.findings import Severity
from truehang.measure import Measured, Reading, adjust, fit_chance

BOWS = (0.0, 2.0, 4.0)
SIDE, HEAD = 3.0, 3.0
_Case = TypeVar("_Case")
_Out = TypeVar("_Out")


def spread_out(work: Callable[[_Case], _Out], cases: Sequence[_Case]) -> list[_Out]:
    """`work` on every case, on two processes where there are many."""
    if len(cases) < 200:
        return [work(case) for case in cases]
    with ProcessPoolExecutor(2) as pool:
        return list(pool.map(work, cases, chunksize=50))


# ---------------------------------------------------------------- bounds and chances


@dataclass(frozen=True, slots=True)
class Said:
    """One opening: did both bounds hold, what chance was said for a frame, and did it go in?"""

    names: str
    bow: float
    held: bool
    chance: float
    went_in: bool


def said(case: tuple[str, float, int]) -> Said:
    """One made-up opening, read and asked about."""
    names, bow, seed = case
    rng = np.random.default_rng((seed, round(bow), zlib.crc32(names.encode())))
    true = opening(rng, bow)
    measured = adjust(read(true, SETS[names], rng))
    usable = measured.usable
    assert usable is not None, case
    width, height = true.usable
    held = width >= usable.width_low and height >= usable.height_low
    # A frame that may just go in, by its width, its height or both.
    most = rng.uniform(-0.5, 1.5, 2) + rng.choice([(0.0, 0.0), (0.0, 3.0), (3.0, 0.0)])
    frame = (
        usable.width - 2 * SIDE - most[0] * (usable.width - usable.width_low),
        usable.height - HEAD - most[1] * (usable.height - usable.height_low),
    )
    chance = fit_chance(measured, *frame, least_side=SIDE, least_head=HEAD)
    assert chance is not None
    went_in = width >= frame[0] + 2 * SIDE and height >= frame[1] + HEAD
    return Said(names, bow, held, chance.probability, went_in)


@lru_cache(maxsize=2)
def simulated(count: int) -> tuple[Said, ...]:
    """`count` openings of every reading set at every bow."""
    cases = [(names, bow, seed) for names in SETS for bow in BOWS for seed in range(count)]
    return tuple(spread_out(said, cases))


def coverage(quick: bool) -> Table:
    """Are both bounds true in one and the same opening, as often as is said?"""
    count = 200 if quick else 2000
    rows = []
    for names in SETS:
        shares = []
        for bow in BOWS:
            mine = [one.held for one in simulated(count) if (one.names, one.bow) == (names, bow)]
            shares.append(sum(mine) / len(mine))
        slack = 0.02 + 2 * (0.95 * 0.05 / count) ** 0.5
        rows.append(
            Row(
                f"{names} ({len(SETS[names])})",
                tuple(f"{100 * share:.1f} %" for share in shares),
                "95 % or more, 2 allowed",
                min(shares) >= 0.95 - slack,
            )
        )
    return Table(
        f"Both 95 % bounds of the usable opening hold together ({count} openings each)",
        tuple(f"bow sd {bow:g}" for bow in BOWS),
        tuple(rows),
    )


def chance(quick: bool) -> Table:
    """How often does a frame go in of which it was said that it would with some chance?"""
    count = 200 if quick else 2000
    rows = []
    for low in range(10):
        cells, met = [], True
        for names in ("every reading", None):
            for bow in BOWS:
                mine = [
                    one
                    for one in simulated(count)
                    if one.bow == bow
                    and (one.names == names if names else one.names != "every reading")
                    and low / 10 <= one.chance < (low + 1) / 10 + (low == 9)
                ]
                told = float(np.mean([one.chance for one in mine])) if mine else 0.0
                came = float(np.mean([one.went_in for one in mine])) if mine else 0.0
                slack = 0.05 + 3 * (0.25 / max(len(mine), 1)) ** 0.5
                met = met and came >= told - slack
                cells.append(f"{100 * told:.0f} / {100 * came:.0f} ({len(mine)})")
        rows.append(
            Row(f"{10 * low} to {10 * low + 10} %", tuple(cells), "came true as said, or more", met)
        )
    columns = [
        f"{which}, bow sd {bow:g}" for which in ("every reading", "the other sets") for bow in BOWS
    ]
    return Table(
        "The chance that the frame goes in: said / came true, % (openings)",
        tuple(columns),
        tuple(rows),
    )


# ---------------------------------------------------------------- slips and blame


@dataclass(frozen=True, slots=True)
class Blamed:
    """What came of one job: anything blamed, the true one among the named, how many, whether a
    worse instrument was offered, and whether the true one was listed as hardly checked."""

    blamed: bool
    named: bool
    count: int
    worse: bool
    listed: bool


def whole_job(
    rng: np.random.Generator, bow: float, noise: float = 1.0, names: str = "every reading"
) -> list[Reading]:
    """A reading set of an old opening, and the floor, ceiling and thickness along the run; with
    `noise` times the uncertainty that is said."""
    true = opening(rng, bow)
    found = read(true, SETS[names], rng)
    for kind, apart in (("floor", 600.0), ("ceiling", 1500.0), ("thickness", 1200.0)):
        found += read_along(rng, kind, true, apart)
    if noise == 1.0:
        return found
    return [
        replace(r, value=r.value + rng.normal(0.0, (r.sigma or 1.0) * (noise**2 - 1) ** 0.5))
        for r in found
    ]


def verdict(measured: Measured, slipped: str = "") -> Blamed:
    """What the carpenter is told."""
    text = " ".join(str(finding.what) for finding in measured.findings)
    worse = "instrument is worse" in text or "instruments are worse" in text
    stopped = any(finding.severity is Severity.STOP for finding in measured.findings)
    named = [suspect for slip in measured.slips for suspect in slip.suspects]
    listed = any(slipped in advice.checks for advice in measured.advice)
    return Blamed(stopped or worse, slipped in named, len(named), worse, listed)


Slipped = tuple[str, str, float, int]


def with_slip(case: Slipped) -> Blamed:
    """One job of a reading set with one reading off by so much."""
    names, name, size, seed = case
    rng = np.random.default_rng((seed, zlib.crc32(f"{names} {name} {size}".encode())))
    found = whole_job(rng, 2.0, names=names)
    off = size if rng.uniform() < 0.5 else -size
    found = [replace(r, value=r.value + off) if r.id == name else r for r in found]
    return verdict(adjust(found), name)


def without_slip(case: tuple[float, float, int]) -> Blamed:
    """One sound job; `noise` times as uncertain as said."""
    bow, noise, seed = case
    return verdict(adjust(whole_job(np.random.default_rng((seed, round(bow))), bow, noise)))


BLAME_AIMS = {5.0: 0.0, 8.0: 0.97, 11.0: 0.99, 25.0: 0.99}
MOST_NAMES = 3.0


def blame(quick: bool) -> Table:
    """Is the true one among the readings that are named, and are not too many named?"""
    each = 3 if quick else 30
    rows = [
        _blame(names, size, each) for names in ("every reading", "no bows") for size in BLAME_AIMS
    ]
    return Table(
        f"Who is blamed for one slip (each reading in turn, {each} jobs each, bow sd 2)",
        ("found", "true one named", "names on average", "least named", '"or the instrument"'),
        tuple(rows),
    )


def _blame(names: str, size: float, each: int) -> Row:
    aim = BLAME_AIMS[size]
    cases = [(names, name, size, seed) for name in SETS[names] for seed in range(each)]
    found = list(zip(cases, spread_out(with_slip, cases), strict=True))
    hits = [(case, one) for case, one in found if one.count]
    inside = float(np.mean([one.named for _, one in hits]))
    mean = float(np.mean([one.count for _, one in hits]))
    slack = 2 * (aim * (1 - aim) / len(hits)) ** 0.5 if each < 30 else 0.0
    return Row(
        f"{names}, {size:g} off",
        (
            f"{100 * len(hits) / len(found):.0f} %",
            f"{100 * inside:.1f} %",
            f"{mean:.2f}",
            _least_named(hits),
            f"{100 * np.mean([one.worse for _, one in hits]):.0f} %",
        ),
        f"{100 * aim:.0f} % named, {MOST_NAMES:g} names or fewer" if aim else "",
        (inside >= aim - slack and mean <= MOST_NAMES) if aim else None,
    )


def _least_named(hits: Sequence[tuple[Slipped, Blamed]]) -> str:
    names = dict.fromkeys(case[1] for case, _ in hits)
    shares = {n: np.mean([one.named for case, one in hits if case[1] == n]) for n in names}
    worst = min(shares, key=lambda name: shares[name])
    return f"{worst} {100 * shares[worst]:.0f} %"


STATION_SIZES = (8.0, 14.0, 25.0, 50.0)


def along(quick: bool) -> Table:
    """Are stations that are off found, or said to be hardly checked?"""
    jobs = 40 if quick else 200
    rows = []
    for name, title in (
        ("floor-3", "floor, 600 apart"),
        ("floor-1", "floor, the end"),
        ("ceiling-2", "ceiling, 1500 apart"),
        ("thickness-2", "thickness, 1200 apart"),
    ):
        cells, met = [], True
        for size in STATION_SIZES:
            cases = [("every reading", name, size, seed) for seed in range(jobs)]
            found = spread_out(with_slip, cases)
            named = sum(one.named for one in found) / jobs
            silent = sum(not one.named and not one.listed for one in found) / jobs
            cells.append(f"{100 * named:.0f} % / {100 * silent:.0f} %")
            met = met and (size < 14.0 or silent <= 0.05)
        rows.append(Row(title, tuple(cells), "from 14 on, silent 5 % or less", met))
    return Table(
        f"One station off: found and named / neither found nor listed as hardly checked "
        f"({jobs} jobs each)",
        tuple(f"{size:g} off" for size in STATION_SIZES),
        tuple(rows),
    )


def alarms(quick: bool) -> Table:
    """How often is a sound job blamed, and what is said when the instruments are worse?"""
    jobs = 300 if quick else 3000
    rows = []
    for bow in BOWS:
        found = spread_out(without_slip, [(bow, 1.0, seed) for seed in range(jobs)])
        share = sum(one.blamed for one in found) / jobs
        slack = 3 * (0.01 * 0.99 / jobs) ** 0.5
        rows.append(
            Row(
                f"sound jobs, bow sd {bow:g} ({jobs})",
                (f"{100 * share:.2f} %", ""),
                "1 % or less",
                share <= 0.01 + slack,
            )
        )
    few = jobs // 8
    found = spread_out(without_slip, [(2.0, 2.0, seed) for seed in range(few)])
    blamed = [one for one in found if one.blamed]
    told = sum(one.worse for one in blamed) / max(len(blamed), 1)
    rows.append(
        Row(
            f"noise twice what was said ({few})",
            (f"{100 * len(blamed) / few:.0f} %", f"{100 * told:.0f} %"),
            "the instrument named wherever it is likelier",
        )
    )
    return Table(
        "Sound jobs that are blamed, and jobs whose instruments are worse than said",
        ("blamed", 'of these: "or the instrument"'),
        tuple(rows),
    )
