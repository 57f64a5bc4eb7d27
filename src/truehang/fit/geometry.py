"""How wide are leaf, pocket and frame for a clear opening, and the other way round?

The opening C runs from mouth to closing jamb (single) or mouth to mouth (pair). With the kit's
tail b, lead a, standing-out r, buffer space g, meeting gap m, back stud s, closing jamb j:

    single  w = C + a + b        P = w - r + g   F = s + P + C + j     passage C - r
    pair    w = (C - m)/2 + b    P = w - r + g   F = 2(s + P) + C      passage C - 2r

These follow from the geometry alone (see docs/theory/fit.md); no published source is needed.
"""

from __future__ import annotations

from dataclasses import dataclass

from truehang.catalogue.kits import Kit


@dataclass(frozen=True, slots=True)
class Symbols:
    """The kit's set-out symbols, mm: b, a, r, g, m, s, j as in the module's formulas."""

    b: float
    a: float
    r: float
    g: float
    m: float
    s: float
    j: float


@dataclass(frozen=True, slots=True)
class Widths:
    """Everything across the frame, mm: opening C, passage, leaf w, pocket P, frame F."""

    opening: float
    passage: float
    leaf: float
    pocket: float
    frame: float


def symbols(kit: Kit, standing_out: float | None = None) -> Symbols:
    """The kit's symbols; `standing_out` (mm) overrides r. Raises ValueError outside its range."""
    r = kit.standing_out if standing_out is None else standing_out
    if not kit.standing_out - 1e-9 <= r <= kit.standing_out_most + 1e-9:
        raise ValueError(
            f"kit {kit.id}: a leaf standing out {r:g} mm is outside standing_out "
            f"{kit.standing_out:g} to {kit.standing_out_most:g} mm; move it inside"
        )
    return Symbols(
        kit.tail,
        kit.lead,
        r,
        kit.buffer_space,
        kit.meeting_gap,
        kit.back_stud,
        kit.closing_jamb,
    )


def widths(opening: float, sym: Symbols, pair: bool) -> Widths:
    """All widths (mm) for a clear opening (mm)."""
    leaf = (opening - sym.m) / 2 + sym.b if pair else opening + sym.a + sym.b
    pocket = leaf - sym.r + sym.g
    if pair:
        frame = 2 * (sym.s + pocket) + opening
        passage = opening - 2 * sym.r
    else:
        frame = sym.s + pocket + opening + sym.j
        passage = opening - sym.r
    return Widths(opening, passage, leaf, pocket, frame)


def opening_for_frame(frame: float, sym: Symbols, pair: bool) -> float:
    """The clear opening (mm) of a frame of this width (mm): `widths` turned round."""
    if pair:
        return (frame - 2 * sym.s + sym.m - 2 * sym.b + 2 * sym.r - 2 * sym.g) / 2
    return (frame - sym.s - sym.a - sym.b + sym.r - sym.g - sym.j) / 2


def opening_for_leaf(leaf: float, sym: Symbols, pair: bool) -> float:
    """The clear opening (mm) that a leaf of this width (mm) closes."""
    return 2 * (leaf - sym.b) + sym.m if pair else leaf - sym.a - sym.b


def opening_for_passage(passage: float, sym: Symbols, pair: bool) -> float:
    """The clear opening (mm) that leaves this passage (mm) with the leaves open."""
    return passage + (2 * sym.r if pair else sym.r)
