"""What is in a document, before anyone decides how it looks? Sections of plain blocks.

Python turns a Plan into these; the Typst templates lay them out and know nothing of the trade.
Every text is plain text: the templates never read it as markup.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Align = Literal["left", "right", "centre"]
SeverityWord = Literal["stop", "hold", "warn", "note"]


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph. `tone`: plain, small (for notes under a table) or strong."""

    text: str
    tone: Literal["plain", "small", "strong"] = "plain"
    kind: Literal["text"] = field(default="text", init=False)


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list of short points, optionally with bold lead-ins as (lead, text)."""

    items: tuple[tuple[str, str], ...]
    kind: Literal["bullets"] = field(default="bullets", init=False)


@dataclass(frozen=True, slots=True)
class Facts:
    """Key sizes in large figures: (label, value with its unit, note or empty)."""

    items: tuple[tuple[str, str, str], ...]
    columns: int = 3
    kind: Literal["facts"] = field(default="facts", init=False)


@dataclass(frozen=True, slots=True)
class Column:
    """A table column. `share` is its part of the width left over; 0 fits the content."""

    head: str
    align: Align = "left"
    share: float = 0.0
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under columns. Rows whose index is in `strong` are bold; `large` prints for site use,
    `small` packs many columns close.

    Raises ValueError if a row does not have one cell per column.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    title: str = ""
    strong: tuple[int, ...] = ()
    large: bool = False
    small: bool = False
    kind: Literal["table"] = field(default="table", init=False)

    def __post_init__(self) -> None:
        for row in self.rows:
            if len(row) != len(self.columns):
                raise ValueError(f"table {self.title!r}: {row!r} needs {len(self.columns)} cells")


@dataclass(frozen=True, slots=True)
class Notice:
    """One finding as printed: the word and the shape give its weight, never colour."""

    severity: SeverityWord
    where: str
    what: str
    mend: str
    source: str
    brief: bool = False
    """Printed close, without its rule, where findings are carried to site."""
    kind: Literal["notice"] = field(default="notice", init=False)


@dataclass(frozen=True, slots=True)
class Banner:
    """A black bar that can't be overlooked."""

    text: str
    kind: Literal["banner"] = field(default="banner", init=False)


@dataclass(frozen=True, slots=True)
class Drawing:
    """An SVG printed at exactly `width` x `height` mm, so that its scale is true on paper.

    `wide` puts it on a page of its own, on its side.
    """

    svg: str
    width: float
    height: float
    alt: str
    wide: bool = False
    kind: Literal["drawing"] = field(default="drawing", init=False)


@dataclass(frozen=True, slots=True)
class SignOff:
    """Lines to sign. Each role gets a name, signature and date line."""

    statement: str
    roles: tuple[str, ...]
    kind: Literal["signoff"] = field(default="signoff", init=False)


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines to write on: each label with room after it. `columns` of them stand side by side."""

    labels: tuple[str, ...]
    columns: int = 2
    kind: Literal["lines"] = field(default="lines", init=False)


@dataclass(frozen=True, slots=True)
class StepCheck:
    """What is proved at a step: a box to tick, or a `limit` and room to write what was read."""

    label: str
    limit: str = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One numbered step of the order of work, with a box to tick."""

    number: str
    title: str
    hold: str
    facts: tuple[tuple[str, str], ...]
    pouch: tuple[str, ...]
    doing: tuple[str, ...]
    cautions: tuple[str, ...]
    checks: tuple[StepCheck, ...]
    people: int = 1
    picture: Drawing | None = None
    sheets: tuple[str, ...] = ()
    """Which other sheets the step is built from; their numbers, and the part where they are in the
    other one, go before them once all are there."""
    pieces: tuple[Block, ...] = ()
    """Its pieces, packers, fixings and marks, as tables and drawings."""
    kind: Literal["step"] = field(default="step", init=False)


Block = Text | Bullets | Facts | Table | Notice | Banner | Drawing | SignOff | Lines | Step


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with blocks. `wide` turns its pages on their side; `fresh` starts a new page."""

    heading: str
    blocks: tuple[Block, ...]
    lead: str = ""
    wide: bool = False
    fresh: bool = False


@dataclass(frozen=True, slots=True)
class Document:
    """A whole printed document. `stamp` is the short hash that every page carries.

    `part` is the part of the pack that it is ("on site") and `label` begins its page labels.
    `language` and `country` are those of its texts, `paper` the sheet it is printed on.
    """

    title: str
    subtitle: str
    job: str
    revision: str
    stamp: str
    remark: str
    cover: tuple[Block, ...]
    sections: tuple[Section, ...]
    part: str = ""
    label: str = ""
    language: str = "en"
    country: str = ""
    paper: str = "A4"
