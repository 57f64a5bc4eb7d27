"""Which timber are new studs, plates and frame pieces cut from, where the wall's own size or the
kit's is not sold?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from truehang.catalogue import Catalogue
from truehang.catalogue.regions import Region
from truehang.catalogue.timber import Section
from truehang.findings import Finding, Severity
from truehang.framing import SAME_SIZE, Sold
from truehang.job import Job
from truehang.lengths import said
from truehang.members import Member

PRACTICE = "common practice, no source"
A_SHIM = 2.0
"""What stands back from a lining by less is packed out with strips of card, mm (common practice, no
source)."""


@dataclass(frozen=True, slots=True)
class NewStud:
    """What new studs and plates are cut from: its code, "" where nothing is sold, and its breadth
    and depth (mm)."""

    stock: str
    breadth: float
    depth: float


def new_stud(job: Job, catalogue: Catalogue, region: Region) -> NewStud:
    """The region's cheapest section of the studs' own size, else the nearest in size."""
    studs = job.wall.make_up.studs
    sold: Section | None = min(
        catalogue.timber_in(region).sections,
        key=lambda s: (
            round(abs(s.breadth - studs.width) + abs(s.depth - studs.depth), 1),
            s.price_per_metre,
            s.code,
        ),
        default=None,
    )
    if sold is None:
        return NewStud("", studs.width, studs.depth)
    return NewStud(sold.code, sold.breadth, sold.depth)


def stud_findings(
    job: Job, catalogue: Catalogue, region: Region, framing: tuple[Member, ...]
) -> Iterator[Finding]:
    """Whether new studs are as deep as the wall's own: linings go over both."""
    new, depth = new_stud(job, catalogue, region), job.wall.make_up.studs.depth
    off = new.depth - depth
    ours = any(m.stock == new.stock and not m.key.startswith("frame.") for m in framing)
    if not ours or not new.stock or abs(off) <= SAME_SIZE:
        return
    what = f"studs {said(depth, 1)} deep are not sold here; the nearest, {new.stock}, is "
    if off < 0:
        what += f"{said(-off, 1)} shallower and stands back from a lining"
        mend = f"set new studs flush with one face and pack {said(-off, 1)} on the other"
    else:
        what += f"{said(off, 1)} deeper and stands out of the wall"
        mend = f"rip new studs and plates to {said(depth, 1)}"
    severity = Severity.NOTE if abs(off) <= A_SHIM else Severity.WARN
    yield Finding(severity, "wall.make_up.studs", what, f"{mend}, or buy another size", PRACTICE)


def sold_as(catalogue: Catalogue, region: Region, section: tuple[float, float]) -> Sold:
    """What a piece of the frame of this section (mm) is cut from: what is sold in it, else the
    cheapest that it can be ripped from."""
    wanted, shelf = sorted(section), _shelf(catalogue, region)
    fits = [row for row in shelf if _same(row[1], wanted)]
    if fits:
        return Sold(section, min(fits)[2])
    larger = [
        row
        for row in shelf
        if all(has >= want - SAME_SIZE for has, want in zip(row[1], wanted, strict=True))
    ]
    if not larger:
        return Sold(section, "")
    _, stock, code = min(larger)
    return Sold(section, code, _ripped(stock, wanted))


def _ripped(stock: tuple[float, float], wanted: list[float]) -> str:
    """What is taken off the stock, in words."""
    if abs(stock[0] - wanted[0]) <= SAME_SIZE:
        return f"rip its {said(stock[1], 1)} face to {said(wanted[1], 1)}"
    if abs(stock[1] - wanted[1]) <= SAME_SIZE:
        return f"rip or plane it to {said(wanted[0], 1)} thick"
    return f"rip and plane it to {said(wanted[0], 1)} x {said(wanted[1], 1)}"


def _same(one: tuple[float, float], other: list[float]) -> bool:
    """The same in thickness; in width too, or less by what is packed out."""
    return abs(one[0] - other[0]) <= SAME_SIZE and -SAME_SIZE <= other[1] - one[1] <= A_SHIM


def _shelf(catalogue: Catalogue, region: Region) -> list[tuple[int, tuple[float, float], str]]:
    """Price, thickness and width, and name of every timber and batten."""
    timber = [
        (s.price_per_metre, s.breadth, s.depth, s.code)
        for s in catalogue.timber_in(region).sections
    ]
    mouldings = [
        (m.price_per_metre, m.thickness, m.width, m.code)
        for m in catalogue.mouldings_in(region)
        if m.kind in ("rib", "plate")
    ]
    return [
        (price, (min(one, other), max(one, other)), code)
        for price, one, other, code in (*timber, *mouldings)
    ]
