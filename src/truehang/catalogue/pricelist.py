"""What does a supplier's price list say of things that the catalogue has? A CSV or XLSX, read whole
or not at all.

Which column is what is said once for a supplier and remembered, and so is what his code is here.
A list with two columns of one name, a price below nothing or a row that can't be read is refused
with every such row named, and nothing of it is kept. What is not matched is listed.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

import yaml

from truehang.catalogue._read import CatalogueError

MOST_BYTES = 32 * 1024 * 1024
MOST_ROWS = 200_000
MOST_TOLD = 20
EVERY = 2_000
FIELDS = ("id", "price", "code")
"""What a column can be: the id here, the price of one before tax, the supplier's own code."""
_USUAL = {
    "id": ("id", "our id", "catalogue id"),
    "code": ("code", "item", "item code", "sku", "part", "part no", "article", "product code"),
    "price": ("price", "each", "net", "net price", "unit price", "price each", "price ex tax"),
}
_MONEY = re.compile(r"[^\d.,\-]")


@dataclass(frozen=True, slots=True)
class Remembered:
    """What was said of one supplier's lists: which column is what, and which code is which id."""

    columns: Mapping[str, str] = field(default_factory=dict)
    codes: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ListRow:
    """One row that is matched: the id here, its price, the supplier's code."""

    id: str
    price: Decimal
    code: str


@dataclass(frozen=True, slots=True)
class PriceList:
    """A list as it was read: what matched, and the codes of what did not, with their lines."""

    rows: tuple[ListRow, ...]
    unmatched: tuple[tuple[int, str], ...]
    columns: Mapping[str, str]


def read_list(
    path: Path,
    known: Iterable[str],
    remembered: Remembered,
    progress: Callable[[int], None] = lambda rows: None,
) -> PriceList:
    """The list in a file. CatalogueError where anything in it can't be right."""
    rows = _rows(path)
    header = [str(one).strip() for one in next(rows, (0, ()))[1]]
    columns = _columns(path.name, header, remembered.columns)
    places = {what: header.index(name) for what, name in columns.items()}
    ids = {one.casefold(): one for one in known}
    codes = {code.casefold(): id for code, id in remembered.codes.items()}
    found: dict[str, tuple[int, ListRow]] = {}
    wrong: list[str] = []
    unmatched = []
    for number, cells in rows:
        if number % EVERY == 0:
            progress(number)
        if not any(str(cell).strip() for cell in cells):
            continue
        given = {what: str(cells[at]).strip() if at < len(cells) else ""
                 for what, at in places.items()}  # fmt: skip
        name = given.get("id") or given.get("code", "")
        id = ids.get(name.casefold()) or codes.get(given.get("code", "").casefold())
        if id is None:
            unmatched.append((number, name or "(empty)"))
            continue
        price = _price(given["price"])
        if price is None or price < 0:
            why = "below zero" if price is not None else "no price"
            wrong.append(f"{path.name}: line {number}: {columns['price']}: {given['price']!r} is "
                         f"{why}; give an amount like 12.50")  # fmt: skip
        elif id in found and found[id][1].price != price:
            line, other = found[id]
            wrong.append(f"{path.name}: line {number}: {id} has two prices, {other.price} on line "
                         f"{line} and {price}; keep one")  # fmt: skip
        else:
            found.setdefault(id, (number, ListRow(id, price, given.get("code", ""))))
    if wrong:
        more = [f"and {len(wrong) - MOST_TOLD} more"] if len(wrong) > MOST_TOLD else []
        raise CatalogueError("\n".join([*wrong[:MOST_TOLD], *more, "nothing was imported"]))
    return PriceList(tuple(row for _, row in found.values()), tuple(unmatched), columns)


