"""What can be asked of money at a prompt? A job's cost and price, and what they are priced from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from truehang.cli.shared import (
    STOPPED,
    AsJson,
    JobFile,
    OwnKits,
    catalogue_with,
    console,
    end,
    fail,
    plan_file,
    tell,
)

if TYPE_CHECKING:
    from rich.console import Console

    from truehang.lengths import LengthStyle
    from truehang.money import Money
    from truehang.plan.alternatives import Alternative
    from truehang.plan.priced import Priced
    from truehang.pricing import Cost, Price

GROUP = typer.Typer()
RATES = typer.Typer(
    name="rates", help="What work is priced from, beside what is published of it.",
    invoke_without_command=True,
)  # fmt: skip
GROUP.add_typer(RATES)
INVENTED = "Shipped hours and prices are invented starting values, yours to change."


@GROUP.command()
def price(
    path: JobFile,
    customer: Annotated[
        bool, typer.Option("--customer", help="Only what the customer may see: no cost.")
    ] = False,
    options: Annotated[
        bool, typer.Option("--options", help="Also price other options and upgrades.")
    ] = False,
    as_json: AsJson = False,
    kits: OwnKits = None,
) -> None:
    """Cost (private) and price of a job: lines, how sure it is, tax, payments."""
    from dataclasses import replace

    from truehang.plan.alternatives import alternatives
    from truehang.plan.priced import priced

    bought = catalogue_with(kits)
    made = plan_file(path, bought)
    money = priced(made, bought)
    if money is None:
        fail(STOPPED, f"{made.standing.headline}; nothing fits, so there is nothing to price")
    others = alternatives(made, money, bought) if options else ()
    if as_json:
        whole = {"price": money.price, "alternatives": others}
        standing = replace(money.standing, findings=()) if customer else money.standing
        tell(standing, whole if customer else {**whole, "private": money})
    else:
        _print(money, others, made.style, console(), customer=customer)
    end(money.standing)


def _print(
    money: Priced, others: tuple[Alternative, ...], style: LengthStyle, out: Console,
    *, customer: bool,
) -> None:  # fmt: skip
    from truehang.summary import print_standing

    warned = () if customer else money.findings
    print_standing(money.standing, out, listed=not customer, warnings=warned)
    if not customer:
        _print_cost(money.cost, style, out)
        out.print(INVENTED, style="dim")
    _print_price(money.price, out)
    if others:
        _print_others(others, out)
    notes = [one for one in money.findings if one.severity.word == "note"]
    for one in () if customer else notes:
        out.print(f"[note] {one.where}: {one.what}; {one.mend}", markup=False, style="dim")


def _print_cost(cost: Cost, style: LengthStyle, out: Console) -> None:
    from rich.table import Table

    from truehang.money import Money

    def money(minor: int) -> str:
        return str(Money(minor, cost.currency))

    table = Table(title="Cost, PRIVATE", title_justify="left", box=None, pad_edge=False)
    for name in ("", "what", "how much", "low", "likely", "high", "cost"):
        table.add_column(name, justify="right" if name in ("low", "likely", "high", "cost")
                         else "left")  # fmt: skip
    for line in cost.lines:
        table.add_row(
            line.kind, line.label, line.how_much(style), money(line.low),
            money(line.likely), money(line.high), money(line.mean),
        )  # fmt: skip
    out.print(table)
    spread, low, high = cost.spread, cost.hours[0], cost.hours[2]
    out.print(f"\nCost {cost.total}, the mean; {low:.1f} to {high:.1f} hours of work", markup=False)
    told = ", ".join(
        f"P{p} {money(round(getattr(spread, f'p{p}')))}" for p in (50, 80, 95)
    )  # fmt: skip
    out.print(f"{told} ({spread.method}; tasks of one crew correlated "
              f"{spread.correlation:g})", markup=False)  # fmt: skip
    labels = {line.key: line.label for line in cost.lines}
    out.print("What drives the spread:", markup=False)
    for share in spread.shares[:8]:
        bar = "#" * round(40 * share.share)
        out.print(f"  {share.share:6.1%} {bar:<20} {labels[share.key]}", markup=False)
    out.print()


def _print_price(price: Price, out: Console) -> None:
    from rich.table import Table

    from truehang.tax import STATED, WAYS

    table = Table(title="Price", title_justify="left", box=None, pad_edge=False)
    table.add_column("what")
    table.add_column(f"before {price.tax_name}", justify="right")
    for line in price.lines:
        what = line.label if line.kind == "work" else f"allowance: {line.label} ({line.because})"
        table.add_row(what, str(line.net))
    table.add_row("together", str(price.net))
    for one in price.taxes:
        table.add_row(f"{price.tax_name} {one.rate:.4%}".replace(".0000%", " %"),
                      str(_money(one.tax, price)))  # fmt: skip
    table.add_row("price", str(price.gross))
    out.print(table)
    out.print("\nPayments:", markup=False)
    for stage in price.stages:
        kept = f", {stage.kept} held back" if stage.kept.minor else ""
        out.print(f"  {stage.due!s:>12}  {stage.name}, {stage.when}{kept}", markup=False)
    out.print(f"{STATED} Here {WAYS[price.tax_way]}.", style="dim", markup=False)


def _money(minor: int, price: Price) -> Money:
    from truehang.money import Money

    return Money(minor, price.currency)


def _print_others(others: tuple[Alternative, ...], out: Console) -> None:
    out.print("\nOther ways, each planned and priced in full:", markup=False)
    for one in others:
        more = f"+{one.more}" if one.more.minor >= 0 else str(one.more)
        told = "; ".join((*one.brings, *(f"but {text}" for text in one.loses)))
        draft = " DRAFT" if one.draft else ""
        out.print(f"  {one.gross!s:>12} ({more}){draft}  {one.kind}: {one.label}. {told}",
                  markup=False)  # fmt: skip


@RATES.callback()
def rates(context: typer.Context, as_json: AsJson = False, kits: OwnKits = None) -> None:
    """List tasks with their hours, what an hour costs, and the published figures beside them."""
    if context.invoked_subcommand is not None:
        return
    from truehang.plain import to_json

    bought = catalogue_with(kits)
    if as_json:
        typer.echo(to_json(bought.rates, indent=1))
        return
    out = console()
    read: dict[str, list[str]] = {}
    for one in bought.rates.published:
        span = f"{one.low:g}" if one.low == one.high else f"{one.low:g} to {one.high:g}"
        read.setdefault(one.task, []).append(f"{span} {one.unit} ({one.source}, {one.worth})")
    out.print(INVENTED + "\n", markup=False)
    for task in bought.rates.task:
        low, likely, high = task.hours
        beside = "".join(f"\n      published: {text}" for text in read.get(task.id, ()))
        out.print(f"  {task.id:<13} {low:g} / {likely:g} / {high:g} h for each of {task.measure}, "
                  f"{task.crew} ({task.source}): {task.name}{beside}", markup=False)  # fmt: skip
    for place in bought.rates.place:
        hours = ", ".join(f"{crew} {minor / 100:.2f}" for crew, minor in place.hour.items())
        terms = f"markup {place.markup:.0%}, risk {place.basis}, deposit {place.deposit:.0%}"
        out.print(f"\n{place.region} ({place.source}): an hour of {hours}; {terms}", markup=False)


@RATES.command()
def check(kits: OwnKits = None, as_json: AsJson = False) -> None:
    """Say what is missing, invented or far off what is published; 1 where something is missing."""
    from truehang.catalogue.rate_check import rate_problems
    from truehang.plain import to_json

    found = rate_problems(catalogue_with(kits))
    if as_json:
        typer.echo(to_json(found, indent=1))
    else:
        for one in found:
            typer.echo(f"[{one.severity.word}] {one.where}: {one.what}; {one.mend}")
        typer.echo("nothing is missing" if not any(f.severity.word == "hold" for f in found) else
                   "something is missing")  # fmt: skip
    raise typer.Exit(STOPPED if any(one.severity.word == "hold" for one in found) else 0)
