"""How wide are leaf, pocket and frame for a clear opening, how high, and the other way round?

The opening C runs from mouth to closing jamb (single) or mouth to mouth (pair). With the kit's
tail b, lead a, standing-out r, buffer space g, meeting gap m, back stud s, closing jamb j:

    single  w = C + a + b        P = w - r + g   F = s + P + C + j     passage C - r
    pair    w = (C - m)/2 + b    P = w - r + g   F = 2(s + P) + C      passage C - 2r

These follow from the geometry alone (see docs/theory/fit.md); no published source is needed. Each
is a `Rule`: what `why` prints is what ran here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from truehang.catalogue.kits import Kit
from truehang.rule import Rule

MEANS = {
    "C": "clear opening",
    "p": "clear passage",
    "w": "leaf width",
    "P": "pocket, mouth to back",
    "F": "frame width",
    "R": "rough opening width",
    "t": "travel of a leaf",
    "W": "wall given up to pockets and back studs",
    "b": "tail of the leaf kept in the pocket when closed",
    "a": "lead of the leaf into the closing jamb",
    "r": "leaf left standing out when open",
    "g": "buffer space behind the open leaf",
    "m": "gap where the leaves meet",
    "s": "back stud",
    "j": "closing jamb",
    "c": "clearance",
    "B": "leaf bottom",
    "h": "leaf height",
    "u": "hanging allowance",
    "d": "head member",
    "k": "head cover",
    "f": "finished floor",
    "z": "floor as it is now",
    "L": "level line",
    "H": "clear height",
    "E": "frame height",
    "K": "rough opening height",
    "N": "pack",
    "G": "floor gap when the floor is down",
    "n": "floor to come",
    "Y": "floor gap now",
    "D": "depth of the studs",
    "q": "rib thickness",
    "T": "leaf thickness",
    "A": "air each side of the leaf",
    "U": "guide's thickness",
    "v": "play of the guide in all",
    "V": "groove's width",
}
"""What each symbol of this room's rules stands for."""


def up(mm: float, step: float) -> float:
    """The next whole step (mm) that is not under it."""
    return round(math.ceil(mm / step - 1e-9) * step, 6)


def down(mm: float, step: float) -> float:
    """The last whole step (mm) that is not over it."""
    return round(math.floor(mm / step + 1e-9) * step, 6)


def on_step(mm: float, low: float, high: float, step: float) -> float:
    """The whole step nearest to it inside low..high; itself where there is none."""
    for near in (round(round(mm / step) * step, 6), up(mm, step), down(mm, step)):
        if low <= near <= high:
            return near
    return mm


@dataclass(frozen=True, slots=True)
class Across:
    """The rules across a frame that differ between a single leaf and a pair that meets."""

    leaf: Rule
    frame: Rule
    passage: Rule
    lost_wall: Rule


SINGLE = Across(
    leaf=Rule("w = C + a + b", MEANS),
    frame=Rule("F = s + P + C + j", MEANS),
    passage=Rule("p = C - r", MEANS),
    lost_wall=Rule("W = s + P", MEANS),
)
PAIR = Across(
    leaf=Rule("w = (C - m)/2 + b", MEANS),
    frame=Rule("F = 2(s + P) + C", MEANS),
    passage=Rule("p = C - 2r", MEANS),
    lost_wall=Rule("W = 2(s + P)", MEANS),
)

POCKET = Rule("P = w - r + g", MEANS)
TRAVEL = Rule("t = w - r - b", MEANS)
ROUGH_WIDTH = Rule("R = F + 2c", MEANS)
CLEAR_HEIGHT = Rule("H = B + h - k - f", MEANS)
FRAME_HEIGHT = Rule("E = B + h + u + d - L", MEANS)
ROUGH_HEIGHT = Rule("K = L - z + E + c", MEANS)
PACK = Rule("N = L - z", MEANS)
GUIDE_GROOVE = Rule("V = U + v", MEANS)
FLOOR_GAP = Rule("G = B - f", MEANS)
FLOOR_GAP_NOW = Rule("Y = G + n", MEANS)
AIR = Rule("A = (D - 2q - T)/2", MEANS)


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


def across(pair: bool) -> Across:
    """The rules of a pair, or of a single leaf."""
    return PAIR if pair else SINGLE


def widths(opening: float, sym: Symbols, pair: bool) -> Widths:
    """All widths (mm) for a clear opening (mm)."""
    if pair:
        leaf = PAIR.leaf(C=opening, m=sym.m, b=sym.b)
        pocket = POCKET(w=leaf, r=sym.r, g=sym.g)
        frame = PAIR.frame(s=sym.s, P=pocket, C=opening)
        passage = PAIR.passage(C=opening, r=sym.r)
    else:
        leaf = SINGLE.leaf(C=opening, a=sym.a, b=sym.b)
        pocket = POCKET(w=leaf, r=sym.r, g=sym.g)
        frame = SINGLE.frame(s=sym.s, P=pocket, C=opening, j=sym.j)
        passage = SINGLE.passage(C=opening, r=sym.r)
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
