"""How is what the measure found said to the carpenter? Findings with their mend, and figures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from truehang.figures import Figure
from truehang.findings import Finding, Severity
from truehang.lengths import said
from truehang.measure.advice import WEAK
from truehang.measure.blame import MAY_BE
from truehang.measure.chance import JOB_ALARM, SCATTER_ALARM
from truehang.measure.network import SHAPE_KINDS, UNSURE
from truehang.measure.results import (
    Adjustment,
    Advice,
    FitChance,
    GlobalTest,
    Profile,
    ReadingCheck,
    Run,
    Slip,
    Thickness,
    Usable,
)
from truehang.measure.screen import SOURCE
from truehang.measure.slips import Snooped
from truehang.measure.stations import Along
from truehang.reading import KINDS, Reading, side_name

BAARDA = (
    f"data snooping (Baarda 1968); of sound jobs {100 * JOB_ALARM:g} % are blamed for anything at "
    "all (simulated); power 80 %"
)
CHI_SQUARE = (
    f"chi-square test of the misfits, level {SCATTER_ALARM:g} (Ghilani, Adjustment Computations)"
)
ROUGHNESS = f"neighbours by least squares, a rough floor's prior (common practice); {BAARDA}"
_SHAPING = SHAPE_KINDS - {"bow"}
LEAST_SQUARES = "weighted least squares, known uncertainties (Ghilani, Adjustment Computations)"


def loose_finding(loose: Sequence[str]) -> Finding:
    """No reading fixes the width, the height or both."""
    missing = " and ".join(loose) or "shape"
    return Finding(
        Severity.STOP,
        "measure",
        f"the readings don't fix the opening's {missing}",
        " and ".join(
            f"read {'a width' if name == 'width' else 'a height'}"
            f" ({'bottom, middle and top' if name == 'width' else 'left, middle and right'})"
            for name in loose or ("width", "height")
        ),
        LEAST_SQUARES,
    )


def contradiction_finding() -> Finding:
    """The readings can't belong to one opening."""
    return Finding(
        Severity.STOP,
        "measure",
        "no opening has these widths, heights and diagonals: they contradict one another",
        "measure the opening again, all of it, and write each reading by its name",
        LEAST_SQUARES,
    )


def opening_findings(
    opening: Adjustment,
    as_read: Adjustment,
    snooped: Snooped,
    advice: Sequence[Advice],
    limit: float,
) -> list[Finding]:
    """All that is to be said about an adjusted opening."""
    slips, settled = snooped.slips, snooped.settled
    worse = as_read.global_test.scatter if as_read.global_test and snooped.worse >= MAY_BE else 0.0
    findings = [_slip_finding(as_read, slip, limit, worse, len(slips) == 1) for slip in slips]
    if not settled or len(slips) > 2:
        findings.append(_too_many(len(slips)))
    test = opening.global_test
    if test is not None and not test.passed and settled and not slips:
        findings.append(_scattered(test))
    findings += [_assumption(c) for c in opening.readings if c.assumed and c.kind != "bow"]
    findings += _unread_bows(opening, advice)
    findings += _unchecked(opening, [each for each in advice if each.kind not in _STATIONS])
    return findings


def _scattered(test: GlobalTest) -> Finding:
    return Finding(
        Severity.WARN,
        "measure",
        f"together the readings scatter {test.scatter:.1f} times as widely as their uncertainties "
        f"allow (chi-square {test.value:.1f}, limit {test.limit:.1f}): the instruments are worse "
        "than was said",
        "read all of it again with a better tape, or write the uncertainty that your instruments "
        "have (measure.instruments)",
        CHI_SQUARE,
    )


def _about(size: float) -> str:
    amount = said(abs(size), 1)
    return f"about {amount} too {'much' if size > 0 else 'little'}"


def _slip_finding(
    as_read: Adjustment, slip: Slip, limit: float, worse: float, alone: bool
) -> Finding:
    """`worse` is how widely the readings scatter, where the instrument may be at fault; else 0."""
    checks = {check.id: check for check in as_read.readings}
    first, *others = (checks[suspect] for suspect in slip.suspects)
    what = _off(first, slip, limit)
    told = [_or_this(other, alone) for other in others]
    if told:
        what += f"; or it is {', or '.join(told)}"
    if worse:
        what += (
            "; or the instrument is worse than you said: together the readings scatter "
            f"{worse:.1f} times as widely"
        )
    again = [check.label for check in (first, *others) if not check.assumed]
    guesses = [
        KINDS[check.kind].instead_at(check.place) for check in (first, *others) if check.assumed
    ]
    mends = [f"take these again: {', '.join(map(str, again))}" if again else "", *guesses]
    if worse:
        mends.append("or write the uncertainty that your instruments have (measure.instruments)")
    mend = "; ".join(part for part in mends if part)
    return Finding(Severity.STOP, f"measure.{slip.suspects[0]}", what, mend, BAARDA)


