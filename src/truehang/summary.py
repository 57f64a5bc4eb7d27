"""How is a plan read at a prompt? Tables and short lines, on a terminal or down a pipe."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from itertools import groupby
from typing import TYPE_CHECKING

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from truehang.amounts import number_here, told_given, unit_here
from truehang.amounts import told as told_amount
from truehang.figures import Figure, Put, Told, told
from truehang.findings import Finding, Severity
from truehang.fit import Arrangement
from truehang.hardware import HangingAdjustment
from truehang.lengths import (
    Length,
    LengthStyle,
    format_between,
    format_fall,
    format_fine,
    format_length,
    format_metres,
    format_most,
    format_piece,
)
from truehang.measure import Measured
from truehang.message import Message
from truehang.money import Money
from truehang.plan import Plan, Standing
from truehang.rule import behind, worked

if TYPE_CHECKING:
    from truehang.cutting import CuttingPlan, Rack, RackPiece
    from truehang.lining import Sheet

MARKS = {"stop": "[STOP]", "hold": "[HOLD]", "warn": "[warn]", "note": "[note]"}
Printer = Callable[[float], str]


def printer(plan: Plan) -> Printer:
    """Prints lengths as the job wants them."""
    return lambda mm: format_length(mm, plan.style)


def between_printer(plan: Plan) -> Callable[[float, float], str]:
    """Prints a length from one mark to another, as the marks are printed."""
    return lambda low, high: format_between(low, high, plan.style)


def print_plan(plan: Plan, console: Console) -> None:
    """The whole plan in short: findings first, then measure, arrangement, marks and packers."""
    about = plan.job.job
    console.print(f"[bold]{escape(about.title)}[/bold]")
    invented = "  invented data" if about.invented else ""
    console.print(
        f"job {about.name}  revision {about.revision}  {plan.stamp}{invented}\n",
        highlight=False,
    )
    print_standing(plan.standing, console, listed=False)
    _print_findings(plan.findings, console)
    _print_measure(plan, console)
    if plan.arrangement is not None:
        _print_fit(plan, plan.arrangement, console)
        _print_marks(plan, plan.arrangement, console)
        _print_packers(plan, plan.arrangement, console)
    console.print(
        "\nLocal codes, datasheets and licensed people rule over this plan. "
        "It is no approval by an engineer, an electrician or the "
        f"{plan.words['certifier']}.",
        style="dim",
    )


def print_standing(
    standing: Standing,
    console: Console,
    *,
    listed: bool = True,
    warnings: tuple[Finding, ...] = (),
) -> None:
    """Says before all else what stands in the way; `listed` False where all findings follow.
    `warnings` are told too, where they are no more than that."""
    console.print(f"{standing.headline}.", style="bold" if standing.draft else "", markup=False)
    warned = [one for one in warnings if one.severity is Severity.WARN]
    for finding in (*standing.findings, *warned) if listed else ():
        console.print(
            f"{MARKS[finding.severity.word]} {finding.where}: {finding.what}; {finding.mend}",
            markup=False, highlight=False,
        )  # fmt: skip
    console.print()


def _print_findings(findings: tuple[Finding, ...], console: Console) -> None:
    if not findings:
        return
    table = _table("Findings", "", "where", "what", "mend")
    for finding in findings:
        table.add_row(
            escape(MARKS[finding.severity.word]),
            escape(finding.where),
            escape(str(finding.what)),
            escape(str(finding.mend)),
        )
    console.print(table)


def _titled(title: str, standing: Standing) -> str:
    """The title of a list that is bought or cut from: each says for itself that it is a draft."""
    return f"DRAFT  {title}" if standing.draft else title


def _table(title: str, *columns: str, right: tuple[str, ...] = ()) -> Table:
    table = Table(
        title=title, title_justify="left", title_style="bold", show_edge=False, pad_edge=False
    )
    for column in columns:
        table.add_column(column, justify="right" if column in right else "left")
    return table


def _print_measure(plan: Plan, console: Console) -> None:
    measured, length = plan.measured, printer(plan)
    table = _table("Measure", "what", "figure", "how sure")
    if measured.usable is not None:
        usable = measured.usable
        table.add_row(
            "usable width", length(usable.width), f"95 %: at least {length(usable.width_low)}"
        )
        table.add_row(
            "usable height", length(usable.height), f"95 %: at least {length(usable.height_low)}"
        )
    for row in _measure_rows(measured, length, plan.style):
        table.add_row(*row)
    if plan.chance is not None:
        table.add_row("chance that the frame goes in", f"{plan.chance.probability:.1%}", "")
    console.print(table)


def _measure_rows(
    measured: Measured, length: Printer, style: LengthStyle
) -> list[tuple[str, str, str]]:
    def fine(mm: float) -> str:
        return format_fine(mm, style)

    rows = []
    if measured.floor is not None:
        fall = measured.floor.spread
        rows.append(
            ("floor, highest to lowest", fine(fall), format_fall(measured.floor.slope, style))
        )
    if measured.thickness is not None:
        wall = measured.thickness
        rows.append(("wall thickness", fine(wall.mean), f"{fine(wall.least)} to {fine(wall.most)}"))
    if measured.opening is not None and measured.opening.global_test is not None:
        test = measured.opening.global_test
        rows.append(
            ("readings agree", "yes" if test.passed else "no", f"{test.redundant} to spare")
        )
    return rows


def _print_fit(plan: Plan, fit: Arrangement, console: Console) -> None:
    length, option, between = printer(plan), fit.option, between_printer(plan)
    width, height, thick = fit.leaf_order_size
    size = f"{length(width)} x {length(height)} x {format_fine(thick, plan.style)}"
    up = fit.heights
    low = up.rough_head - option.rough_height
    price = Money(option.price_minor, option.currency)
    table = _table(_titled("Arrangement", plan.standing), "what", "figure")
    rows = [
        ("arrangement", f"{fit.kind}, {option.kit_name}, {option.leaf_name}"),
        ("clear passage", between(fit.passage.low, fit.passage.high)),
        (
            "frame",
            f"{length(fit.frame.length)} x {between(up.level_line, up.head_top)}",
        ),
        (
            "rough opening",
            f"{between(fit.rough.low, fit.rough.high)} x {between(low, up.rough_head)}, from the "
            "lowest floor under a support",
        ),
        ("leaf to order", f"{len(fit.leaves)} of {size}"),
        ("leaf mass", f"{told_amount(option.leaf_mass, 'kg', plan.style)} each"),
        ("wall lost to pockets", length(option.lost_wall)),
        ("kit and leaves", f"{price}, {option.lead_time_days} days"),
    ]
    for row in rows:
        table.add_row(*map(escape, row))
    console.print(table)


def _print_marks(plan: Plan, fit: Arrangement, console: Console) -> None:
    length, between = printer(plan), between_printer(plan)
    table = _table(
        _titled("Marks along the wall, from the datum", plan.standing),
        "at",
        "mark",
        "what",
        right=("at",),
    )
    for mark in fit.rod.along:
        table.add_row(length(mark.at), escape(mark.label), escape(mark.what))
    console.print(table)
    heads = ("from level datum", "from level line")
    table = _table(_titled("Marks up the wall", plan.standing), *heads, "mark", "what", right=heads)
    for mark in fit.rod.up:
        over = between(fit.heights.level_line, mark.at)
        table.add_row(length(mark.at), over, escape(mark.label), escape(mark.what))
    console.print(table)


def _print_packers(plan: Plan, fit: Arrangement, console: Console) -> None:
    length, between = printer(plan), between_printer(plan)
    numbers = ("x from datum", "floor here, from level datum", "pack, floor here to level line")
    table = _table(_titled("Packers", plan.standing), "support", *numbers, "pieces", right=numbers)
    for pack in fit.packs:
        stack = "plane or tapered plate"
        if pack.pieces is not None:
            stack = " + ".join(format_piece(piece, plan.style) for piece in pack.pieces) or "none"
            if pack.off:
                stack += f" (makes {format_piece(pack.made, plan.style)})"
        height = between(pack.floor, pack.floor + pack.height)
        table.add_row(escape(pack.label), length(pack.x), length(pack.floor), height, stack)
    console.print(table)
    for gap in fit.floor_gaps:
        ends = f"{length(gap.least)} at x {length(gap.least_at)} to {length(gap.most)} at x "
        text = f"floor gap, {gap.leaf}: {ends}{length(gap.most_at)}"
        if gap.to_come:
            text = (
                f"floor gap now, {gap.leaf}: {length(gap.least_now)} at x "
                f"{length(gap.least_at)} to {length(gap.most_now)} at x {length(gap.most_at)}; "
                f"when the floor to come ({format_fine(gap.to_come, plan.style)}) is down: "
                f"{length(gap.least)} to {length(gap.most)}"
            )
        console.print(f"{text}; {gap.on_stacks}" if gap.on_stacks else text, highlight=False)


def print_options(plan: Plan, console: Console) -> None:
    """Every option that fits, best first, and the nearest of those that don't."""
    length, found = printer(plan), plan.options
    print_standing(plan.standing, console)
    mass, force = (unit_here(unit, plan.style) for unit in ("kg", "N"))
    numbers = ("passage", "wall lost", "Rw", mass, f"start {force}", "price", "days")
    table = _table(_titled("Options", plan.standing), "", "option", *numbers, right=numbers)
    for one in plan.weighed:
        option = one.option
        table.add_row(
            f"{one.rank}{'*' if one.unbeaten else ''}",
            escape(option.key),
            length(option.passage),
            length(option.lost_wall),
            str(one.rating.rw) if one.rating else "-",
            number_here(one.mass, "kg", plan.style, 0),
            "-".join(number_here(end, "N", plan.style, 0) for end in (one.force_low, one.force)),
            str(Money(option.price_minor, option.currency)),
            str(option.lead_time_days),
        )
    console.print(table)
    console.print(
        "* nothing else is as good in passage, Rw, mass, force, price and wall lost together",
        style="dim",
    )
    for one in plan.weighed:
        console.print(f"\n{one.rank} {one.option.key}", markup=False, highlight=False)
        for word, points in (("wins", one.option.wins), ("loses", one.option.loses)):
            if points:
                console.print(
                    f"  {word}: {'; '.join(map(str, points))}", markup=False, highlight=False
                )
    if plan.weighed and found.refusals:
        console.print(
            f"{len(found.refusals)} more do not fit; --json names each and by how much", style="dim"
        )


