"""Who comes when? One job, or several whose crews and trades are shared."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from truehang.cli.shared import (
    NOT_WRITTEN,
    WRONG,
    AsJson,
    OwnKits,
    catalogue_with,
    console,
    end,
    fail,
    plan_file,
    tell,
    write_file,
)

if TYPE_CHECKING:
    from rich.console import Console

    from truehang.plan import Standing
    from truehang.plan.programme_ask import Asked
    from truehang.programme.model import Programme

GROUP = typer.Typer()


@GROUP.command()
def programme(
    paths: Annotated[list[Path], typer.Argument(metavar="JOB...", help="One or more job files.")],
    begin: Annotated[
        str, typer.Option("--from", metavar="DATE", help="Plan from this day on: 2026-04-20.")
    ] = "",
    what_if: Annotated[
        list[str] | None,
        typer.Option("--what-if", metavar="TEXT", help='"leaves 6 days late"; may be repeated.'),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "-o", "--out", metavar="FOLDER",
            help="Write or update calendars, a CSV and a message for each trade there.",
        ),
    ] = None,
    as_json: AsJson = False,
    kits: OwnKits = None,
) -> None:  # fmt: skip
    """Say who comes when, what the finish hangs on, and what moves if something changes."""
    from truehang.plan import pooled
    from truehang.plan.programme_ask import ask_all
    from truehang.programme.what_if import NotUnderstood
    from truehang.programme.what_if import what_if as answer

    bought = catalogue_with(kits)
    plans = [plan_file(path, bought) for path in paths]
    asked = ask_all(plans, bought, _day(begin))
    answers = []
    for text in what_if or ():
        try:
            answers.append(answer(asked.request, asked.made, text))
        except NotUnderstood as wrong:
            fail(WRONG, f"--what-if {wrong}")
    found = [(plan.job.job.name, plan.findings) for plan in plans]
    standing = pooled([*found, ("", asked.programme.findings)])
    if out is not None:
        _write(asked, out)
    if as_json:
        told = {"programme": asked.programme, "what_if": [
            {"said": one.said, "programme": one.made.programme} for one in answers
        ]}  # fmt: skip
        tell(standing, told)
    else:
        _print(asked.programme, standing, console())
        for one in answers:
            _print_what_if(one.said, asked.programme, one.made.programme, console())
    end(standing, bool(asked.programme.rows))


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        fail(WRONG, f"--from {text!r}: write a day as 2026-04-20")


def _write(asked: Asked, out: Path) -> None:
    from truehang.pack.calendar_file import files_of
    from truehang.pack.programme_texts import message, rows_csv

    made: Programme = asked.programme
    try:
        out.mkdir(parents=True, exist_ok=True)
        before = [(old.name, old.read_bytes()) for old in sorted(out.glob("programme-*.ics"))]
    except OSError as broken:
        fail(NOT_WRITTEN, f"{out}: {broken.strerror}; choose another folder")
    try:
        files: dict[str, bytes | str] = dict(files_of(made, asked.issued, before))
    except ValueError as broken:
        fail(NOT_WRITTEN, f"{out}: a calendar there can't be read ({broken}); move it away")
    files["programme.csv"] = rows_csv(made)
    for trade in made.trades:
        files[f"message-{trade.replace(' ', '-')}.txt"] = message(made, trade) + "\n"
    for name, content in files.items():
        write_file(out / name, content)
        typer.echo(str(out / name), err=True)


def _print(made: Programme, standing: Standing, out: Console) -> None:
    from rich.table import Table

    from truehang.programme.answer import said_day, said_time
    from truehang.summary import print_standing

    print_standing(standing, out, warnings=made.findings)
    if not made.rows:
        return
    several = len({row.job for row in made.rows}) > 1
    table = Table(box=None, pad_edge=False)
    for head in ("begins", "until", "who", "what", "may slip"):
        table.add_column(head)
    for row in made.rows:
        what = f"{row.job}: {row.title}" if several else row.title
        slip = "done" if row.done else "nothing" if row.chain else f"{row.float_hours:g} h"
        outside = row.kind != "work"
        table.add_row(
            said_day(row.begin.date()) if outside else said_time(row.begin),
            "" if outside else f"{row.end:%H:%M}" if row.end.date() == row.begin.date()
            else said_time(row.end),
            "" if outside else row.word, what, slip,
        )  # fmt: skip
    out.print(table)
    out.print(f"\nDone on {said_time(made.finish)}: {_proof(made)}", markup=False)
    if made.promise is not None:
        told = ", ".join(f"{said_day(one.day)} {one.chance:.0%}" for one in made.chances[:6])
        out.print(f"Chance to be done by: {told}", markup=False)
        out.print(
            f"A day to promise: {said_day(made.promise)}, kept with a chance of 80 % or more",
            markup=False,
        )
    out.print("\nWhat the finish hangs on:", markup=False)
    for line in made.chain:
        out.print(f"  {line}", markup=False)
    holds = dict.fromkeys(hold for row in made.rows for hold in row.blocked)
    for hold in holds:
        out.print(f"[hold] until it is recorded nothing after it begins: {hold}", markup=False)


def _proof(made: Programme) -> str:
    """What is proved of the finish, the days and the trips."""
    told = []
    for what, one in (("finish", made.length), ("days on site", made.days), ("trips", made.trips)):
        if one.proved:
            proof = "proved the least"
        else:
            proof = (
                f"at least {one.least:g}, {(one.value - one.least) / max(one.least, 1):.1%} over"
            )
        told.append(f"{what} {one.value:g}{' h' if what == 'finish' else ''} ({proof})")
    return ", ".join(told) + ("" if made.searched else "; not searched, the first schedule")


def _print_what_if(said: str, before: Programme, after: Programme, out: Console) -> None:
    from truehang.programme.answer import said_day, said_time
    from truehang.programme.make import moved

    out.print(f"\nWhat if {said}?", markup=False, style="bold")
    if not after.rows:
        for finding in after.findings:
            out.print(f"  {finding.what}; {finding.mend}", markup=False)
        return
    days = (after.finish.date() - before.finish.date()).days
    told = "the same day" if not days else f"{abs(days)} days {'later' if days > 0 else 'sooner'}"
    out.print(f"  Done on {said_time(after.finish)}, {told}.", markup=False)
    changed = [one for one in moved(before, after) if one[1].kind == "work"]
    for old, new, _ in changed[:12]:
        out.print(f"  {new.title} ({new.word}): {said_time(new.begin)}, was "
                  f"{said_day(old.begin.date())} {old.begin:%H:%M}", markup=False)  # fmt: skip
    if len(changed) > 12:
        out.print(f"  and {len(changed) - 12} more", markup=False)
