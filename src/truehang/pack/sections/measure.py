"""How well is the opening known? Readings, what they were adjusted to, slips, usable opening."""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Block, Column, Facts, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import DASH, Printing, number

if TYPE_CHECKING:
    from truehang.measure import Adjustment, Advice, Measured, Profile, ReadingCheck, Slip
    from truehang.plan import Plan

_KEY = (
    "Misfit: reading less adjusted value. Checked: the share of a slip that would show (0 none, "
    "1 all). w: misfit against its own uncertainty; over {limit} either way is a slip: a job whose "
    "readings are sound has one in 1 case of 100. Least slip found: the smallest that this measure "
    "would catch four times in five. A dash: nothing checks this reading."
)


def section(plan: Plan, printing: Printing, _album: Album) -> tuple[Section, ...]:
    """The measure report."""
    measured = plan.measured
    blocks: list[Block] = []
    if measured.usable is not None:
        blocks.append(_usable(plan, printing))
    slips = _slips(measured, printing)
    if slips is not None:
        blocks.append(slips)
    best = measured.opening
    shown = measured.as_read if slips is not None and measured.as_read is not None else best
    if shown is not None:
        blocks += _readings(shown, measured, printing)
    if best is not None:
        blocks.append(_corners(best, printing))
    if measured.advice:
        blocks.append(_advice(measured, printing))
    blocks += _along(measured, printing)
    for title, profile in (("Floor along the run", measured.floor), ("Ceiling", measured.ceiling)):
        if profile is not None:
            blocks += _profile(title, profile, printing)
    blocks += _wall(measured, printing)
    if not blocks:
        return ()
    return (Section("Measure report", tuple(blocks)),)


def _usable(plan: Plan, printing: Printing) -> Facts:
    usable = plan.measured.usable
    assert usable is not None
    items = [
        (
            "Usable opening, width",
            printing.measure(usable.width),
            f"at least {printing.measure(usable.width_low)} (95 % bound)",
        ),
        (
            "Usable opening, height",
            printing.measure(usable.height),
            f"at least {printing.measure(usable.height_low)} (95 % bound)",
        ),
    ]
    if plan.chance is not None:
        chance = plan.chance
        items.append(
            (
                "Chance that the frame goes in",
                _percent(chance.probability),
                f"for 99 %: {printing.measure(chance.clearance_for_99)} clear each side, "
                f"{printing.measure(chance.head_clearance_for_99)} at the head",
            )
        )
    return Facts(tuple(items))


def _percent(share: float) -> str:
    """A probability for people: never "100 %", which nothing measured can be."""
    if share > 0.999:
        return "over 99.9 %"
    return "under 0.1 %" if share < 0.001 else f"{number(100 * share, 1)} %"


def _slips(measured: Measured, printing: Printing) -> Table | None:
    if not measured.slips:
        return None
    labels = _labels(measured)

    def row(slip: Slip) -> tuple[str, ...]:
        names = ", or ".join(labels.get(name, name) for name in slip.suspects)
        if slip.instead:
            names += f"; or {slip.instead}"
        longer = "too long" if slip.size > 0 else "too short"
        return (names, f"{printing.fine(abs(slip.size))} {longer}", number(slip.w, 1, plus=True))

    return Table(
        columns=(
            Column("Take this again; where several are named, any may be the wrong one", share=1),
            Column("Reads"),
            Column("w", "right"),
        ),
        rows=tuple(row(slip) for slip in measured.slips),
        title="Slips found",
        strong=tuple(range(len(measured.slips))),
    )


def _labels(measured: Measured) -> dict[str, str]:
    return {check.id: str(check.label) for check in measured.checks}


def _readings(shown: Adjustment, measured: Measured, printing: Printing) -> list[Block]:
    suspects = {name for slip in measured.slips for name in slip.suspects}

    def optional(value: float | None) -> str:
        return DASH if value is None else printing.fine(value)

    def row(check: ReadingCheck) -> tuple[str, ...]:
        flag = "assumed" if check.assumed else "suspect" if check.id in suspects else ""
        return (
            str(check.label),
            printing.fine(check.value),
            f"± {printing.fine(check.sigma)}",
            printing.fine(check.adjusted),
            printing.fine(check.misfit, plus=True),
            number(check.redundancy, 2),
            DASH if check.w is None else number(check.w, 1, plus=True),
            optional(check.least_slip),
            flag,
        )

    flagged = tuple(i for i, check in enumerate(shown.readings) if check.id in suspects)
    blocks: list[Block] = [
        Table(
            columns=(
                Column("Reading", share=1),
                Column(f"Read {printing.unit}", "right"),
                Column("Uncertainty", "right"),
                Column("Adjusted", "right"),
                Column("Misfit", "right"),
                Column("Checked", "right"),
                Column("w", "right"),
                Column("Least slip found", "right"),
                Column(""),
            ),
            rows=tuple(row(check) for check in shown.readings),
            title="Readings" if not suspects else "Readings, with every one of them in",
            strong=flagged,
        ),
        Text(_KEY.format(limit=number(measured.limit, 2)), tone="small"),
    ]
    test = shown.global_test
    if test is not None:
        verdict = (
            "passed"
            if test.passed
            else f"NOT PASSED: they scatter {number(test.scatter, 1)} times as widely as was said"
        )
        blocks.append(
            Text(
                f"All misfits together: {number(test.value, 1)} against a limit of "
                f"{number(test.limit, 1)} (chi-square, 99.8 %, {test.redundant} redundant): "
                f"{verdict}."
            )
        )
    return blocks


