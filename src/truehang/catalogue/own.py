"""What has a user written into catalogue files of his own, and how does it stand with what ships?

A file, or a folder of them, in TOML or YAML. An entry whose id is shipped is laid over the shipped
one, field by field; `like` begins with a copy of another; `never` lists what is never bought.
Everything wrong is told at once, with file, line, field, value and mend.
"""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from truehang.catalogue._read import CatalogueError, Entry
from truehang.catalogue.boards import Board
from truehang.catalogue.fasteners import Fastener
from truehang.catalogue.kits import Kit
from truehang.catalogue.leaves import LeafConstruction
from truehang.catalogue.rates import Allowance, Good, Place, Plant, PriceOf, Supplier, Task
from truehang.catalogue.seals import Seal
from truehang.catalogue.stock import Moulding
from truehang.catalogue.timber import Section
from truehang.yamltree import MOST_BYTES, read_tree


@dataclass(frozen=True, slots=True)
class Table:
    """One table of a file: what an entry is, what names it, and where such entries are kept."""

    model: type[Entry]
    key: str
    kept: str
    of_rates: bool = False


TABLES: Mapping[str, Table] = {
    "kit": Table(Kit, "id", "kits"),
    "leaf": Table(LeafConstruction, "id", "leaves"),
    "seal": Table(Seal, "key", "seals"),
    "section": Table(Section, "code", "timber_sections"),
    "moulding": Table(Moulding, "code", "mouldings"),
    "board": Table(Board, "code", "boards"),
    "fastener": Table(Fastener, "id", "fasteners"),
    "task": Table(Task, "id", "task", True),
    "good": Table(Good, "id", "good", True),
    "allowance": Table(Allowance, "id", "allowance", True),
    "plant": Table(Plant, "id", "plant", True),
    "supplier": Table(Supplier, "id", "supplier", True),
    "place": Table(Place, "region", "place", True),
    "price": Table(PriceOf, "id", "prices"),
}
MONEY = ("price", "hours", "hour")
"""An entry that gives one of these, or a new one, is the user's own and no more invented."""
_HEADER = re.compile(r"^\s*\[\[?\s*([\w.-]+)\s*\]?\]")
_FIELD = re.compile(r"^\s*([\w-]+)\s*=")


@dataclass(frozen=True, slots=True)
class Written:
    """One entry as it is written, and on which lines."""

    table: str
    file: str
    number: int
    values: Any
    line: int
    lines: Mapping[str, int] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """What it is called; its number where it says nothing."""
        key = TABLES[self.table].key
        given = self.values.get(key) if isinstance(self.values, dict) else None
        return str(given if given is not None else self.number)

    def at(self, field: str = "") -> str:
        """Where it, or one of its fields, stands."""
        line = self.lines.get(field.partition(".")[0], self.line)
        return f"{self.file}: line {line}: {self.table} {self.name}"


@dataclass(frozen=True, slots=True)
class Own:
    """Everything in the user's files: entries in order, and what he never buys."""

    files: tuple[tuple[str, bytes], ...]
    entries: tuple[Written, ...]
    never: tuple[tuple[str, str], ...]


def read_own(path: Path) -> Own:
    """What is in a file, or in every .toml, .yaml and .yml of a folder. CatalogueError where that
    can't be read."""
    paths = [path]
    if path.is_dir():
        paths = sorted(one for one in path.iterdir() if one.suffix in (".toml", ".yaml", ".yml"))
        if not paths:
            raise CatalogueError(f"{path.name}: no .toml or .yaml file is in this folder")
    files: list[tuple[str, bytes]] = []
    entries: list[Written] = []
    never: list[tuple[str, str]] = []
    for one in paths:
        content = _read(one)
        files.append((one.name, content))
        some, unwanted = _tables(one.name, content)
        entries += some
        never += [(one.name, name) for name in unwanted]
    return Own(tuple(files), tuple(entries), tuple(never))