def print_cutting(
    made: CuttingPlan, standing: Standing, style: LengthStyle, console: Console
) -> None:
    """What to buy, and what is cut from each length, in the order of sawing."""
    print_standing(standing, console)

    def say(text: str) -> None:
        console.print(text, markup=False, highlight=False)

    table = _table(
        _titled("To buy", standing),
        "stock",
        "count",
        "each",
        "together",
        right=("count", "each", "together"),
    )
    for item in made.purchases:
        table.add_row(
            escape(item.stock), str(item.count), str(item.price or "-"), str(item.total or "-")
        )
    console.print(table)
    say(f"together {made.total}\n" if made.total else "prices are missing\n")
    for section in made.sections:
        say(_titled(f"{section.section}: {section.proof.sentence()}", standing))
        for line in section.lines:
            rest = format_length(line.remainder_mm, style)
            source = "from the rack, " if line.source == "rack" else ""
            say(
                f"  {line.number} {line.stock}: {source}"
                f"{rest} {'to the rack' if line.kept else 'waste'}"
            )
            for cut in line.cuts:
                mark, length = (format_length(mm, style) for mm in (cut.mark_mm, cut.length_mm))
                say(f"      mark {mark} ({cut.part}): {length} long, {cut.told}")
    _print_findings(made.findings, console)


