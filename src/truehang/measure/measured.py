"""What do the readings say, all together? Screen, adjust, look for slips, and say it plainly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from truehang.findings import Finding, worst_first
from truehang.measure import say
from truehang.measure.adjustment import Solved, Terms, adjustment, global_test, solve
from truehang.measure.advice import WEAK, advise, unread
from truehang.measure.chance import limit_of, normals
from truehang.measure.network import BOW_PRIOR, RUN, SHAPE_KINDS, Network, build
from truehang.measure.profiles import SAME_STATION, faces, plain_run, profile, thickness
from truehang.measure.results import (
    Adjustment,
    Advice,
    FitChance,
    Measured,
    Profile,
    ReadingCheck,
    Run,
    Slip,
)
from truehang.measure.screen import screen
from truehang.measure.slips import Snooped, one_each, snoop, swapped
from truehang.measure.solver import NotSolved
from truehang.measure.stations import (
    Along,
    Line,
    again,
    checks,
    everywhere,
    is_loose,
    line_of,
    search,
)
from truehang.measure.stations import lines as lines_along
from truehang.measure.usable import SAMPLES, Station, draws_of, most_cautious, root_of
from truehang.reading import Reading
from truehang.reading.figure import NAMES

MOST_ALTERNATIVES = 6
LEAST_ROOM = 100.0
"""An opening with less than this, mm, is no opening: the readings contradict one another."""
SHAKY = 100.0
"""A corner less sure than this, mm, is not known at all."""
SURE = 0.99
"""Chance of fitting that the advised clearance is for (common practice, no source)."""


def adjust(readings: Sequence[Reading], *, seed: int = 0, bow_prior: float = BOW_PRIOR) -> Measured:
    """Everything that can be known from the readings of one opening or one stretch of wall.

    Never raises for what the readings say: what is wrong, missing or contradictory comes back as
    findings, and everything else is still worked out. `seed` fixes the draws behind the 95 %
    bounds, so the same readings always give the same result. `bow_prior` (mm) is how straight a
    side is that nobody read; 0 takes it as exactly straight.
    """
    sound, screened = screen(readings)
    along = _along(sound)
    as_read, trouble = _solved(sound, along.floor, bow_prior)
    if as_read is None:
        return _without_opening(sound, along, [*screened, *trouble], seed)
    lines = _beside(along.lines, as_read)
    tests = [as_read.tests, *(line.tests for line in lines)]
    limit = limit_of(tests, scattered=as_read.redundant > 0)
    snooped = _snooped(as_read, limit)
    if snooped is None:
        trouble = [say.contradiction_finding()]
        return _without_opening(sound, along, [*screened, *trouble], seed)
    terms = Terms(limit, _humps(sound, as_read, along.floor), _scatter(snooped), seed)
    opening, as_given, alternatives = _adjustments(snooped, terms)
    if not alternatives:
        return _without_opening(sound, along, [*screened, say.contradiction_finding()], seed)
    checked = _checked(lines, limit, opening)
    usable = most_cautious([a.usable for a in alternatives])
    bows = unread(snooped.sound, usable, terms, bow_prior)
    first = advise(snooped.sound)
    advised = {(each.kind, each.place) for each in first}
    bows = tuple(each for each in bows if (each.kind, each.place) not in advised)
    advice = (*first, *bows, *checked.advice)
    run = _run(snooped.sound) or plain_run(sound)
    findings = [
        *screened,
        *along.findings,
        *checked.findings,
        *say.opening_findings(opening, as_given, snooped, advice, limit),
    ]
    if snooped.slips and (pair := swapped(as_read, limit)) is not None:
        findings.append(say.swapped_finding(as_given, pair))
    return Measured(
        opening=opening,
        as_read=as_given,
        alternatives=alternatives,
        usable=usable,
        slips=(*snooped.slips, *checked.slips),
        along=checked.along,
        limit=limit,
        advice=advice,
        run=run,
        floor=along.floor,
        ceiling=along.ceiling,
        thickness=along.thickness,
        faces=along.faces,
        seed=seed,
        findings=worst_first(tuple(findings)),
        figures=say.figures(sound, opening, usable, run, along),
    )


def _along(readings: Sequence[Reading]) -> Along:
    floor, floor_findings = profile(readings, "floor")
    ceiling, ceiling_findings = profile(readings, "ceiling")
    wall, wall_findings = thickness(readings)
    bows, bow_findings = faces(readings)
    findings = (*floor_findings, *ceiling_findings, *wall_findings, *bow_findings)
    return Along(floor, ceiling, wall, bows, lines_along(readings), findings)


def _beside(along: Sequence[Line], solved: Solved) -> tuple[Line, ...]:
    """The lines that are to be tested by themselves: a run in the network is tested there."""
    ids = {o.id for o in solved.network.observations}
    return tuple(line for line in along if line.kind != "run" or line.readings[0].id not in ids)


@dataclass(frozen=True, slots=True)
class _Checked:
    along: tuple[ReadingCheck, ...]
    slips: tuple[Slip, ...]
    advice: tuple[Advice, ...]
    findings: tuple[Finding, ...]


def _checked(along: Sequence[Line], limit: float, opening: Adjustment | None) -> _Checked:
    """What the lines along the wall say of their own readings. What the opening's network checks
    as well is no longer unchecked."""
    slips: list[Slip] = []
    rows: list[ReadingCheck] = []
    loose: list[ReadingCheck] = []
    findings: list[Finding] = []
    well = {c.id for c in opening.readings if c.redundancy >= WEAK} if opening else set()
    for line in along:
        found = search(line, limit)
        own = checks(line, limit)
        # What the opening's own readings bear out is no slip, however steep the floor is.
        doubtful = [slip for slip in found.slips if not well.issuperset(slip.suspects)]
        slips += doubtful
        findings += [say.station_finding(own, slip, limit) for slip in doubtful]
        findings += [say.step_finding(line.kind, step) for step in found.steps]
        weak = [check for check in own if is_loose(check) and check.id not in well]
        if weak:
            findings.append(say.unchecked_stations(line.kind, weak, opening is not None))
        rows += own
        loose += weak
    return _Checked(tuple(rows), tuple(slips), tuple(map(again, loose)), tuple(findings))


def _without_opening(
    readings: Sequence[Reading], along: Along, findings: Sequence[Finding], seed: int
) -> Measured:
    """What still stands where there is no opening, or none that the readings can agree on."""
    run = plain_run(readings)
    limit = limit_of([line.tests for line in along.lines], scattered=False)
    checked = _checked(along.lines, limit, None)
    return Measured(
        opening=None,
        as_read=None,
        alternatives=(),
        usable=None,
        slips=checked.slips,
        along=checked.along,
        limit=limit,
        advice=checked.advice,
        run=run,
        floor=along.floor,
        ceiling=along.ceiling,
        thickness=along.thickness,
        faces=along.faces,
        seed=seed,
        findings=worst_first((*findings, *along.findings, *checked.findings)),
        figures=say.figures(readings, None, None, run, along),
    )


def _solved(
    readings: Sequence[Reading], floor: Profile | None, bow_prior: float
) -> tuple[Solved | None, list[Finding]]:
    """The adjusted network; None for a new opening, or with a finding why not."""
    if not any(reading.kind in SHAPE_KINDS for reading in readings):
        return None, []
    network = build(readings, floor, bow_prior)
    loose = _loose(network)
    if loose:
        return None, [say.loose_finding(loose)]
    try:
        solved = solve(network)
    except (NotSolved, np.linalg.LinAlgError):
        return None, [say.contradiction_finding()]
    shaky = _shaky(solved)
    return (None, [say.loose_finding(shaky)]) if shaky else (solved, [])


def _snooped(as_read: Solved, limit: float) -> Snooped | None:
    """The searched network; None where its readings contradict one another altogether."""
    try:
        snooped = snoop(as_read, limit)
    except (NotSolved, np.linalg.LinAlgError):
        return None
    return None if _shaky(snooped.sound) else snooped


def _scatter(snooped: Snooped) -> float:
    """How many times wider the readings scatter than was said, where that is likelier than slips:
    the bounds are as much wider."""
    test = global_test(snooped.as_read)
    return test.scatter if test is not None and snooped.worse > 1.0 else 1.0


def _shaky(solved: Solved) -> tuple[str, ...]:
    """What the readings fix in name only: "width", "height"; empty where corners are known."""
    sigmas = np.sqrt(np.sum(solved.solution.root**2, axis=1))
    unsure = [NAMES[c] for c, s in zip(solved.network.free, sigmas, strict=True) if s > SHAKY]
    across, up = (any(name.endswith(axis) for name in unsure) for axis in (".x", ".z"))
    return tuple(name for name, found in (("width", across), ("height", up)) if found)


def _loose(network: Network) -> tuple[str, ...]:
    """What no reading and no assumption fixes: "width", "height" or both; empty where all is."""
    free = list(network.free)
    jacobian = network.model(network.start[free])[1]
    if network.rank() == len(free):
        return ()
    _, sizes, axes = np.linalg.svd(jacobian, full_matrices=True)
    null = axes[int((sizes > 1e-7).sum()) :]
    moved = np.zeros(len(network.start))
    moved[free] = np.abs(null).max(axis=0)
    across, up = moved[[2, 4]].max() > 1e-3, moved[[5, 7]].max() > 1e-3
    return tuple(name for name, is_loose in (("width", across), ("height", up)) if is_loose)


def _humps(
    readings: Sequence[Reading], solved: Solved, floor: Profile | None
) -> tuple[Station, ...]:
    """Floor stations between the jambs that don't already read a corner or the middle."""
    if floor is None:
        return ()
    figure = solved.figure
    used = {o.id for o in solved.network.observations if o.kind == "floor"}
    taken = [reading.at or 0.0 for reading in readings if reading.id in used]
    left, right = max(figure[0], figure[6]), min(figure[2], figure[4])
    return tuple(
        station
        for station in floor.stations
        if left < station[0] < right and all(abs(station[0] - x) > SAME_STATION for x in taken)
    )


