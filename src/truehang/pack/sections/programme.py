"""Who comes when, what hangs on it, and what is told to each trade?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.drawing import PAPERS, Scene, Sheet, programme_bars
from truehang.pack.calendar_file import files_of
from truehang.pack.content import Block, Column, Facts, Section, Table, Text
from truehang.pack.drawings import AROUND_LANDSCAPE, Album, printed_scene
from truehang.pack.place import Place
from truehang.pack.printing import Printing
from truehang.pack.programme_texts import message, rows_csv
from truehang.plan.later.programme import ROOM
from truehang.programme.answer import said_day, said_time
from truehang.programme.model import Programme, Reached

if TYPE_CHECKING:
    from truehang.plan import Plan

NOTE = (
    "A plan, not a promise: hours are invented until they are your own; licensed trades, the "
    "engineer and the certifier say when they are done."
)


def section(plan: Plan, _printing: Printing, _album: Album) -> tuple[Section, ...]:
    """The finish with its proof, the tasks, the chain; nothing where none is planned."""
    made = ROOM.of(plan)
    if made is None or not made.rows:
        return ()
    blocks: list[Block] = [
        Facts((
            ("Done on", said_day(made.finish.date()), _proof(made.length)),
            ("A day to promise", said_day(made.promise) if made.promise else "not known",
             "kept with a chance of 80 % or more"),
            ("Days on site, all trades", f"{made.days.value:g}", _proof(made.days)),
            ("Trips", f"{made.trips.value:g}", _proof(made.trips)),
        ), columns=4),
        Text(NOTE, tone="small"),
        _tasks(made),
        Table(
            columns=(Column("What the finish hangs on, the last first", share=1.0),),
            rows=tuple((line,) for line in made.chain[1:]),
            small=True,
        ),
    ]  # fmt: skip
    return (Section("Programme", tuple(blocks)),)


def _proof(one: Reached) -> str:
    return "proved the least" if one.proved else f"at least {one.least:g} {one.unit}"


def bars(plan: Plan, printing: Printing, _album: Album) -> tuple[Section, ...]:
    """The tasks as bars, on their side."""
    made = ROOM.of(plan)
    drawn = tuple(map(printed_scene, _chart(plan, made, printing))) if made else ()
    return (Section("Programme as bars", drawn),) if drawn else ()


def _chart(plan: Plan, made: Programme, printing: Printing) -> tuple[Scene, ...]:
    long, short = PAPERS[plan.region.paper]
    room = (long - AROUND_LANDSCAPE[0], short - AROUND_LANDSCAPE[1])
    return programme_bars(made, Sheet(printing.style, printing.words, room))


def _tasks(made: Programme) -> Table:
    return Table(
        columns=(
            Column("Begins"), Column("Until"), Column("Who"), Column("What", share=1.0),
            Column("May slip", "right"), Column("Hours", "right"),
        ),
        rows=tuple(
            (
                said_day(row.begin.date()) if row.kind != "work" else said_time(row.begin),
                "" if row.kind != "work" else f"{row.end:%H:%M}"
                if row.end.date() == row.begin.date() else said_time(row.end),
                row.word if row.kind == "work" else "",
                row.title,
                "done" if row.done else "nothing" if row.chain else f"{row.float_hours:g} h",
                f"{row.hours[1]:.1f}" if row.hours[1] else "",
            )
            for row in made.rows
        ),
        strong=tuple(number for number, row in enumerate(made.rows) if row.chain),
        small=True,
    )  # fmt: skip


def files(plan: Plan, _printing: Printing) -> dict[str, bytes]:
    """A calendar and a message for each trade, and every task as a row."""
    made = ROOM.of(plan)
    if made is None or not made.rows:
        return {}
    issued = plan.job.job.issued
    found = {f"programme/{name}": data for name, data in files_of(made, issued).items()}
    for trade in made.trades:
        name = f"programme/message-{trade.replace(' ', '-')}.txt"
        found[name] = (message(made, trade) + "\n").encode()
    return {**found, "programme/programme.csv": rows_csv(made)}


PLACES = (Place("office", 115, section), Place("office", 125, bars))
FILES = (files,)
