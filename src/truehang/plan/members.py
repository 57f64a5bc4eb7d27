"""Which pieces of framing does this plan have? What fit and structure answer, set out as members.

Everything that counts, draws, lines, fixes or models framing reads what is made here.
"""

from __future__ import annotations

from truehang.catalogue import Catalogue
from truehang.catalogue.regions import Region
from truehang.fit import Arrangement
from truehang.framing import (
    Ground,
    HeadIn,
    OpeningSetOut,
    Sold,
    StudIn,
    There,
    frame_members,
    opening_members,
)
from truehang.job import Job
from truehang.lengths import said
from truehang.measure import Measured
from truehang.members import Member
from truehang.plan.found import found
from truehang.plan.frame import frame_set_out, stud_space
from truehang.plan.given import Given
from truehang.plan.over import Settled
from truehang.plan.over_model import OverOpening, head_packing
from truehang.plan.over_packs import PACKERS_REACH
from truehang.plan.space import stays_over
from truehang.plan.stud import new_stud, sold_as
from truehang.plan.wall import ceiling_of, plate_of, run_of
from truehang.shapes import Span

SAME = 0.5
"""Sizes that differ by less are one, mm."""
THERE = {
    "head": "head",
    "lintel": "lintel",
    "beam": "beam",
    "steel": "steel beam",
    "unknown": "head",
}
"""What is over an opening, as it is called."""


def members(
    given: Given, measured: Measured, fit: Arrangement, settled: Settled, *, bears: bool
) -> tuple[Member, ...]:
    """Every piece of the chosen arrangement; `settled` says what its track hangs from, `bears`
    whether the wall is taken to carry load."""
    job, catalogue, region = given.job, given.catalogue, given.region
    held = settled.over
    opening = OpeningSetOut(
        situation=fit.situation,
        rough=fit.rough,
        frame=fit.frame,
        frame_top=fit.heights.head_top,
        room=_room(job, measured, fit),
        y=stud_space(fit),
        ground=_ground(measured),
        rough_head=fit.heights.rough_head,
        limit=held.limit if held else ceiling_of(job, measured),
        ceiling=ceiling_of(job, measured),
        plate=plate_of(job),
        head=_head(settled),
        stud=_stud_in(job, catalogue, region),
        there=_there(job, fit, held),
        hung_there=held is not None and held.way == "existing",
        packed=_packed(fit, held),
        infill=fit.infill,
        comes_down=bears,
        found=found(job, measured),
        old=fit.old.hole if fit.old is not None else None,
        stretches=(
            *((f"{pocket.side} pocket", pocket.inside) for pocket in fit.pockets),
            ("clear opening", fit.opening),
        ),
        plate_there=max(
            (plate.depth for plate in job.wall.framing.plates if plate.at == "bottom"), default=0.0
        ),
    )
    sold = _sold(catalogue, region, fit)
    strip = _strip_stock(catalogue, region, fit)
    return (*opening_members(opening), *frame_members(frame_set_out(fit, sold, strip)))


def _room(job: Job, measured: Measured, fit: Arrangement) -> Span:
    """From where to where new framing may stand: the old opening that is filled, or the run."""
    if fit.situation == "fill":
        ends = [fit.rough.low, fit.rough.high, *(x for s in fit.infill for x in (s.low, s.high))]
        return Span(min(ends), max(ends))
    return Span(0.0, run_of(job, measured))


def _ground(measured: Measured) -> Ground:
    floor = measured.floor
    return Ground(tuple((x, z) for x, z, _ in floor.stations) if floor else ())


def _there(job: Job, fit: Arrangement, held: OverOpening | None) -> There | None:
    """What is over the opening already; in a wall that is cut or built only what was read there."""
    over = job.wall.over
    if held is None or not stays_over(job):
        return None
    if fit.situation != "fill" and not over.underside:
        return None
    timber = over.kind in ("head", "beam")
    return There(THERE[over.kind], held.limit, over.depth or 0.0, timber)


def _packed(fit: Arrangement, held: OverOpening | None) -> tuple[float, float] | None:
    least, most = head_packing(fit, held)
    if held is None or held.way == "own" or most <= PACKERS_REACH:
        return None
    return least, most


def _head(settled: Settled) -> HeadIn | None:
    """The timber that goes in over the frame. None: what is there does, or nothing sold would."""
    sizing, track_head = settled.sizing, settled.head.choice if settled.head else None
    if sizing is not None and sizing.cheapest is not None:
        big = sizing.cheapest
        studs = sizing.jamb.each_end if sizing.jamb else big.studs
        return HeadIn(big.section, big.plies, big.breadth / big.plies, big.depth, studs, True)
    if track_head is not None:
        one = track_head.member
        return HeadIn(track_head.section, one.plies, one.breadth, one.depth, 0, False)
    return HeadIn("", 1, 0.0, None, 0, False) if settled.over is None else None


# ---------------------------------------------------------------- what it is cut from


def _stud_in(job: Job, catalogue: Catalogue, region: Region) -> StudIn:
    studs, new = job.wall.make_up.studs, new_stud(job, catalogue, region)
    return StudIn(new.stock, new.breadth, studs.depth, studs.spacing)


def _sold(catalogue: Catalogue, region: Region, fit: Arrangement) -> list[Sold]:
    """What each timber section of the frame is cut from."""
    sections = dict.fromkeys(part.section for part in fit.parts if part.material == "timber")
    return [sold_as(catalogue, region, section) for section in sections]


def _strip_stock(catalogue: Catalogue, region: Region, fit: Arrangement) -> tuple[str, str]:
    """What the strips over the clear opening are cut from, and how: the cheapest that is sold at
    least as wide as they hang down and as thick as a rib, sawn down to that."""
    thick = fit.pockets[0].rib_thickness
    wide = fit.heights.head_underside - fit.heights.clear_head
    sold: list[tuple[float, str, float, float]] = [
        (s.price_per_metre, s.code, min(s.breadth, s.depth), max(s.breadth, s.depth))
        for s in catalogue.timber_in(region).sections
    ]
    sold += [
        (m.price_per_metre, m.code, min(m.thickness, m.width), max(m.thickness, m.width))
        for m in catalogue.mouldings_in(region)
        if m.kind in ("rib", "plate")
    ]
    fits = [one for one in sold if one[2] >= thick - SAME and one[3] >= wide - SAME]
    if not fits:
        return "", ""
    _, code, by, across = min(fits)
    cuts = []
    if across > wide + SAME:
        cuts.append(f"{said(wide, 1)} wide")
    if by > thick + SAME:
        cuts.append(f"{said(thick, 1)} thick")
    return code, f"rip to {' and '.join(cuts)}" if cuts else ""
