"""What is a piece of framing? A solid in the wall: what it does, what it is cut from, whence it is.

Made once, in the framing room; whatever counts, draws, lines, fixes or models the framing reads it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from typing import Literal

from truehang.message import NOTHING, Message, message
from truehang.shapes import Block, Span

Role = Literal[
    "jamb stud",
    "king stud",
    "short stud",
    "wall stud",
    "infill stud",
    "backing",
    "noggin",
    "plate",
    "head",
    "packing",
    "head member",
    "back stud",
    "closing jamb",
    "rib",
    "base batten",
    "head strip",
    "packers",
]
Origin = Literal["new", "there already", "comes out"]
Side = Literal["left", "right", ""]

UPRIGHT: frozenset[Role] = frozenset(
    ("jamb stud", "king stud", "short stud", "wall stud", "infill stud", "back stud",
     "closing jamb", "rib")
)  # fmt: skip
"""What stands from floor, plate or head up: a lining is screwed to its edge."""


@dataclass(frozen=True, slots=True, kw_only=True, init=False)
class Member:
    """One piece, where it stands.

    Pieces that are cut alike share a `key`; `name` is its own. `blocks` are its solid: several
    where something is cut out of it, of no height where its depth is not known. `lies` is the axis
    that its length runs along. `stock` is what it is cut from, `section` its thickness and width
    (mm) where it is timber, `rip` the width that the stock is ripped to. `bought_in` names what it
    comes with where it is not cut at all. `side` and `face` say which of two it is, `at_mouth` that
    it stands at the mouth of a pocket, `preliminary` that it is sized for pricing only. `nailed`
    says how many of its ends are nailed to the timber that they meet. `label`, `making` and `where`
    tell a person.
    """

    key: str
    name: str
    role: Role
    origin: Origin = "new"
    blocks: tuple[Block, ...]
    lies: Literal["x", "z"]
    label: Message
    where: Message
    stock: str = ""
    section: tuple[float, float] | None = None
    rip: float | None = None
    making: Message = NOTHING
    bought_in: str = ""
    side: Side = ""
    face: Literal["A", "B", ""] = ""
    at_mouth: bool = False
    preliminary: bool = False
    nailed: int = 0

    def __init__(
        self,
        *,
        key: str,
        name: str,
        role: Role,
        origin: Origin = "new",
        blocks: tuple[Block, ...],
        lies: Literal["x", "z"],
        label: Message | str,
        where: Message | str,
        stock: str = "",
        section: tuple[float, float] | None = None,
        rip: float | None = None,
        making: Message | str = NOTHING,
        bought_in: str = "",
        side: Side = "",
        face: Literal["A", "B", ""] = "",
        at_mouth: bool = False,
        preliminary: bool = False,
        nailed: int = 0,
    ) -> None:
        """What tells a person may be given as it is written, as f-strings."""
        put = partial(object.__setattr__, self)
        put("key", key)
        put("name", name)
        put("role", role)
        put("origin", origin)
        put("blocks", blocks)
        put("lies", lies)
        put("label", message(label))
        put("where", message(where))
        put("stock", stock)
        put("section", section)
        put("rip", rip)
        put("making", message(making))
        put("bought_in", bought_in)
        put("side", side)
        put("face", face)
        put("at_mouth", at_mouth)
        put("preliminary", preliminary)
        put("nailed", nailed)

    @property
    def x(self) -> Span:
        """From where to where along the wall."""
        return Span(min(b.x0 for b in self.blocks), max(b.x1 for b in self.blocks))

    @property
    def y(self) -> Span:
        """From where to where through it."""
        return Span(min(b.y0 for b in self.blocks), max(b.y1 for b in self.blocks))

    @property
    def z(self) -> Span:
        """From its lowest point to its highest."""
        low = min(z for b in self.blocks for z in b.bottom)
        return Span(low, max(z for b in self.blocks for z in b.top))

    @property
    def length(self) -> float:
        """How long it is cut, mm."""
        return self.x.length if self.lies == "x" else self.z.length

    @property
    def stands(self) -> bool:
        """True where it is there when the work is done."""
        return self.origin != "comes out"


def standing(members: Iterable[Member], *roles: Role) -> tuple[Member, ...]:
    """Those of these roles (all, where none is named) that are there when the work is done."""
    return tuple(m for m in members if m.stands and (not roles or m.role in roles))