def print_rack(rack: Rack, told: Callable[[RackPiece], str], console: Console) -> None:
    """What lies on the rack, and who holds it; `told` says how long a piece is, with its unit."""
    table = _table("Rack", "piece", "section", "length", "from", "held by", right=("length",))
    for piece in sorted(rack.pieces, key=lambda p: (p.section, -p.length_mm, p.id)):
        table.add_row(
            *map(escape, (piece.id, piece.section, told(piece), piece.came_from, piece.held_by))
        )
    console.print(table)
    console.print(f"{len(rack.pieces)} pieces", style="dim")


def print_boards(plan: Plan, console: Console) -> None:
    """Boards to buy for the lining, and the pieces of each face with their places."""
    length = printer(plan)
    print_standing(plan.standing, console)
    for laid in plan.lining:
        table = _table(
            _titled("Boards to buy", plan.standing), "board", "count", "each", "together",
            right=("count", "each", "together"),
        )  # fmt: skip
        for item in laid.boards:
            table.add_row(
                escape(item.board), str(item.count), str(item.price or "-"), str(item.total or "-")
            )
        console.print(table)
        proof = "each face proved least" if laid.proved else "not proved least"
        console.print(
            f"together {laid.total or '-'}, {proof}\n",
            markup=False, highlight=False,
        )  # fmt: skip
        for face in laid.faces:
            table = _table(
                _titled(f"Side {face.face.id}, boards {face.lay}", plan.standing),
                "piece", "cut", "cut out of it", "x from the datum", "z from the level datum",
                "board no.", unit_here("kg", plan.style),
                right=(
                    "x from the datum", "z from the level datum", "board no.",
                    unit_here("kg", plan.style),
                ),
            )  # fmt: skip
            for piece in face.pieces:
                table.add_row(
                    piece.id, f"{length(piece.along_mm)} x {length(piece.across_mm)}",
                    piece.cut_out(length), length(piece.x0_mm), length(piece.z0_mm),
                    str(piece.sheet), number_here(piece.mass_kg, "kg", plan.style),
                )  # fmt: skip
            console.print(table)
        _print_sheets(plan, laid.sheets, console)
    _print_findings(tuple(f for f in plan.findings if f.where.startswith("lining")), console)


