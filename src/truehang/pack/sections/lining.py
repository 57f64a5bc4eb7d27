"""Which boards line each face, and how is each cut?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from truehang.pack.content import Block, Column, Section, Table, Text
from truehang.pack.drawings import Album
from truehang.pack.printing import Printing, number

if TYPE_CHECKING:
    from truehang.lining import FacePlan, LiningPlan
    from truehang.plan import Plan


def section(plan: Plan, printing: Printing, album: Album) -> tuple[Section, ...]:
    """Boards to buy, then the pieces of each face, then where they go."""
    blocks = [block for made in plan.lining for block in _blocks(made, printing)]
    if not blocks:
        return ()
    heading = f"Lining: {printing.word('plasterboard')}"
    return (Section(heading, (*blocks, *album.printed("lining-")), fresh=True),)


def _blocks(given: LiningPlan, printing: Printing) -> list[Block]:
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
    blocks += [_face(face, printing) for face in given.faces]
    joints = sum(face.joint_m for face in given.faces)
    best = "nothing better exists" if given.proved else "may be bettered a little"
    blocks.append(
        Text(
            f"Joints {number(joints, 1)} m, {given.screws} screws, waste "
            f"{number(given.waste_m2, 2)} m². This layout: {best}.",
            tone="small",
        )
    )
    return blocks


def _face(face: FacePlan, printing: Printing) -> Table:
    lay = "long edges across" if face.lay == "across" else "long edges up"
    return Table(
        columns=(
            Column("Piece", strong=True),
            Column(f"x from – to, {printing.unit}", "right", share=1),
            Column("z from – to", "right", share=1),
            Column("Cut long × wide", "right", share=1),
            Column("kg", "right"),
            Column("From board no.", "right"),
        ),
        rows=tuple(
            (
                piece.id,
                f"{printing.length(piece.x0_mm)} – {printing.length(piece.x1_mm)}",
                f"{printing.length(piece.z0_mm)} – {printing.length(piece.z1_mm)}",
                f"{printing.length(piece.along_mm)} × {printing.length(piece.across_mm)}",
                number(piece.mass_kg, 1),
                str(piece.sheet),
            )
            for piece in face.pieces
        ),
        title=f"Face {face.face.id}: {lay}, {number(face.area_m2, 1)} m²",
    )
