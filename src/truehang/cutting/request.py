"""What is to be cut, from what, and by which rules? Inputs of the cutting room, and their checks.

Lengths are millimetres; inside the room they become integer tenths of a millimetre.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from truehang.findings import Finding, Severity
from truehang.lengths import said
from truehang.money import Money

TENTHS = 10
COMMON_PRACTICE = "common practice, no source"
LONGEST_MM = 100_000.0
"""No length is longer: one that is was given in another unit."""
MOST_PIECES = 100_000
"""No request has more pieces in all."""


@dataclass(frozen=True, slots=True)
class Part:
    """A length that a job needs, `count` times.

    `section` is the id of the timber or trim that it is cut from; `may_join` says that the trade
    allows a butt or scarf joint in it (a plate, a skirting), so that it may be cut as two. `rip_mm`
    is the width that it is ripped to after it is cut, `making` what else is done to it in words,
    `where` where it goes.
    """

    id: str
    section: str
    length_mm: float
    count: int = 1
    job: str = ""
    label: str = ""
    may_join: bool = False
    rip_mm: float | None = None
    making: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True)
class Stock:
    """A length that can be bought. `price` None: not known. `on_hand` None: as many as wanted."""

    id: str
    section: str
    length_mm: float
    price: Money | None = None
    on_hand: int | None = None


@dataclass(frozen=True, slots=True)
class Offcut:
    """A piece from the offcut rack: costs nothing and is there once."""

    id: str
    section: str
    length_mm: float


@dataclass(frozen=True, slots=True)
class CutRules:
    """How the saw and the person work, in mm.

    `kerf_mm` is lost by every cut; `end_trim_mm` is squared off the first end of every length,
    kerf included; `keep_mm` is the shortest offcut that goes on the rack.
    """

    kerf_mm: float = 3.0
    end_trim_mm: float = 5.0
    keep_mm: float = 600.0


@dataclass(frozen=True, slots=True)
class Effort:
    """How hard to look for a proof before the best found is returned.

    `dives` are tries at rounding (for sheets: 25 fillings and 5 pricing rounds each), `nodes` and
    `columns` bound the integer programmes.

    Counts bound the work on every machine alike, so the same request gives the same plan. `seconds`
    is off unless a caller sets it; a plan cut short by it may differ between machines.
    """

    dives: int = 8
    nodes: int = 200
    columns: int = 4_000
    seconds: float | None = None


def tenths(mm: float) -> int:
    """Millimetres as integer tenths, rounded to nearest."""
    return round(mm * TENTHS)


def _bad(where: str, what: str, mend: str) -> Finding:
    return Finding(Severity.STOP, where, what, mend, COMMON_PRACTICE)


def _whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _length_trouble(where: str, name: str, mm: float, least: float) -> Finding | None:
    if not isinstance(mm, int | float) or isinstance(mm, bool) or not math.isfinite(mm):
        return _bad(where, f"{name} {mm!r} is not a length", "give millimetres, for example 2400")
    if mm < least or (least == 0 and mm < 0):
        word = "below 0" if least == 0 else f"under {said(least, 1)}"
        return _bad(where, f"{name} {said(mm, 1)} is {word}", "give the length again")
    if mm > LONGEST_MM:
        return _bad(
            where, f"{name} {said(mm, 1)} is over {said(LONGEST_MM)}", "look at the unit given"
        )
    return None


def check_rules(rules: CutRules) -> tuple[Finding, ...]:
    """Troubles with the rules themselves."""
    given = {
        "kerf_mm": rules.kerf_mm,
        "end_trim_mm": rules.end_trim_mm,
        "keep_mm": rules.keep_mm,
    }
    found = (_length_trouble("cutting.rules", name, mm, 0.0) for name, mm in given.items())
    return tuple(finding for finding in found if finding)


def check_request(
    parts: Sequence[Part], stocks: Sequence[Stock], rack: Sequence[Offcut]
) -> tuple[Finding, ...]:
    """Troubles with single entries: bad lengths and counts, ids used twice, mixed currencies."""
    found: list[Finding | None] = []
    for part in parts:
        where = f"cutting.part {part.id}"
        found.append(_length_trouble(where, "length_mm", part.length_mm, 0.1))
        if not _whole(part.count) or part.count < 1:
            found.append(
                _bad(where, f"count {part.count!r} is not a whole number of 1 or more",
                     "give how many pieces are wanted, or take the part off the list")
            )  # fmt: skip
    for stock in stocks:
        where = f"cutting.stock {stock.id}"
        found.append(_length_trouble(where, "length_mm", stock.length_mm, 0.1))
        if stock.on_hand is not None and (not _whole(stock.on_hand) or stock.on_hand < 0):
            found.append(
                _bad(where, f"on_hand {stock.on_hand!r} is not a whole number",
                     "count the lengths, or leave on_hand empty for as many as wanted")
            )  # fmt: skip
        if stock.price is not None and stock.price.minor < 0:
            found.append(_bad(where, f"price {stock.price} is below 0", "give the price paid"))
    for piece in rack:
        found.append(_length_trouble(f"cutting.rack {piece.id}", "length_mm", piece.length_mm, 0.1))
    total = sum(part.count for part in parts if _whole(part.count))
    if total > MOST_PIECES:
        found.append(
            _bad("cutting.rules", f"{total} pieces are more than {MOST_PIECES} in one request",
                 "look at the counts, or cut the jobs in groups")
        )  # fmt: skip
    found.extend(_twice("part", (part.id for part in parts)))
    found.extend(_twice("stock", (stock.id for stock in stocks)))
    found.extend(_twice("rack", (piece.id for piece in rack)))
    currencies = sorted({stock.price.currency for stock in stocks if stock.price is not None})
    if len(currencies) > 1:
        found.append(
            _bad("cutting.stock", f"prices are in {' and '.join(currencies)}",
                 "give all prices in one currency")
        )  # fmt: skip
    return tuple(finding for finding in found if finding)


def _twice(kind: str, ids: Iterable[str]) -> list[Finding]:
    return [
        _bad(f"cutting.{kind} {name}", f"the id {name!r} is used {n} times", "give each its own id")
        for name, n in Counter(ids).items()
        if n > 1
    ]


def joined(part: Part, longest_mm: float) -> tuple[Part, ...]:
    """A part too long for any stock as equal pieces that do fit, for a part that may be joined.

    The halves (thirds, ...) together are as long as the part, to the tenth of a millimetre: a butt
    joint takes no length.
    """
    pieces = math.ceil(tenths(part.length_mm) / tenths(longest_mm))
    base, over = divmod(tenths(part.length_mm), pieces)
    groups = [(base + 1, over), (base, pieces - over)]
    return tuple(
        replace(
            part,
            id=f"{part.id}/{number}",
            length_mm=length / TENTHS,
            count=part.count * each,
            label=f"{part.label or part.id}, joined",
            may_join=False,
        )
        for number, (length, each) in enumerate((g for g in groups if g[1]), start=1)
    )