def joined(
    shipped: Mapping[str, tuple[Any, ...]], own: Own
) -> tuple[dict[str, tuple[Any, ...]], frozenset[str]]:
    """What is kept by each name with the user's own laid over it, and what of it is his own.
    CatalogueError with a line for each thing wrong."""
    kept = {name: list(entries) for name, entries in shipped.items()}
    wrong: list[str] = []
    mine: set[str] = set()
    seen: dict[tuple[str, str], Written] = {}
    for one in own.entries:
        table = TABLES[one.table]
        rows = kept[table.kept]
        entry, faults = _entry(one, table, rows)
        wrong += faults
        if entry is None:
            continue
        name = getattr(entry, table.key)
        if one.table != "price" and (one.table, name) in seen:
            first = seen[one.table, name]
            wrong.append(f"{one.at(table.key)}: {table.key}: {name!r} is there twice, first in "
                         f"{first.at(table.key)}; give it its own {table.key}")  # fmt: skip
        seen.setdefault((one.table, name), one)
        mine |= _mine(one, name, known=any(getattr(row, table.key) == name for row in rows))
        if one.table == "price":
            rows.append(entry)
        else:
            _put(rows, table.key, entry)
    for file, named in own.never:
        fault = _leave_out(kept, named)
        if fault:
            wrong.append(f"{file}: never: {fault}")
    if wrong:
        raise CatalogueError("\n".join(wrong))
    return {name: tuple(rows) for name, rows in kept.items()}, frozenset(mine)


def _mine(one: Written, name: str, *, known: bool) -> set[str]:
    priced = any(key.startswith(MONEY) for key in one.values)
    return {f"{one.table} {name}"} if priced or not known else set()


def _put(rows: list[Entry], key: str, entry: Entry) -> None:
    for number, row in enumerate(rows):
        if getattr(row, key) == getattr(entry, key):
            rows[number] = entry
            return
    rows.append(entry)


def _entry(one: Written, table: Table, rows: Iterable[Entry]) -> tuple[Entry | None, list[str]]:
    """The entry, laid over what it is like or what is shipped by its name; or what is wrong."""
    by_name = {getattr(row, table.key): row for row in rows}
    values = one.values
    if isinstance(values, dict):
        values = dict(values)
        like = values.pop("like", None)
        if like is not None and like not in by_name:
            near = difflib.get_close_matches(str(like), list(by_name), n=1)
            known = f"did you mean {near[0]!r}?" if near else f"known: {', '.join(by_name)}"
            return None, [f"{one.at('like')}: like: {like!r} is not there; {known}"]
        name = values.get(table.key)
        base = by_name.get(like if like is not None else name)
        if base is not None and one.table != "price":
            values = {**_under(base, values), **values}
    try:
        return table.model.model_validate(values), []
    except ValidationError as error:
        return None, [f"{one.at(name)}: {text}" for name, text in entry_lines(error, table.model)]


def _under(base: Entry, values: Mapping[str, Any]) -> dict[str, Any]:
    """What an entry is laid over. What is another in a region stays so, but for what is given."""
    under = base.model_dump()
    if "here" in under:
        under["here"] = {
            place: {key: value for key, value in there.items() if key not in {*values, "here"}}
            for place, there in under["here"].items()
        }
    return under


def _leave_out(kept: dict[str, list[Any]], named: str) -> str:
    """Takes one thing out; what is wrong with its name, where it is not there."""
    kind, _, name = named.strip().partition(" ")
    table = TABLES.get(kind)
    if table is None or table.of_rates or kind == "price":
        return f"{named!r}: write what it is and its id, as in 'kit slim-70'"
    rows = kept[table.kept]
    names = [getattr(row, table.key) for row in rows]
    if name not in names:
        near = difflib.get_close_matches(name, names, n=1)
        return f"{named!r} is not there" + (f"; did you mean '{kind} {near[0]}'?" if near else "")
    kept[table.kept] = [row for row in rows if getattr(row, table.key) != name]
    return ""


# ---------------------------------------------------------------- files