def _adjustments(
    snooped: Snooped, terms: Terms
) -> tuple[Adjustment, Adjustment, tuple[Adjustment, ...]]:
    """The opening, the opening as read, and all that may be true of it: those with any room."""
    as_read = adjustment(snooped.as_read, (), terms)
    if not snooped.slips:
        return as_read, as_read, (as_read,) if _has_room(as_read) else ()
    firsts = [slip.suspects[0] for slip in snooped.slips]
    opening = adjustment(snooped.sound, firsts, terms)
    others = [
        adjustment(solved, aside, terms)
        for aside, solved in one_each(snooped.as_read, snooped.slips)
    ]
    every = [each for each in (opening, as_read, *others) if _has_room(each)]
    return opening, as_read, tuple(every[:MOST_ALTERNATIVES]) if _has_room(opening) else ()


def _has_room(adjusted: Adjustment) -> bool:
    return min(adjusted.usable.width, adjusted.usable.height) > LEAST_ROOM


def _run(solved: Solved) -> Run | None:
    if RUN not in solved.network.free:
        return None
    index = solved.network.free.index(RUN)
    root = solved.solution.root[index]
    return Run(float(solved.solution.parameters[index]), float(root @ root) ** 0.5)


def fit_chance(
    measured: Measured,
    frame_width: float,
    frame_height: float,
    *,
    least_side: float = 3.0,
    least_head: float = 3.0,
    key: str = "measure.fit_chance",
) -> FitChance | None:
    """Will a frame of this size (mm) go in, plumb and level, and keep its least clearances?

    `least_side` is kept on each side and `least_head` in all upright. With slips, the worst of
    the alternatives counts. A new opening takes the run and the room from floor to ceiling.
    None where the readings give neither. `key` names the figures, for more than one frame.
    """
    cases = _sizes(measured)
    if not cases:
        return None
    need_width, need_height = frame_width + 2 * least_side, frame_height + least_head
    chances = [
        (
            float(np.mean((width >= need_width) & (height >= need_height))),
            float(np.mean(width >= need_width)),
            float(np.mean(height >= need_height)),
        )
        for width, height in cases
    ]
    nominal = measured.usable
    low_width = min(float(np.quantile(width, 1 - SURE)) for width, _ in cases)
    low_height = min(float(np.quantile(height, 1 - SURE)) for _, height in cases)
    wide = nominal.width if nominal else float(np.mean(cases[0][0]))
    tall = nominal.height if nominal else float(np.mean(cases[0][1]))
    chance = FitChance(
        width=frame_width,
        height=frame_height,
        least_side=least_side,
        least_head=least_head,
        probability=min(each[0] for each in chances),
        probability_width=min(each[1] for each in chances),
        probability_height=min(each[2] for each in chances),
        clearance_for_99=least_side + max(wide - low_width, 0.0) / 2,
        head_clearance_for_99=least_head + max(tall - low_height, 0.0),
        figures=(),
    )
    return say.with_figures(chance, key, opening=nominal is not None)


def _sizes(measured: Measured) -> list[tuple[np.ndarray, np.ndarray]]:
    """Drawn widths and heights (k each), one pair for each alternative."""
    if measured.alternatives:
        drawn = [draws_of(each, measured.seed) for each in measured.alternatives]
        return [(edges[:, 1] - edges[:, 0], edges[:, 3] - edges[:, 2]) for edges in drawn]
    if measured.run is None or measured.floor is None or measured.ceiling is None:
        return []
    lines = (line_of("floor", measured.floor), line_of("ceiling", measured.ceiling))
    room = [everywhere(line, measured.run.length) for line in lines]
    noise = normals(SAMPLES, 1 + sum(len(values) for values, _ in room), measured.seed)
    width = measured.run.length + measured.run.sigma * noise[:, 0]
    start, drawn = 1, []
    for values, covariance in room:
        part = noise[:, start : start + len(values)]
        drawn.append(values + part @ root_of(covariance).T)
        start += len(values)
    low, high = drawn
    return [(width, high.min(axis=1) - low.max(axis=1))]
