"""How is a programme told where no page is drawn? Day lists, messages to trades, a sheet's rows."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from datetime import date, timedelta

from truehang.programme.answer import per_day, said_day, said_time
from truehang.programme.model import Programme, Row


def work(rows: Iterable[Row]) -> tuple[Row, ...]:
    """The rows on which somebody works."""
    return tuple(row for row in rows if row.kind == "work" and not row.done)


def days(made: Programme) -> tuple[date, ...]:
    """The days on which something is done or comes."""
    found = set()
    for row in made.rows:
        if not row.done:
            found |= {row.begin.date(), row.end.date()}
            day = row.begin.date()
            while day < row.end.date():
                if any(r.begin.date() <= day <= r.end.date() for r in work(made.rows)):
                    found.add(day)
                day += timedelta(days=1)
    return tuple(sorted(found))


def bring(rows: Iterable[Row]) -> tuple[str, ...]:
    """What to have along for these rows, each thing once."""
    return tuple(dict.fromkeys(thing for row in rows for thing in row.bring))


def day_lines(made: Programme, day: date) -> tuple[str, ...]:
    """What is on, on one day: a line for each trade and place, what comes, what to bring."""
    rows = per_day(made.rows, day)
    lines = []
    for row in rows:
        if row.kind != "work":
            lines.append(f"{row.title}{_job(made, row)}.")
    for trade in dict.fromkeys(row.word for row in rows if row.kind == "work"):
        mine = [row for row in rows if row.kind == "work" and row.word == trade]
        told = "; ".join(
            f"{row.begin:%H:%M} {row.title}{_job(made, row)}"
            if row.begin.date() == day
            else f"{row.title}{_job(made, row)} goes on"
            for row in mine
        )
        lines.append(f"{_upper(trade)}: {told}.")
        if things := bring(mine):
            lines.append(f"Bring: {', '.join(things)}.")
        if any(row.people > 1 for row in mine):
            lines.append("Two people are needed on this day.")
    # What work of an earlier day waited for is told with that day.
    told_before = {h for row in work(made.rows) if row.begin.date() < day for h in row.blocked}
    for hold in dict.fromkeys(hold for row in rows for hold in row.blocked):
        if hold in told_before:
            continue
        lines.append(f"Only once it is recorded: {hold}.")
    return tuple(lines)


def message(made: Programme, trade: str) -> str:
    """A message to one trade, ready to send: days, hours, what for, on what it depends."""
    rows = [row for row in work(made.rows) if row.trade == trade]
    if not rows:
        return ""
    lines = [f"Work at {', '.join(dict.fromkeys(row.place for row in rows))}:"]
    for row in rows:
        until = f"{row.end:%H:%M}" if row.end.date() == row.begin.date() else said_time(row.end)
        lines.append(f"- {said_time(row.begin)} to {until}: {row.title}{_job(made, row)}")
    holds = dict.fromkeys(hold for row in rows for hold in row.blocked)
    if holds:
        lines.append(f"Not fixed before these are recorded: {'; '.join(holds)}.")
    lines.append("Planned days, not a promise. Please say if one does not suit.")
    return "\n".join(lines)


def rows_csv(made: Programme) -> bytes:
    """Every task as a row, for a spreadsheet: moments as ISO 8601 with their offset."""
    text = io.StringIO()
    out = csv.writer(text, lineterminator="\r\n")
    out.writerow(
        ("job", "task", "title", "trade", "kind", "begin", "end", "low_h", "likely_h", "high_h",
         "people", "float_h", "on_the_chain", "hold", "recorded", "waits_for", "promised", "done")
    )  # fmt: skip
    for row in made.rows:
        out.writerow(
            [_safe(str(cell)) for cell in (
                row.job, row.key.partition("/")[2], row.title, row.word, row.kind,
                row.begin.isoformat(), row.end.isoformat(), *(f"{h:.3f}" for h in row.hours),
                row.people, f"{row.float_hours:g}", _yes(row.chain), row.hold, _yes(row.recorded),
                " | ".join(row.blocked), row.promised or "", _yes(row.done),
            )]
        )  # fmt: skip
    return text.getvalue().encode("utf-8-sig")


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _safe(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula."""
    return f"'{cell}" if cell[:1] in ("=", "+", "-", "@", "\t") and not _number(cell) else cell


def _number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def _job(made: Programme, row: Row) -> str:
    return f" ({row.job})" if len({one.job for one in made.rows}) > 1 else ""


def _upper(word: str) -> str:
    return word[:1].upper() + word[1:]


__all__ = ["bring", "day_lines", "days", "message", "rows_csv", "said_day", "work"]
