"""Which rows of fixings does this arrangement need, and what does each pass through?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from truehang.catalogue import Catalogue
from truehang.catalogue.kits import Kit
from truehang.catalogue.regions import Region
from truehang.figures import Figure
from truehang.fit import Arrangement, Pocket, Span
from truehang.fit.model import Side
from truehang.fixings import (
    CLEAR_OF_CAVITY,
    Fixings,
    Hold,
    Row,
    Sheet,
    StockFastener,
    fixings,
    spread,
)
from truehang.fixings.model import Axis, Face
from truehang.framing import LEAST_PACKING
from truehang.job import Job
from truehang.lengths import said
from truehang.measure import Adjustment
from truehang.members import Member, standing
from truehang.plan.base import open_base
from truehang.plan.base_rows import base_rows
from truehang.plan.faces import (
    FACES,
    behind_groove,
    board_rule,
    driven,
    jamb_cheek,
    no_go,
    sheets,
)
from truehang.plan.framing_rows import engineered, framing_rows, under_no_timber
from truehang.plan.lining_rows import Lines, lining_rows
from truehang.plan.lists import moulding
from truehang.plan.made_frame_rows import made_frame_rows
from truehang.plan.open_fixings import open_fixings
from truehang.plan.over_packs import head_places
from truehang.plan.plate_rows import floor_plates, plate_rows
from truehang.plan.skirting import Run, skirting_rows
from truehang.plan.stays import nails_go_in, staying, staying_figures

PRACTICE = "common practice, no source"
TRIM = 11.0
"""Usual thickness of trim at a pocket where none is sold, mm (common practice, no source)."""
TRIM_WIDE = 40.0
"""Width of trim where none is sold, mm (common practice, no source)."""
TRIM_HOLD = Hold(3.0, PRACTICE, glued=2.0, source_glued=PRACTICE)
FRAME_HOLD = Hold(30.0, PRACTICE)
STRIP_HOLD = Hold(15.0, PRACTICE)
STRIP_SPACING, SLANTED = 300.0, 20.0
"""How far the screws of a strip are apart, and how much of the strip one passes at a slant, mm
(common practice, no source)."""
SUNK = 2.0
"""How deep a head is sunk where the leaf lands on it, mm (common practice, no source)."""
OUT_OF_PLACE = 3.0
"""How far new timber stands off its mark or plumb, so that the packing behind a frame is that much
more or less, mm (common practice, no source)."""
SOLID = 45.0
"""Timber behind a frame: the usual stud (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What the frame and its lining are fixed to.

    `framing` is every piece of it; `screws` where each layer of board is screwed to it, `skirting`
    what is put back on a face. `opening` is the old one as measured; `head_depth` that of the
    timber which the frame's head is fixed up to, `head_packing` the least and most of what is
    between (mm).
    """

    framing: tuple[Member, ...]
    screws: Lines = ()
    skirting: tuple[Run, ...] = ()
    opening: Adjustment | None = None
    head_depth: float = SOLID
    head_packing: tuple[float, float] | None = None

    def ribs(self, face: Face, *, at_mouth: bool) -> list[float]:
        """The middles of the ribs on a face, at the mouths or further in."""
        return [
            rib.x.middle
            for rib in standing(self.framing, "rib")
            if rib.face == face and rib.at_mouth == at_mouth
        ]


def fix(
    job: Job,
    catalogue: Catalogue,
    region: Region,
    fit: Arrangement,
    kit: Kit,
    about: About,
) -> Fixings:
    """Every row of fixings of the arrangement, chosen from the catalogue."""
    rule = board_rule(catalogue, region)
    stock = [
        StockFastener(**fastener.model_dump(exclude={"range"}))
        for fastener in catalogue.fasteners_in(region)
    ]
    asked = open_base(job)
    rows = [
        *(row for face, at in about.screws for row in lining_rows(job, fit, rule, face, at)),
        *(_trim_rows(job, catalogue, region, fit, about) if job.wishes.trim else ()),
        *skirting_rows(
            job, fit, moulding(catalogue, region, "skirting"), about.skirting, about.framing
        ),
        *framing_rows(job, fit, catalogue.nailing_rule(region), about.framing),
        *made_frame_rows(about.framing),
        *_strip_rows(fit, kit, about),
        *_frame_rows(fit, kit, about),
        *(() if asked else plate_rows(job, about.framing)),
        *(() if asked else base_rows(job, fit, about.framing, stock)),
    ]
    made = fixings(rows, stock, no_go(fit))
    figures = (
        *made.figures,
        *asked,
        *open_fixings(
            plates=bool(asked and floor_plates(about.framing)),
            engineered=bool(engineered(about.framing)),
            under=under_no_timber(job, about.framing),
        ),
        *staying_figures(job, fit),
    )
    return replace(made, figures=(*figures, *_glued_trim(job, catalogue)))


def _glued_trim(job: Job, catalogue: Catalogue) -> Iterator[Figure]:
    """What stands in place of the nails of trim on a face that none may be driven into."""
    face = staying(job)
    if face is not None and job.wishes.trim and not nails_go_in(job, catalogue, face):
        yield Figure(
            key=f"fixings.trim-{face.lower()}.use",
            label=f"fixing to use: trim on face {face}",
            value="adhesive only, held with tape until it has set; no nail",
            unit="",
            rule="nothing is driven into this face",
            inputs=("job:wall.make_up", "job:wall.stays"),
            source=PRACTICE,
        )


def _jamb_trim(fit: Arrangement, face: Face, trim: Sheet, sheets: tuple[Sheet, ...]) -> Row | None:
    """Trim at the closing jamb, short enough to stay out of its groove wherever it is nailed."""
    if fit.closing_jamb is None:
        return None
    axis, surface = driven(fit, face)
    out = -trim.thickness if axis == "+y" else trim.thickness
    up = spread(fit.heights.frame_bottom, fit.heights.head_underside, 450.0, 60.0)
    return Row(
        key=f"trim-jamb-{face.lower()}",
        label=f"trim at the closing jamb, face {face}",
        axis=axis,
        surface=surface + out,
        places=tuple((behind_groove(fit, fit.closing_jamb).middle, z) for z in up),
        through=(trim, *sheets),
        into=jamb_cheek(fit),
        cavity=True,
        hold=TRIM_HOLD,
        kind="trim-nail",
        glued=True,
        inputs=("job:wishes.lining", "job:wall.make_up.studs", f"catalogue:kits.{fit.kit_id}.lead"),
    )


def _head_trim(
    fit: Arrangement, face: Face, trim: Sheet, wide: float, sheets: tuple[Sheet, ...],
    *, stripped: bool,
) -> Row:  # fmt: skip
    """Trim over the opening: a nail in the middle of its width ends in the head strip behind its
    lining, or, where the trim hangs too little to have one, in the lining, and glue does the
    work."""
    axis, surface = driven(fit, face)
    out = -trim.thickness if axis == "+y" else trim.thickness
    along = spread(fit.opening.low, fit.opening.high, 300.0, 60.0)
    head = fit.heights.clear_head
    hangs = fit.heights.head_underside - head if stripped else fit.heights.leaf_top - head
    z = head + min(wide, hangs) / 2
    lining = Sheet("lining", sum(sheet.thickness for sheet in sheets))
    into = Sheet("head strip", fit.pockets[0].rib_thickness) if stripped else lining
    return Row(
        key=f"trim-head-{face.lower()}",
        label=f"trim over the opening, face {face}",
        axis=axis,
        surface=surface + out,
        places=tuple((x, z) for x in along),
        through=(trim, *sheets) if stripped else (trim,),
        into=into,
        cavity=True,
        hold=TRIM_HOLD,
        kind="trim-nail",
        glued=True,
        note="" if stripped else "glue holds it: behind the lining the track and the leaves run",
        inputs=("job:wishes.lining", "fit.mark.clear-head"),
    )


def _trim_rows(
    job: Job, catalogue: Catalogue, region: Region, fit: Arrangement, about: About
) -> Iterator[Row]:
    sold = moulding(catalogue, region, "architrave", thinnest=True)
    trim = Sheet("trim", sold.thickness if sold else TRIM)
    wide = sold.width if sold else TRIM_WIDE
    up = spread(fit.heights.frame_bottom, fit.heights.head_underside, 450.0, 60.0)
    for face in FACES:
        if face == staying(job) and not nails_go_in(job, catalogue, face):
            continue
        axis, surface = driven(fit, face)
        out = -trim.thickness if axis == "+y" else trim.thickness
        yield Row(
            key=f"trim-mouth-{face.lower()}",
            label=f"trim at the mouths, face {face}",
            axis=axis,
            surface=surface + out,
            places=tuple((x, z) for x in about.ribs(face, at_mouth=True) for z in up),
            through=(trim, *sheets(job, face)),
            into=Sheet("rib", fit.pockets[0].rib_thickness),
            cavity=True,
            hold=TRIM_HOLD,
            kind="trim-nail",
            glued=True,
            inputs=("job:wishes.lining", "fit.rib_thickness"),
        )
        jamb = _jamb_trim(fit, face, trim, sheets(job, face))
        yield from () if jamb is None else (jamb,)
        stripped = bool(standing(about.framing, "head strip"))
        yield _head_trim(fit, face, trim, wide, sheets(job, face), stripped=stripped)


def _strip_rows(fit: Arrangement, kit: Kit, about: About) -> Iterator[Row]:
    """The strips over the clear opening, at a slant up into the head member from their inner face,
    while the frame lies on the floor and the track is not in yet."""
    strips = standing(about.framing, "head strip")
    if not strips:
        return
    along = spread(fit.opening.low, fit.opening.high, STRIP_SPACING, 60.0)
    yield Row(
        key="head-strip", label="head strips to the head member", axis="+z",
        surface=fit.heights.head_underside - SLANTED,
        places=tuple((x, strip.y.middle) for strip in strips for x in along),
        through=(Sheet("head strip, at a slant", SLANTED),),
        into=Sheet("head member", kit.head_depth), cavity=False, hold=STRIP_HOLD,
        kind="board-screw",
        note="drilled first, at a slant up from the inner face, heads sunk; glue along the upper "
        "edge, before the track goes in",
        inputs=("fit.mark.head-underside", "fit.mark.clear-head",
                f"catalogue:kits.{kit.id}.head_depth"),
    )  # fmt: skip


def _frame_rows(fit: Arrangement, kit: Kit, about: About) -> Iterator[Row]:
    heights, middle = fit.heights, fit.wall.thickness / 2
    spacing = {point.member: point.spacing_most for point in kit.fixing_points}
    ways: tuple[tuple[Pocket, Axis, float], ...] = tuple(
        (pocket, "-x", pocket.back_stud.high) if pocket.side == "left"
        else (pocket, "+x", pocket.back_stud.low)
        for pocket in fit.pockets
    )  # fmt: skip
    up = spread(heights.frame_bottom, heights.head_underside, spacing.get("back stud", 600.0), 150)
    for pocket, axis, surface in ways:
        packing, into = _behind(fit, about, pocket.side)
        yield Row(
            key="back-stud" if len(ways) == 1 else f"back-stud-{pocket.side}",
            label=f"back stud to wall, {pocket.side} pocket",
            axis=axis,
            surface=surface,
            places=tuple((middle, z) for z in up),
            through=(Sheet("back stud", kit.back_stud), packing),
            into=into,
            cavity=False,
            hold=FRAME_HOLD,
            kind="frame-screw",
            head_room=max(kit.buffer_space - CLEAR_OF_CAVITY, 0.0),
            note=f"{_to_pack(packing)} before you tighten",
            inputs=(f"catalogue:kits.{kit.id}.back_stud", f"catalogue:kits.{kit.id}.buffer_space"),
        )
    if fit.closing_jamb is not None:
        side: Side = "right" if fit.closing_jamb.low >= fit.opening.high - 1e-6 else "left"
        most = spacing.get("closing jamb", 600.0)
        yield _jamb_row(fit, kit, fit.closing_jamb, most, side, _behind(fit, about, side))
    yield _head_row(fit, kit, about)


def _head_row(fit: Arrangement, kit: Kit, about: About) -> Row:
    """Up into the timber over the frame: into the middle of a ply, never between two."""
    heights, middle = fit.heights, fit.wall.thickness / 2
    clearance = heights.rough_head - heights.head_top
    over = _packing(*(about.head_packing or (clearance, clearance)))
    plies = [m.y.middle for m in standing(about.framing, "head") if m.origin == "new"]
    y = min(plies, key=lambda at: (abs(at - middle), at), default=middle)
    return Row(
        key="head",
        label="head of the frame to the head over it",
        axis="+z",
        surface=heights.head_underside,
        places=tuple((x, y) for x in head_places(fit, kit)),
        through=(
            Sheet("head member", kit.head_depth),
            over,
        ),
        into=Sheet("head", about.head_depth),
        cavity=False,
        hold=FRAME_HOLD,
        kind="frame-screw",
        head_room=0.5,
        note=f"{_to_pack(over)} before you tighten; heads sunk, so that the track lies flat",
        inputs=(f"catalogue:kits.{kit.id}.head_depth",),
    )


def _to_pack(packing: Sheet) -> str:
    """How thick the packing behind a frame is where all is on its mark."""
    most = packing.thickness - OUT_OF_PLACE
    least = packing.thinnest + OUT_OF_PLACE
    if least > most - 0.5:
        return f"pack {said(most)} behind"
    return f"pack {said(least)} to {said(most)} behind, as the gap is there,"


def _packing(least: float, most: float) -> Sheet:
    """The packing between a frame and what it is fixed to, which is never quite on its mark."""
    return Sheet("packing", most + OUT_OF_PLACE, max(least - OUT_OF_PLACE, 0.0))


def _behind(fit: Arrangement, about: About, side: Side) -> tuple[Sheet, Sheet]:
    """What is packed behind one end of the frame, and what its screws hold in.

    A stud goes in on its mark, and the packing is as wide as the side clearance. Where an old
    opening leaves no infill the frame stands against its old side, leaning and bowed as measured.
    """
    left = side == "left"
    edge, rough = (fit.frame.low, fit.rough.low) if left else (fit.frame.high, fit.rough.high)
    nominal = abs(edge - rough)
    into = Sheet("stud", round(_solid(fit, about, rough, left), 1))
    infill = any(abs((s.high if left else s.low) - rough) < 1.0 for s in fit.infill)
    if infill or fit.situation != "fill" or about.opening is None:
        return _packing(nominal, nominal), into
    there = [about.opening.corner(f"{end}-{side}").x for end in ("bottom", "top")]
    gaps = [round(abs(edge - x), 1) for x in (*there, about.opening.side(side).x)]
    return _packing(min(gaps), max(gaps)), into


def _solid(fit: Arrangement, about: About, rough: float, left: bool) -> float:
    """Timber from the rough opening outwards, as deep as a screw can hold: the studs and packing
    that stand side by side there, and the old jamb's stud where they reach it."""
    way, depth = (-1.0 if left else 1.0), 0.0
    studs = standing(about.framing, "jamb stud", "king stud", "packing", "infill stud", "wall stud")
    for piece in sorted(studs, key=lambda p: abs(p.x.middle - rough)):
        near, far = sorted((way * (piece.x.low - rough), way * (piece.x.high - rough)))
        if piece.lies == "z" and abs(near - depth) < 1.0:
            depth = far
    if fit.situation != "fill":
        # In a wall that is only being built the bay behind is open: a tip may come out there.
        return max(depth, SOLID) if fit.situation == "divide" or not depth else depth
    ends = [s.low if left else s.high for s in fit.infill if (s.low < rough) == left]
    old = way * (ends[0] - rough) if ends else 0.0
    return old + SOLID if old - depth <= LEAST_PACKING + 0.05 else depth


def _jamb_row(
    fit: Arrangement, kit: Kit, jamb: Span, most: float, side: Side, behind: tuple[Sheet, Sheet]
) -> Row:
    """The closing jamb is screwed to its stud from the bottom of its groove; the leaf lands there,
    so the heads are sunk."""
    on_right = side == "right"
    groove = min(fit.jamb_groove + SUNK, kit.closing_jamb - 10.0)
    heights = fit.heights
    packing, into = behind
    return Row(
        key="closing-jamb",
        label="closing jamb to wall",
        axis="+x" if on_right else "-x",
        surface=jamb.low + groove if on_right else jamb.high - groove,
        places=tuple(
            (fit.wall.thickness / 2, z)
            for z in spread(heights.frame_bottom, heights.head_underside, most, 150)
        ),
        through=(Sheet("closing jamb", kit.closing_jamb - groove), packing),
        into=into,
        cavity=False,
        hold=FRAME_HOLD,
        kind="frame-screw",
        head_room=0.5,
        note=f"{_to_pack(packing)} before you tighten; heads sunk {said(SUNK)}, so that the leaf "
        "lands clear of them",
        inputs=(f"catalogue:kits.{kit.id}.closing_jamb", f"catalogue:kits.{kit.id}.lead"),
    )