def _along(measured: Measured, printing: Printing) -> list[Block]:
    """What the readings along the wall say of one another."""
    if not measured.along:
        return []
    suspects = {name for slip in measured.slips for name in slip.suspects}
    rows = tuple(
        (
            str(check.label),
            printing.fine(check.value),
            DASH if check.slip is None else printing.fine(check.slip, plus=True),
            DASH if check.w is None else number(check.w, 1, plus=True),
            DASH if check.least_slip is None else printing.fine(check.least_slip),
            "suspect" if check.id in suspects else "",
        )
        for check in measured.along
    )
    return [
        Table(
            columns=(
                Column("Reading along the wall", share=1),
                Column(f"Read {printing.unit}", "right"),
                Column("Off its neighbours", "right"),
                Column("w", "right"),
                Column("Least slip found", "right"),
                Column(""),
            ),
            rows=rows,
            title="Readings along the wall, each against its neighbours",
            strong=tuple(n for n, c in enumerate(measured.along) if c.id in suspects),
        )
    ]


def _corners(best: Adjustment, printing: Printing) -> Table:
    rows = [
        (
            corner.name.replace("-", " "),
            printing.fine(corner.x),
            f"± {printing.fine(2 * corner.sigma_x)}",
            printing.fine(corner.z),
            f"± {printing.fine(2 * corner.sigma_z)}",
        )
        for corner in best.corners
    ]
    title = "Corners of the opening, adjusted, from the datum"
    if best.set_aside:
        title += " (suspect readings left out)"
    return Table(
        columns=(
            Column("Corner", share=1),
            Column(f"x {printing.unit}", "right"),
            Column("95 %", "right"),
            Column(f"z from the level datum, {printing.unit}", "right"),
            Column("95 %", "right"),
        ),
        rows=tuple(rows),
        title=title,
    )


def _advice(measured: Measured, printing: Printing) -> Table:
    labels = _labels(measured)
    return Table(
        columns=(Column("Take this too", share=1), Column("What for", share=1)),
        rows=tuple(
            (str(advice.label), _worth(advice, labels, printing)) for advice in measured.advice
        ),
        title="Readings that would make the measure checkable, or surer",
    )


def _worth(advice: Advice, labels: dict[str, str], printing: Printing) -> str:
    if advice.checks:
        return "checks " + ", ".join(labels.get(name, name) for name in advice.checks)
    if advice.surer >= 1:
        more = printing.fine_measure(advice.surer)
        return f"was not read; with all bows read about {more} more of the opening is sure"
    return "was not read"


def _profile(title: str, profile: Profile, printing: Printing) -> list[Block]:
    rows = tuple(
        (printing.length(x), printing.fine(z, plus=True), f"± {printing.fine(2 * sigma)}")
        for x, z, sigma in profile.stations
    )
    (high_x, high), (low_x, low) = profile.highest, profile.lowest
    summary = (
        f"{title}: highest {printing.fine(high, plus=True)} at {printing.length(high_x)}, lowest "
        f"{printing.fine(low, plus=True)} at {printing.length(low_x)}, "
        f"{printing.fine_measure(profile.spread)} between"
    )
    return [
        Table(
            columns=(
                Column(f"x from the datum, {printing.unit}", "right"),
                Column(f"z from the level datum, {printing.unit}", "right"),
                Column("95 %", "right"),
            ),
            rows=rows,
            title=summary,
        )
    ]


def _wall(measured: Measured, printing: Printing) -> list[Block]:
    rows: list[tuple[str, str]] = []
    if measured.run is not None:
        run = measured.run
        rows.append(
            (
                "Wall run",
                f"{printing.fine_measure(run.length)} ± {printing.fine(2 * run.sigma)} (95 %)",
            )
        )
    if measured.thickness is not None:
        wall = measured.thickness
        rows.append(
            (
                "Finished wall",
                f"{printing.fine(wall.least)} to {printing.fine(wall.most)}, mean "
                f"{printing.fine_measure(wall.mean)}",
            )
        )
    for face in measured.faces:
        shape = "hollow" if face.worst < 0 else "proud"
        rows.append(
            (
                f"Face {face.face}, at worst",
                f"{printing.fine(abs(face.worst))} {shape} over {printing.measure(face.over)}, "
                f"at x {printing.length(face.at)}",
            )
        )
    if not rows:
        return []
    columns = (Column("What"), Column("Measured", strong=True))
    return [Table(columns, tuple(rows), title="Run, wall and faces")]


PLACES = (Place("office", 20, section),)