def _off(check: ReadingCheck, slip: Slip, limit: float) -> str:
    """What is wrong with the likeliest one."""
    if check.assumed:
        return f"{check.label}, but the readings say {said(abs(slip.size))} otherwise"
    return (
        f"{check.label} ({said(check.value, 1)}) reads {_about(slip.size)}, "
        f"give or take {said(2 * slip.sigma)} "
        f"(|w| {abs(slip.w):.1f}, limit {limit:.2f})"
    )


def _or_this(check: ReadingCheck, alone: bool) -> str:
    if check.assumed:
        return f"not {str(check.label).replace('taken as', 'that is')}"
    size = f" {_about(check.slip)}" if alone and check.slip is not None else ""
    return f"{check.label} ({said(check.value, 1)}){size}"


# ---------------------------------------------------------------- along the wall

_STATIONS = frozenset({"floor", "ceiling", "thickness", "run"})
_AGAIN = {
    "floor": "read the floor there again, from a level line set up anew, and write both readings "
    "(again): if they agree, the floor is so",
    "ceiling": "read the ceiling there again and write both readings: if they agree, the ceiling "
    "is so",
    "thickness": "read the thickness there again and write both readings (again): if they agree, "
    "the wall is so",
    "run": "read the run again, from its other end or in two parts, and write both readings",
}


def station_finding(along: Sequence[ReadingCheck], slip: Slip, limit: float) -> Finding:
    """A station does not go with its neighbours."""
    checks = {check.id: check for check in along}
    first, *others = (checks[suspect] for suspect in slip.suspects)
    told = [_or_this(other, alone=False) for other in others]
    told += [str(slip.instead)] if slip.instead else []
    what = _off(first, slip, limit) + "".join(f"; or {each}" for each in told)
    return Finding(Severity.STOP, f"measure.{first.id}", what, _AGAIN[first.kind], ROUGHNESS)


def step_finding(kind: str, step: tuple[float, float, float]) -> Finding:
    """The readings are all right if there is a step."""
    before, after, size = step
    return Finding(
        Severity.WARN,
        f"measure.{kind}",
        f"the {kind} steps by {said(size, 1, plus=True)} between x {said(before)} and "
        f"{said(after)}",
        "read on both sides of the step again and write each second reading too",
        ROUGHNESS,
    )


def unchecked_stations(kind: str, weak: Sequence[ReadingCheck], opening: bool) -> Finding:
    """Readings along the wall that no other reading checks, or hardly."""
    bare = [check for check in weak if check.least_slip is None]
    if bare:
        names = ", ".join(f"{check.label} ({said(check.value, 1)})" for check in bare)
        what = f"no reading checks {names}: a slip of any size would pass unseen"
    else:
        names = ", ".join(f"{check.label} ({said(check.least_slip or 0.0)})" for check in weak)
        what = f"only a slip larger than in brackets would show in: {names}"
    # Beside an old opening the ceiling and the thickness are a cross-check themselves.
    matters = bool(bare) and (kind in ("floor", "run") or (kind == "ceiling" and not opening))
    severity = Severity.WARN if matters else Severity.NOTE
    return Finding(severity, f"measure.{kind}", what, _AGAIN[kind], ROUGHNESS)


# ---------------------------------------------------------------- what was not read


def swapped_finding(as_read: Adjustment, pair: tuple[str, str]) -> Finding:
    """Two lengths agree when they change places."""
    labels = {check.id: f"{check.label} ({said(check.value, 1)})" for check in as_read.readings}
    first, second = (labels[each] for each in pair)
    return Finding(
        Severity.STOP,
        f"measure.{pair[0]}",
        f"all readings agree if {first} and {second} change places",
        "look whether these two were written the wrong way round",
        BAARDA,
    )


def _too_many(count: int) -> Finding:
    return Finding(
        Severity.STOP,
        "measure",
        f"{count} slips found and the rest still can't be trusted: "
        "the numbers alone don't say which readings are wrong",
        "measure the opening again, all of it",
        BAARDA,
    )


