"""Which screw goes where, how many are bought, and where may nothing longer go?"""

from __future__ import annotations

from collections.abc import Iterator
from fnmatch import fnmatchcase
from typing import TYPE_CHECKING

from truehang.money import Money
from truehang.pack.content import Banner, Block, Column, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import Printing, number

if TYPE_CHECKING:
    from truehang.fixings import Choice, NoGo
    from truehang.plan import Plan


def section(plan: Plan, printing: Printing, album: Album) -> tuple[Section, ...]:
    """No-go zones first, then a fastener for each row, then boxes."""
    given = plan.fixings
    if given is None or not given.choices:
        return ()
    blocks: list[Block] = []
    blocks += [*zones(plan, printing), *album.printed("no-go-")]
    blocks.append(_choices(given.choices, printing))
    blocks.append(
        Text(
            "Lengths are of the fastener under its head. Stays clear: what is left between the "
            "tip and the pocket. Where no stock fastener fits, the mends are in the last column.",
            tone="small",
        )
    )
    if given.boxes:
        currency = plan.region.currency
        blocks.append(
            Table(
                columns=(
                    Column("Boxes", "right", strong=True),
                    Column("Fastener", share=1),
                    Column("Needed, with waste", "right"),
                    Column("In a box", "right"),
                    Column("Price", "right"),
                ),
                rows=tuple(
                    (
                        str(box.boxes),
                        box.fastener.name,
                        str(box.count),
                        str(box.fastener.box_count),
                        str(Money(box.price_minor, currency)),
                    )
                    for box in given.boxes
                ),
                title="Boxes to buy",
            )
        )
    return (Section("Fixings", tuple(blocks)),)


def used(plan: Plan, *patterns: str) -> tuple[Choice, ...]:
    """The fixings that are chosen, of the rows whose key fits one of `patterns`."""
    return tuple(
        choice
        for choice in (plan.fixings.choices if plan.fixings else ())
        if choice.fastener and any(fnmatchcase(choice.row.key, one) for one in patterns)
    )


def rows(
    choices: tuple[Choice, ...], plan: Plan, printing: Printing, *, from_datum: bool = False
) -> tuple[Block, ...]:
    """These fixings and where each one goes, in one table for the step that drives them. Heights
    are up from the level line, or from the level datum where the step's other tables are."""
    if not choices:
        return ()

    def told(choice: Choice) -> Iterator[tuple[str, ...]]:
        first = (str(choice.row.label), number(choice.count), use(choice))
        for where in _where(choice, None if from_datum else plan, printing):
            yield (*first, *where)
            first = ("", "", "")

    columns = (
        Column("Where", share=1.1),
        Column("Count", "right"),
        Column("Use", share=1.1, strong=True),
        Column(f"x from the datum, {printing.unit}", share=1.3),
        Column("z from the level datum" if from_datum else "Up from the level line", share=1.7),
        Column("In from face A"),
    )
    every = [row for choice in choices for row in told(choice)]
    used = [x for x in range(len(columns)) if any(row[x] for row in every)]
    table = Table(
        columns=tuple(columns[x] for x in used),
        rows=tuple(tuple(row[x] for x in used) for row in every),
        title="Fixings of this step",
        small=True,
    )
    notes: dict[str, list[str]] = {}
    for choice in choices:
        if note := _note(choice):
            notes.setdefault(note, []).append(str(choice.row.label))
    told_once = (f"{', '.join(dict.fromkeys(rows))}: {note}" for note, rows in notes.items())
    return (table, *([Text(f"{'. '.join(told_once)}.", "small")] if notes else []))


def zones(plan: Plan, printing: Printing) -> tuple[Block, ...]:
    """Where nothing longer may go; none where no pocket is."""
    given = plan.fixings.no_go if plan.fixings else ()
    return (Banner(_NOTHING_LONGER), _zones(given, printing)) if given else ()


_NOTHING_LONGER = "Nothing longer than this goes into the wall over a pocket."


def _where(choice: Choice, plan: Plan | None, printing: Printing) -> Iterator[tuple[str, str, str]]:
    """Where a fixing goes, along, up and in: those that share their heights are told together. Up
    from the level line of the plan, or from the level datum without one."""
    made = plan.arrangement if plan else None

    def along(values: tuple[float, ...]) -> str:
        return ", ".join(printing.length(value) for value in values)

    def up(values: tuple[float, ...]) -> str:
        if made is None:
            return along(values)
        return ", ".join(printing.between(made.heights.level_line, value) for value in values)

    row = choice.row
    if not row.places:  # told in words under the table
        yield "", "", ""
    for first, second in _alike(row.places):
        if row.axis[1] == "y":
            yield along(first), up(second), ""
        elif row.axis[1] == "x":
            yield along((row.surface,)), up(second), along(first)
        else:
            yield along(first), up((row.surface,)), along(second)


def _alike(
    places: tuple[tuple[float, float], ...],
) -> list[tuple[tuple[float, ...], tuple[float, ...]]]:
    """Places as rows and columns: firsts that have the same seconds stand together."""
    seconds: dict[float, list[float]] = {}
    for first, second in places:
        seconds.setdefault(round(first, 1), []).append(round(second, 1))
    firsts: dict[tuple[float, ...], list[float]] = {}
    for first, those in seconds.items():
        firsts.setdefault(tuple(sorted(those)), []).append(first)
    return [(tuple(sorted(those)), seconds_) for seconds_, those in firsts.items()]


def _zones(zones: tuple[NoGo, ...], printing: Printing) -> Table:
    return Table(
        columns=(
            Column("Zone", share=1),
            Column("Face"),
            Column(f"x from – to, {printing.unit}", "right"),
            Column("z from the level datum", "right"),
            Column("Longest", "right", strong=True),
        ),
        rows=tuple(
            (
                zone.label,
                zone.face,
                f"{printing.length(zone.x0)} – {printing.length(zone.x1)}",
                f"{printing.length(zone.z0)} – {printing.length(zone.z1)}",
                printing.most(zone.longest),
            )
            for zone in zones
        ),
        title="Longest fixing from the finished face",
    )


def use(choice: Choice) -> str:
    """The fastener by name, and whether the piece is glued as well."""
    if choice.fastener is None:
        return "NONE FITS"
    return choice.fastener.name + (", and glue" if choice.glued else "")


def _note(choice: Choice) -> str:
    return "; ".join(map(str, choice.offers)) or str(choice.row.note)


def _choices(choices: tuple[Choice, ...], printing: Printing) -> Table:
    def clear(choice: Choice) -> str:
        return printing.fine(choice.spare) if choice.fastener and choice.row.cavity else "solid"

    return Table(
        columns=(
            Column("Where", share=1),
            Column("Count", "right"),
            Column("Use", share=1, strong=True),
            Column(f"Shortest – longest, {printing.unit}", "right"),
            Column("Holds", "right"),
            Column("Stays clear", "right"),
            Column("Note", share=0.9),
        ),
        rows=tuple(
            (
                str(choice.row.label),
                number(choice.count),
                use(choice),
                f"{printing.fine(choice.shortest)} – {printing.most(choice.longest)}",
                printing.fine(choice.holds) if choice.fastener else "",
                clear(choice),
                _note(choice),
            )
            for choice in choices
        ),
        title="Which fixing goes where",
        strong=tuple(i for i, choice in enumerate(choices) if choice.fastener is None),
    )


PLACES = (Place("office", 110, section),)