def _print_sheets(plan: Plan, sheets: tuple[Sheet, ...], console: Console) -> None:
    """Where each piece lies on its board, face up; cut-outs are told as seen on the wall."""
    length = printer(plan)
    table = _table(
        _titled("How each board is cut", plan.standing), "no.", "board", "piece",
        "long from - to", "wide from - to", "hung", right=("no.",),
    )  # fmt: skip
    for sheet in sheets:
        for piece in sheet.pieces:
            table.add_row(
                str(sheet.number), escape(sheet.board), piece.piece,
                f"{length(piece.along_mm)} - {length(piece.along_mm + piece.length_mm)}",
                f"{length(piece.across_mm)} - {length(piece.across_mm + piece.width_mm)}",
                "turned" if piece.turned else "as it lies",
            )  # fmt: skip
    console.print(table)


def print_turns(
    answer: HangingAdjustment, standing: Standing, style: LengthStyle, console: Console
) -> None:
    """Which bolts to turn, in order, and what the gaps will then be."""
    print_standing(standing, console)
    for turn in answer.turns:
        console.print(f"{turn.order}. {turn.words}", markup=False, highlight=False)
    columns = ["read", "should be", "then"]
    to_come = any(gap.finished is not None for gap in answer.residuals)
    columns += ["when the floor is down"] if to_come else []
    table = _table("Gaps now" if to_come else "Gaps", "gap", *columns, right=tuple(columns))
    for gap in answer.residuals:
        values = [gap.read, gap.target, gap.after, *([gap.finished] if to_come else [])]
        row = ["" if mm is None else Length(mm, 1).printed(style) for mm in values]
        table.add_row(escape(str(gap.name)), *row)
    console.print(table)
    if answer.findings:
        _print_findings(answer.findings, console)


