"""How is a promise shown? As rows: what was tried, what came of it, what was aimed at."""

from __future__ import annotations

from dataclasses import dataclass

WORDS = {True: "met", False: "NOT MET", None: ""}


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a table. `met` is None where nothing was aimed at."""

    what: str
    found: tuple[str, ...]
    aim: str = ""
    met: bool | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """One promise in numbers. `found` names the columns of each row's `found`."""

    title: str
    found: tuple[str, ...]
    rows: tuple[Row, ...]
    notes: tuple[str, ...] = ()

    @property
    def met(self) -> bool:
        """False where a row missed its aim."""
        return all(row.met is not False for row in self.rows)

    def markdown(self) -> str:
        """The table as it stands in the docs."""
        head = ("", *self.found, "aim", "")
        cells = [(row.what, *row.found, row.aim, WORDS[row.met]) for row in self.rows]
        lines = [f"### {self.title}", "", _line(head), _line(("---",) * len(head))]
        lines += [_line(row) for row in cells]
        return "\n".join((*lines, "", *self.notes)).rstrip() + "\n"


def _line(cells: tuple[str, ...]) -> str:
    return "| " + " | ".join(cells) + " |"
