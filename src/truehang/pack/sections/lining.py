"""Which boards line each face, and how is each cut?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from truehang.pack.content import Block, Column, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.place import Place
from truehang.pack.printing import Printing

if TYPE_CHECKING:
    from truehang.fit import Service
    from truehang.lining import Face, FacePlan, LiningPlan, Piece
    from truehang.plan import Plan


def section(plan: Plan, printing: Printing, album: Album) -> tuple[Section, ...]:
    """Boards to buy, then the pieces of each face, then where they go."""
    stay = _stay(plan)
    blocks = [block for made in plan.lining for block in _blocks(made, stay, printing)]
    if not blocks:
        return ()
    heading = f"Lining: {printing.word('plasterboard')}"
    return (Section(heading, (*blocks, *album.printed("lining-"))),)


def pieces(plan: Plan, printing: Printing, album: Album) -> tuple[Block, ...]:
    """Each piece of each face, what is cut out of it and from which board, with the faces drawn."""
    stay = _stay(plan)
    every = list(enumerate(plan.lining, start=1))
    blocks: list[Block] = [_face(face, stay, printing) for _, one in every for face in one.faces]
    blocks += album.only(
        *(f"lining-{at}-{face.face.id.lower()}" for at, one in every for face in one.faces)
    )
    cut = [_cuts(one, printing) for _, one in every if one.sheets]
    blocks += [*cut, *([Text(_AS_SEEN, tone="small")] if cut else [])]
    return tuple(blocks)


def _blocks(given: LiningPlan, stay: tuple[Service, ...], printing: Printing) -> list[Block]:
    blocks: list[Block] = [
        Table(
            columns=(
                Column("Count", "right", strong=True),
                Column("Board", share=1),
                Column("Total", "right"),
            ),
            rows=tuple(
                (str(b.count), b.board, "" if b.total is None else str(b.total))
                for b in given.boards
            ),
            title="Boards to buy",
        )
    ]
    blocks += [_face(face, stay, printing) for face in given.faces]
    if given.sheets:
        blocks += [_cuts(given, printing), Text(_AS_SEEN, tone="small")]
    joints = sum(face.joint_m for face in given.faces)
    best = (
        "each face costs the least it can beside those laid before it"
        if given.proved
        else "may be bettered"
    )
    blocks.append(
        Text(
            f"Joints between these boards {printing.quantity(joints, 'm')}, waste "
            f"{printing.quantity(given.waste_m2, 'm2')}. This layout: {best}. Screws are in "
            "Fixings; the tape in the takeoff goes round the lined face.",
            tone="small",
        )
    )
    return blocks


def _face(face: FacePlan, stay: tuple[Service, ...], printing: Printing) -> Table:
    lay = "long edges across" if face.lay == "across" else "long edges up"
    return Table(
        columns=(
            Column("Piece", strong=True),
            Column(f"x from – to, {printing.unit}", "right", share=1),
            Column("z from the level datum", "right", share=1),
            Column("Cut long × wide", "right", share=1),
            Column("Cut out of it", share=2),
            Column(printing.unit_of("kg"), "right"),
            Column("From board no.", "right"),
        ),
        rows=tuple(
            (
                piece.id,
                f"{printing.length(piece.x0_mm)} – {printing.length(piece.x1_mm)}",
                f"{printing.length(piece.z0_mm)} – {printing.length(piece.z1_mm)}",
                f"{printing.length(piece.along_mm)} × {printing.length(piece.across_mm)}",
                "; ".join(
                    text
                    for text in (
                        piece.cut_out(printing.length),
                        *_holes(piece, face.face, stay, printing),
                    )
                    if text
                ),
                printing.bare(piece.mass_kg, "kg"),
                str(piece.sheet),
            )
            for piece in face.pieces
        ),
        title=f"Face {face.face.id}: {lay}, {printing.quantity(face.area_m2, 'm2')}",
    )


def _stay(plan: Plan) -> tuple[Service, ...]:
    """What shows on a face and is not moved: each wants its hole in the board."""
    moved = plan.arrangement.clashes if plan.arrangement else ()
    away = {clash.service.name for clash in moved}
    return tuple(one for one in plan.services if not one.hidden and one.name not in away)


def _holes(
    piece: Piece, face: Face, stay: tuple[Service, ...], printing: Printing
) -> Iterator[str]:
    """A hole for each service that stays, as it is seen from the piece's own side."""
    for one in stay:
        inside = piece.x0_mm < one.x < piece.x1_mm and piece.z0_mm < one.z < piece.z1_mm
        if one.face != face.side or not inside:
            continue
        ends = (one.x, piece.x1_mm) if face.mirrored else (piece.x0_mm, one.x)
        yield (
            f"hole for {one.name} ({printing.word(one.kind)}), its middle "
            f"{printing.between(*ends)} from left {printing.between(piece.z0_mm, one.z)} up, as "
            "large as its box"
        )


_AS_SEEN = (
    "What is cut out of a piece is told as it is seen on the wall from its own side. On a board, "
    "long is from its first end and wide from its lower edge, with its face up; no saw cut is "
    "taken off, since board is scored. A piece that is hung turned goes up end for end, so that "
    "the edge that it kept of its board lies at a joint."
)


def _cuts(given: LiningPlan, printing: Printing) -> Table:
    """Where each piece lies on the board that it is cut from."""
    return Table(
        columns=(
            Column("Board no.", "right", strong=True),
            Column("Board", share=1),
            Column("Piece", strong=True),
            Column(f"Long from – to, {printing.unit}", "right", share=1),
            Column("Wide from – to", "right", share=1),
            Column("Hung"),
        ),
        rows=tuple(
            (
                str(sheet.number),
                sheet.board,
                piece.piece,
                _from_to(piece.along_mm, piece.length_mm, printing),
                _from_to(piece.across_mm, piece.width_mm, printing),
                "turned" if piece.turned else "as it lies",
            )
            for sheet in given.sheets
            for piece in sheet.pieces
        ),
        title="How each board is cut",
    )


def _from_to(start: float, size: float, printing: Printing) -> str:
    return f"{printing.length(start)} – {printing.length(start + size)}"


PLACES = (Place("office", 100, section),)
