"""Which drawings does this plan have? All of them, by key."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Protocol

from truehang.drawing.scene import Layer, Point, Scene
from truehang.drawing.sheet import Sheet
from truehang.drawing.stamp import room_for, stamped
from truehang.drawing.strip import Mark, rod_strips
from truehang.drawing.views.boards import Bar, Board, CutPiece, board_layout, cut_bars
from truehang.drawing.views.elevation import elevation
from truehang.drawing.views.leaf import leaf_orders
from truehang.drawing.views.picture import PARTS, picture
from truehang.drawing.views.plot import Curve, spectrum
from truehang.drawing.views.sections import (
    plan_details,
    plan_section,
    vertical_details,
    vertical_section,
)
from truehang.drawing.views.setout import frame_set_out, packers
from truehang.drawing.views.site import Site
from truehang.drawing.views.there import framing_there
from truehang.drawing.views.zones import Zone, no_go

if TYPE_CHECKING:
    from truehang.fit.model import Arrangement, Face, Service
    from truehang.measure.results import Measured
    from truehang.members import Member


SMALLEST_PLAN = 25.0
"""The smallest scale, 1 to this, at which the layers of a wall can be told apart in plan."""


class PlanLike(Protocol):
    """What is read of a plan. Fixings, sound and cutting may be None; `steps` may be empty."""

    @property
    def arrangement(self) -> Arrangement | None:
        """The chosen arrangement; None where nothing fits."""

    @property
    def measured(self) -> Measured:
        """The checked measure."""

    @property
    def standing(self) -> Any:
        """What stands in the way, with the `stamp` of a draft."""

    @property
    def services(self) -> tuple[Service, ...]:
        """Every service in the run."""

    @property
    def fixings(self) -> Any:
        """A result with `no_go` zones, or None."""

    @property
    def job(self) -> Any:
        """What was given; its `floor.side_b` where side B has a floor of its own."""

    @property
    def sound(self) -> Any:
        """A result with `curves` and a `note`, or None."""

    @property
    def cutting(self) -> Any:
        """A result with `lines` to cut, or None."""

    @property
    def members(self) -> tuple[Member, ...]:
        """Every piece of framing; () where nothing fits."""

    @property
    def lining(self) -> tuple[Any, ...]:
        """A result with `faces` for each kind of board; () where not laid out."""

    @property
    def steps(self) -> tuple[Any, ...]:
        """The order of work; each step has `key`, `title` and `picture`."""


def site(plan: PlanLike) -> Site:
    """Floor, measured outline, services and framing of a plan."""
    measured = plan.measured
    stations = measured.floor.stations if measured.floor else ()
    floor: tuple[Point, ...] = tuple((x, z) for x, z, _ in stations)
    outline = measured.opening.outline if measured.opening else ()
    beyond = plan.job.floor.side_b
    return Site(
        floor, outline, tuple(plan.services), plan.members,
        step_b=beyond.step if beyond else 0.0, to_come_b=beyond.to_come if beyond else None,
    )  # fmt: skip


def scenes(plan: PlanLike, sheet: Sheet | None = None, *, stamp: bool = True) -> dict[str, Scene]:
    """Every drawing of a plan by its key; {} where no arrangement fits.

    That of a draft is stamped so, unless `stamp` is False: for pages that say it themselves.
    """
    made = plan.arrangement
    if made is None:
        return {}
    told = plan.standing.stamp if stamp else ""
    sheet = room_for(sheet or Sheet(), told)
    here = site(plan)
    zones = _zones(plan)
    found = [
        elevation(made, sheet, side="A", site=here),
        elevation(made, sheet, side="B", site=here),
        _plan_section(made, sheet, here, zones),
        *plan_details(made, sheet, site=here, zones=zones),
        vertical_section(made, sheet, site=here, zones=zones),
        *vertical_details(made, sheet, site=here, zones=zones),
        frame_set_out(made, sheet, site=here),
        *framing_there(made, sheet, site=here),
        packers(made, sheet.upright(), site=here),
        *leaf_orders(made, sheet.upright()),
        *_no_go(made, sheet.upright(share=2), here, zones),
        *cutting_pictures(plan.cutting, sheet),
        *lining_pictures(plan, sheet),
        *_sound(plan, sheet),
    ]
    return {scene.key: stamped(scene, told) for scene in found}


def _plan_section(made: Arrangement, sheet: Sheet, here: Site, zones: Sequence[Zone]) -> Scene:
    """Upright beside its details, but on its side where it would be too small to read."""
    upright = plan_section(made, sheet.upright(), site=here, zones=zones)
    small = upright.scale > SMALLEST_PLAN
    return plan_section(made, sheet, site=here, zones=zones) if small else upright


def _zones(plan: PlanLike) -> tuple[Zone, ...]:
    given = plan.fixings.no_go if plan.fixings else ()
    return tuple(
        Zone(zone.label, zone.x0, zone.z0, zone.x1, zone.z1, zone.longest, zone.face)
        for zone in given
    )


def _no_go(made: Arrangement, sheet: Sheet, here: Site, zones: Sequence[Zone]) -> list[Scene]:
    sides: tuple[Face, ...] = ("A", "B")
    shown = {side: [zone for zone in zones if zone.face == side] for side in sides}
    return [no_go(made, sheet, shown[side], side=side, site=here) for side in sides if shown[side]]


def lining_pictures(plan: PlanLike, sheet: Sheet) -> list[Scene]:
    """Which board goes where on each face, seen from its own side, and how each board is cut."""
    faces, bought = sheet.upright(share=2), sheet.upright(share=3)
    found = []
    for number, made in enumerate(plan.lining, 1):
        found += [_lined(number, one, faces) for one in made.faces if one.pieces]
        sizes = {piece.id: _size(piece, bought) for one in made.faces for piece in one.pieces}
        found += [_cut_board(number, one, sizes, bought) for one in made.sheets]
    return found


def _size(piece: Any, sheet: Sheet) -> str:
    """What is cut from the board for a piece, and what is cut out of that."""
    whole = f"{sheet.length(piece.along_mm)} x {sheet.length(piece.across_mm)}"
    gone = piece.cut_out(sheet.length)
    return f"{whole}, {sheet.word('cut out')} {gone}" if gone else whole


def _lined(number: int, one: Any, sheet: Sheet) -> Scene:
    return board_layout(
        f"lining-{number}-{one.face.id.lower()}",
        f"{sheet.word('Lining of side')} {one.face.id}",
        [Board(piece.id, piece.outline, _size(piece, sheet)) for piece in one.pieces],
        sheet,
        outline=one.face.outline,
        holes=one.face.holes,
        mirror=one.face.mirrored,
    )


def _cut_board(number: int, one: Any, sizes: Mapping[str, str], sheet: Sheet) -> Scene:
    """One bought board, face up, with the pieces as they are marked on it."""
    turned = ", ".join(piece.piece for piece in one.pieces if piece.turned)
    wide, high = one.length_mm, one.width_mm
    return board_layout(
        f"lining-{number}-board-{one.number}",
        f"{sheet.word('Board')} {sheet.word('no.')} {one.number}: {one.board}",
        [Board(piece.piece, piece.outline, sizes[piece.piece]) for piece in one.pieces],
        sheet,
        outline=((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)),
        notes=(f"{sheet.word('Hung turned end for end')}: {turned}",) if turned else (),
    )


def cutting_pictures(cutting: Any, sheet: Sheet) -> tuple[Scene, ...]:
    """The lengths to cut, alike ones drawn once; () for no cutting plan."""
    if cutting is None:
        return ()
    alike: dict[tuple[Any, ...], list[Any]] = {}
    for line in cutting.lines:
        pieces = tuple((_on_bar(cut), cut.start_mm, cut.end_mm) for cut in line.cuts)
        alike.setdefault((line.section, line.length_mm, line.kept, pieces), []).append(line)
    bars = [_bar(lines, sheet) for lines in alike.values()]
    return cut_bars("cut-bars", sheet.word("Cutting picture"), bars, sheet) if bars else ()


def _on_bar(cut: Any) -> str:
    """What a piece is, and what else is done to it than to cut it to length."""
    name = str(cut.label or cut.part)
    return f"{name}, {cut.making}" if cut.making else name


def _bar(lines: Sequence[Any], sheet: Sheet) -> Bar:
    first = lines[0]
    numbers = ", ".join(str(line.number) for line in lines)
    rest = f"{sheet.word('keep' if first.kept else 'waste')} {sheet.length(first.remainder_mm)}"
    return Bar(
        f"{first.section}, {sheet.word('no.')} {numbers}",
        first.length_mm,
        tuple(CutPiece(_on_bar(cut), cut.start_mm, cut.end_mm) for cut in first.cuts),
        rest if first.remainder_mm > 0 else "",
    )


def _sound(plan: PlanLike, sheet: Sheet) -> list[Scene]:
    if plan.sound is None:
        return []
    return [
        spectrum(
            f"sound-{number}",
            f"{curve.kind} {curve.value}",
            curve.frequencies,
            (
                Curve(sheet.word("predicted"), curve.predicted),
                Curve(sheet.word("reference curve, shifted"), curve.reference),
            ),
            sheet,
            notes=(plan.sound.note,),
        )
        for number, curve in enumerate(plan.sound.curves, start=1)
    ]


def step_pictures(plan: PlanLike, sheet: Sheet | None = None) -> dict[str, Scene]:
    """The picture of each build step, by its key; none where this job lacks what it would show.

    They are shown beside their step, on a page that says itself what stands in the way.
    """
    made = plan.arrangement
    if made is None:
        return {}
    sheet = sheet or Sheet()
    here = site(plan)
    found: dict[str, Scene] = {}
    for step in plan.steps:
        if step.picture is None:
            continue
        parts = [part for part in step.picture.highlight if part in PARTS]
        scene = picture(
            made,
            sheet,
            step.picture.view,
            parts,
            key=f"step-{step.key}",
            title=str(step.title),
            site=here,
        )
        if any(item.layer is Layer.MARKED for item in scene.items):
            found[step.key] = scene
    return found


def rod_pages(plan: PlanLike, sheet: Sheet | None = None, *, job: str = "") -> tuple[Scene, ...]:
    """The 1:1 rod strips of a plan: along the wall, then up it. () where nothing fits."""
    made = plan.arrangement
    if made is None:
        return ()
    sheet = sheet or Sheet()
    stamp = plan.standing.stamp
    along = [Mark(mark.at, mark.label) for mark in made.rod.along]
    up = [Mark(mark.at, mark.label) for mark in made.rod.up]
    return (
        *rod_strips(along, "x", sheet, job=job, stamp=stamp),
        *rod_strips(up, "z", sheet, job=job, stamp=stamp),
    )