def _assumption(check: ReadingCheck) -> Finding:
    return Finding(
        Severity.WARN,
        f"measure.{check.kind}-{check.place}",
        f"{check.label}, give or take {said(check.sigma / UNSURE, 1)} (what is sure to 95 % "
        f"reckons with {said(check.sigma, 1)}): it was not read",
        KINDS[check.kind].instead_at(check.place),
        SOURCE,
    )


def _unread_bows(opening: Adjustment, advice: Sequence[Advice]) -> list[Finding]:
    """Sides that are straight only because nobody looked."""
    bows = [check for check in opening.readings if check.assumed and check.kind == "bow"]
    if not bows:
        return []
    sides = [side_name(check.place) for check in bows]
    prior = bows[0].sigma
    surer = max((each.surer for each in advice if each.kind == "bow"), default=0.0)
    worth = f"; it would make about {said(surer)} more of the opening sure" if surer >= 1 else ""
    return [
        Finding(
            Severity.NOTE,
            "measure.bow",
            f"the {_listed(sides)} {'was' if len(sides) == 1 else 'were'} not read for bow: taken "
            f"as straight, give or take {said(prior / UNSURE, 1)} (what is sure to 95 % reckons "
            f"with {said(prior, 1)})",
            f"read the bow of the {_listed(sides)} from a string, end to end{worth}",
            SOURCE,
        )
    ]


def _listed(names: Sequence[str]) -> str:
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]


def _unchecked(opening: Adjustment, advice: Sequence[Advice]) -> list[Finding]:
    weak = [c for c in opening.readings if not c.assumed and c.redundancy < WEAK]
    if not weak:
        return []
    names = ", ".join(str(check.label) for check in weak)
    labels = {check.id: check.label for check in opening.readings}
    if opening.global_test is None:
        what = "no reading is checked by another: a slip of any size would pass unseen"
    else:
        what = f"a slip would hardly show in: {names}"
    useful = [each for each in advice if each.checks]
    if useful:
        mend = "read as well: " + "; ".join(
            f"{a.label} (checks {', '.join(str(labels[each]) for each in a.checks)})"
            for a in useful
        )
    else:
        mend = f"read again, on their own, as second readings: {names}"
    shape = opening.global_test is None or any(c.kind in _SHAPING for c in weak)
    severity = Severity.WARN if shape else Severity.NOTE
    return [Finding(severity, "measure", what, mend, BAARDA)]


def figures(
    readings: Sequence[Reading],
    opening: Adjustment | None,
    usable: Usable | None,
    run: Run | None,
    along: Along,
) -> tuple[Figure, ...]:
    """Every number of the measure that a person acts on, with the readings behind it."""
    found: list[Figure] = []
    if opening is not None and usable is not None:
        found += _corner_figures(opening)
        found += _usable_figures(usable, opening)
    if run is not None:
        inputs = _paths(readings, "run", "clear") or ("job:measure.readings",)
        found.append(
            Figure(
                "measure.run",
                "wall run",
                run.length,
                "mm",
                "from the datum to the far end, adjusted with the clear runs",
                inputs,
                LEAST_SQUARES,
            )
        )
    found += _profile_figures(readings, along.floor, "floor")
    found += _profile_figures(readings, along.ceiling, "ceiling")
    if along.thickness is not None:
        found += _thickness_figures(readings, along.thickness)
    for bow in along.faces:
        found.append(
            Figure(
                f"measure.face.{bow.face}",
                f"face {bow.face}, worst bow over {said(bow.over)}",
                bow.worst,
                "mm",
                "largest hollow (-) or crown (+) for the straightedge's length",
                tuple(f"job:measure.readings.{r.id}" for r in readings if r.kind == "face"),
                SOURCE,
            )
        )
    return tuple(found)


def _paths(readings: Sequence[Reading], *kinds: str) -> tuple[str, ...]:
    return tuple(f"job:measure.readings.{r.id}" for r in readings if r.kind in kinds)


def _corner_figures(opening: Adjustment) -> Iterator[Figure]:
    inputs = tuple(f"job:measure.readings.{c.id}" for c in opening.readings if not c.assumed)
    for corner in opening.corners:
        for axis, value, sigma in (
            ("x", corner.x, corner.sigma_x),
            ("z", corner.z, corner.sigma_z),
        ):
            yield Figure(
                f"measure.{corner.name}.{axis}",
                f"{corner.name.replace('-', ' ')} corner, {axis}",
                value,
                "mm",
                f"least squares over all readings; standard uncertainty {said(sigma, 1)}",
                inputs,
                LEAST_SQUARES,
            )