def _columns(name: str, header: Sequence[str], remembered: Mapping[str, str]) -> dict[str, str]:
    """Which column is what: as it was said, else by a usual name."""
    twice = sorted({one for one in header if one and header.count(one) > 1})
    if twice:
        raise CatalogueError(
            f"{name}: line 1: two columns are called {', '.join(map(repr, twice))}; give each a "
            "name of its own, nothing was imported"
        )
    columns = {}
    lower = {one.casefold(): one for one in header if one}
    for what in FIELDS:
        said = remembered.get(what)
        if said is not None:
            if said not in header:
                raise CatalogueError(
                    f"{name}: line 1: no column is called {said!r}, which is remembered as the "
                    f"{what}; there are {', '.join(filter(None, header))}: say --columns again"
                )
            columns[what] = said
            continue
        usual = next((lower[one] for one in _USUAL[what] if one in lower), None)
        if usual is not None:
            columns[what] = usual
    missing = [] if "price" in columns else ["price"]
    missing += [] if columns.keys() & {"id", "code"} else ["id or code"]
    if missing:
        raise CatalogueError(
            f"{name}: line 1: which column is the {' and the '.join(missing)}? There are "
            f"{', '.join(filter(None, header)) or 'none'}; say --columns price=NAME,code=NAME"
        )
    return columns


def _price(text: str) -> Decimal | None:
    """An amount with a point or a comma before its cents; None where it is none."""
    bare = _MONEY.sub("", text)
    point, comma = bare.rfind("."), bare.rfind(",")
    if comma > point and len(bare) - comma <= 3:
        bare = bare.replace(".", "").replace(",", ".")
    try:
        price = Decimal(bare.replace(",", ""))
    except InvalidOperation:
        return None
    return price.quantize(Decimal("0.01")) if price.is_finite() else None


# ---------------------------------------------------------------- files


def _rows(path: Path) -> Iterator[tuple[int, Sequence[Any]]]:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise CatalogueError(f"{path.name}: more than {MOST_BYTES:,} bytes; cut it in parts")
        content = path.read_bytes()
    except OSError as error:
        raise CatalogueError(f"{path.name}: {(error.strerror or str(error)).lower()}; look at the "
                             "name and the folder") from None  # fmt: skip
    rows = _from_xlsx(path.name, content) if content[:2] == b"PK" else _from_csv(path.name, content)
    for number, cells in enumerate(rows, start=1):
        if number > MOST_ROWS:
            raise CatalogueError(f"{path.name}: more than {MOST_ROWS:,} lines; cut it in parts")
        yield number, cells


def _from_csv(name: str, content: bytes) -> Iterator[Sequence[str]]:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")
    first = text.partition("\n")[0]
    comma = max((",", ";", "\t"), key=first.count)
    try:
        yield from csv.reader(io.StringIO(text, newline=""), delimiter=comma, strict=True)
    except csv.Error as error:
        raise CatalogueError(f"{name}: not CSV ({error}); save it again as CSV") from None


def _from_xlsx(name: str, content: bytes) -> Iterator[Sequence[Any]]:
    from openpyxl import load_workbook

    try:
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        sheet = book.worksheets[0]
    except Exception:  # a broken zip fails in as many ways as there are
        raise CatalogueError(f"{name}: not an XLSX that can be read; save it again") from None
    for row in sheet.iter_rows(values_only=True):
        yield ["" if cell is None else cell for cell in row]


# ---------------------------------------------------------------- what is remembered, and written


def remembered_of(folder: Path, supplier: str) -> Remembered:
    """What is remembered of a supplier's lists; nothing where he has sent none yet."""
    path = folder / "columns.yaml.txt"
    if not path.exists():
        return Remembered()
    known = (yaml.safe_load(path.read_text(encoding="utf-8")) or {}).get(supplier, {})
    return Remembered(known.get("columns", {}), known.get("codes", {}))


def remember(folder: Path, supplier: str, what: Remembered) -> bytes:
    """The file of what is remembered, with this supplier's put in."""
    path = folder / "columns.yaml.txt"
    known = (yaml.safe_load(path.read_text(encoding="utf-8")) or {}) if path.exists() else {}
    known[supplier] = {"columns": dict(what.columns), "codes": dict(what.codes)}
    return yaml.safe_dump(known, allow_unicode=True, sort_keys=True).encode()


def as_file(found: PriceList, supplier: str, currency: str, day: date) -> bytes:
    """The own file that a list becomes."""
    prices = [
        {"id": row.id, "price": str(row.price), "currency": currency, "date": day.isoformat(),
         "supplier": supplier, "code": row.code}
        for row in found.rows
    ]  # fmt: skip
    return yaml.safe_dump({"price": prices}, allow_unicode=True, sort_keys=False).encode()