def print_figures(plan: Plan, console: Console) -> None:
    """All figures with their keys."""
    print_standing(plan.standing, console)
    table = _table(_titled("Figures", plan.standing), "key", "figure", "what")
    for figure in plan.figures.values():
        table.add_row(
            escape(figure.key), escape(value_text(plan, figure)), escape(str(figure.label))
        )
    console.print(table)


def print_why(plan: Plan, key: str, console: Console) -> None:
    """The chain of inputs, rules and sources behind one figure."""
    print_standing(plan.standing, console)
    chain = plan.figures.chain(key)
    for (depth, is_figure), rows in groupby(
        chain, lambda row: (row[0], isinstance(row[1], Figure))
    ):
        pad = "  " * depth
        if not is_figure:
            for line in _inputs(plan, [str(item) for _, item in rows]):
                console.print(f"{pad}{line}", markup=False, highlight=False)
            continue
        for _, item in rows:
            if isinstance(item, Figure):
                for line in _why_lines(plan, item):
                    console.print(f"{pad}{line}", markup=False, highlight=False)


def _why_lines(plan: Plan, item: Figure) -> list[str]:
    """A figure, its rule with the numbers put in, what the symbols stand for, and its source."""
    text = value_text(plan, item)
    made = [f"{item.label} = {text}   [{item.key}]"]
    if item.instead:
        made.append(f"  {item.instead}")
    if item.working is None:
        made.append(f"  rule: {item.rule}")
    else:
        rule = worked(item, partial(_put_text, plan), in_mm=plan.style == "mm")
        made.append(f"  rule: {rule} = {text}")
        key = "; ".join(f"{put.symbol} {put.means}" for put in item.working.puts)
        made.append(f"    {key}")
    return [*made, f"  source: {item.source}"]


def _put_text(plan: Plan, put: Put) -> str:
    """A number put into a rule: as the figure that it is prints, else as a fine length."""
    figure = behind(put, plan.figures)
    if figure is not None:
        return value_text(plan, figure).removesuffix(f" {unit_here(figure.unit, plan.style)}")
    if put.unit == "mm":
        return format_fine(put.value, plan.style)
    return f"{put.value:g}"


def _inputs(plan: Plan, names: list[str]) -> list[str]:
    """Bare inputs as lines, those of one place together."""
    lines = []
    for place, group in groupby(names, lambda name: name.rpartition(".")[0]):
        ends = [name.rpartition(".")[2] for name in group]
        first = f"{place}.{ends[0]}" if place else ends[0]
        said = first if len(ends) == 1 else f"{place}: {', '.join(ends)}"
        lines.append(f"{said} (above)" if first in plan.figures else said)
    return lines


def value_text(plan: Plan, figure: Figure) -> str:
    """A figure's value with its unit, lengths as the job wants them."""
    if isinstance(figure.value, Message):
        return str(figure.value)
    if figure.unit == "mm":
        return _length_text(figure, figure.value, plan.style)
    if figure.unit == "mm per m":
        return format_fall(figure.value, plan.style)
    if figure.unit == "m":
        return format_metres(figure.value, plan.style)
    return told_given(figure.value, figure.unit, plan.style)


def _length_text(figure: Figure, mm: float, style: LengthStyle) -> str:
    if figure.ends is not None:
        return format_between(*figure.ends, style) + (" mm" if style == "mm" else "")
    match told(figure.key):
        case Told.MOST:
            return format_most(mm, style) + (" mm" if style == "mm" else "")
        case Told.TAPE:
            return Length(mm).printed(style)
        case Told.FINE:
            return Length(mm, 1).printed(style)