def _usable_figures(usable: Usable, opening: Adjustment) -> Iterator[Figure]:
    across = tuple(f"measure.{corner.name}.x" for corner in opening.corners)
    up = tuple(f"measure.{corner.name}.z" for corner in opening.corners)
    source = "largest rectangle inside the outline (linear programme)"
    rows = (
        ("left", usable.left, across, f"touches {usable.held_by[0]}"),
        ("right", usable.right, across, f"touches {usable.held_by[1]}"),
        ("base", usable.base, up, f"touches {usable.held_by[2]}"),
        ("head", usable.head, up, f"touches {usable.held_by[3]}"),
    )
    for name, value, inputs, rule in rows:
        yield Figure(
            f"measure.usable_{name}",
            f"usable opening, {name}",
            value,
            "mm",
            rule,
            inputs,
            source,
        )
    for name, value, low, edges in (
        ("width", usable.width, usable.width_low, ("left", "right")),
        ("height", usable.height, usable.height_low, ("base", "head")),
    ):
        ends = tuple(f"measure.usable_{edge}" for edge in edges)
        yield Figure(
            f"measure.usable_{name}",
            f"usable {name}, plumb and level",
            value,
            "mm",
            f"{edges[1]} less {edges[0]}",
            ends,
            source,
        )
        yield Figure(
            f"measure.usable_{name}_low",
            f"usable {name}, sure to 95 %",
            low,
            "mm",
            "95 % of openings drawn from the adjustment's covariance have at least this and the "
            "other bound; sides that nobody read are reckoned twice as crooked as their prior",
            (f"measure.usable_{name}",),
            "JCGM 101:2008, propagation of distributions",
        )


def _profile_figures(
    readings: Sequence[Reading], found: Profile | None, kind: str
) -> Iterator[Figure]:
    if found is None:
        return
    inputs = _paths(readings, kind)
    for name, (x, z) in (("highest", found.highest), ("lowest", found.lowest)):
        yield Figure(
            f"measure.{kind}.{name}",
            f"{kind}, {name}",
            z,
            "mm",
            f"{name} station, at {x:.0f} along the run, from the level datum",
            inputs,
            SOURCE,
        )
    yield Figure(
        f"measure.{kind}.spread",
        f"{kind}, highest less lowest",
        found.spread,
        "mm",
        "highest less lowest",
        (f"measure.{kind}.highest", f"measure.{kind}.lowest"),
        SOURCE,
    )
    yield Figure(
        f"measure.{kind}.slope",
        f"{kind}, slope up to the right",
        found.slope,
        "mm per m",
        "weighted straight line through the stations",
        inputs,
        LEAST_SQUARES,
    )


def _thickness_figures(readings: Sequence[Reading], wall: Thickness) -> Iterator[Figure]:
    inputs = _paths(readings, "thickness")
    for name, label, value in (
        ("mean", "mean", wall.mean),
        ("least", "thinnest", wall.least),
        ("most", "thickest", wall.most),
    ):
        yield Figure(
            f"measure.thickness.{name}",
            f"finished wall, {label}",
            value,
            "mm",
            "weighted mean of the stations" if name == "mean" else f"{label} station",
            inputs,
            SOURCE,
        )


def with_figures(chance: FitChance, key: str, *, opening: bool) -> FitChance:
    """The same chance with its figures, keyed from `key`. Without an `opening` to fill, the room
    is the run's, from floor to ceiling."""
    inputs: tuple[str, ...] = ("measure.usable_width", "measure.usable_height")
    if not opening:
        inputs = ("measure.run", "measure.floor.highest", "measure.ceiling.lowest")
    source = "JCGM 101:2008, propagation of distributions"
    return replace(
        chance,
        figures=(
            Figure(
                key,
                f"chance that a frame of {said(chance.width)} x {said(chance.height)} goes in",
                chance.probability,
                "",
                f"share of drawn openings that leave {chance.least_side:g} each side and "
                f"{chance.least_head:g} upright; the worst where a slip is not settled",
                inputs,
                source,
            ),
            Figure(
                f"{key}.side",
                "clearance each side for 99 %",
                chance.clearance_for_99,
                "mm",
                "least clearance plus half the usable width's fall to its 1 % quantile",
                inputs,
                source,
            ),
            Figure(
                f"{key}.head",
                "clearance upright for 99 %",
                chance.head_clearance_for_99,
                "mm",
                "least clearance plus the usable height's fall to its 1 % quantile",
                inputs,
                source,
            ),
        ),
    )