def _read(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise CatalogueError(
                f"{path.name}: {size:,} bytes, more than the {MOST_BYTES:,} that are read; "
                "keep only what is your own in it"
            )
        return path.read_bytes()
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise CatalogueError(f"{path.name}: {why}; look at the name and the folder") from None


def _tables(name: str, content: bytes) -> tuple[list[Written], list[str]]:
    yaml = name.lower().endswith((".yaml", ".yml"))
    own, lines = _from_yaml(name, content) if yaml else _from_toml(name, content)
    write = "kit:, leaf: or seal:" if yaml else "[[kit]], [[leaf]] or [[seal]]"
    known = (*TABLES, "never")
    wrong = [
        f"{name}: {key}: unknown table; write {write}, or one of {', '.join(known[3:])}"
        for key in own if key not in known
    ]  # fmt: skip
    wrong += [
        f"{name}: {key}: not a list; write "
        + (f"`{key}:` and each entry after a dash" if yaml else f"[[{key}]] with two brackets")
        for key, value in own.items()
        if key in known and not isinstance(value, list)
    ]
    if wrong or not own:
        raise CatalogueError("\n".join(wrong) or f"{name}: nothing in it; write {write}")
    entries = [
        Written(table, name, number, values, *lines(table, number - 1))
        for table in TABLES
        for number, values in enumerate(own.get(table, ()), start=1)
    ]
    return entries, [str(one) for one in own.get("never", ())]


def _from_toml(name: str, content: bytes) -> tuple[dict[str, Any], Any]:
    try:
        text = content.decode("utf-8")
        own = tomllib.loads(text)
    except UnicodeDecodeError:
        raise CatalogueError(f"{name}: not UTF-8 text; save it again as UTF-8") from None
    except tomllib.TOMLDecodeError as error:
        raise CatalogueError(f"{name}: not TOML: {error}; mend that line") from None
    found = _toml_lines(text)
    return own, lambda table, number: found.get((table, number), (1, {}))


def _toml_lines(text: str) -> dict[tuple[str, int], tuple[int, dict[str, int]]]:
    """The line of each entry and of its fields. TOML's reader keeps none; a header and a field
    begin a line, which is all that is asked here."""
    found: dict[tuple[str, int], tuple[int, dict[str, int]]] = {}
    counts: dict[str, int] = {}
    here: dict[str, int] = {}
    inside = ""
    for number, line in enumerate(text.splitlines(), start=1):
        if header := _HEADER.match(line):
            table, _, inside = header[1].partition(".")
            if not inside and line.lstrip().startswith("[["):
                here = {}
                found[table, counts.get(table, 0)] = (number, here)
                counts[table] = counts.get(table, 0) + 1
            elif inside:
                here.setdefault(inside.partition(".")[0], number)
        elif not inside and (given := _FIELD.match(line)):
            here.setdefault(given[1], number)
    return found


def _from_yaml(name: str, content: bytes) -> tuple[dict[str, Any], Any]:
    tree = read_tree(content)
    if tree.faults:
        raise CatalogueError(
            "\n".join(f"{name}: line {f.line}: {f.what}; {f.mend}" for f in tree.faults)
        )
    own: dict[str, Any] = tree.root

    def lines(table: str, number: int) -> tuple[int, dict[str, int]]:
        values = own[table][number]
        fields = values if isinstance(values, dict) else {}
        return tree.line((table, number)), {key: tree.line((table, number, key)) for key in fields}

    return own, lines


def entry_lines(error: ValidationError, model: type[Entry]) -> Iterator[tuple[str, str]]:
    """What is wrong with an entry: the field, and a line about it."""
    details = error.errors(include_url=False)
    everywhere = {detail["loc"] for detail in details}
    for detail in details:
        if detail["loc"][:1] == ("here",) and detail["loc"][2:] in everywhere:
            continue  # it is said already, and mended once
        name = ".".join(map(str, detail["loc"])) or "the whole entry"
        if detail["type"] == "missing":
            yield name, f"{name}: missing; add it from the datasheet"
        elif detail["type"] == "extra_forbidden":
            yield name, f"{name}: unknown key; {_nearest(str(detail['loc'][-1]), model)}"
        else:
            message = detail["msg"].replace("Input should", "must").removeprefix("Value error, ")
            given = "" if isinstance(detail["input"], dict) else f" {detail['input']!r}"
            yield name, f"{name}:{given} {message}; look at the datasheet again"


def _nearest(given: str, model: type[Entry]) -> str:
    close = difflib.get_close_matches(given, model.model_fields, n=1)
    return f"did you mean {close[0]!r}?" if close else "delete it"
