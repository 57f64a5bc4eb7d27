"""Which boards can be bought to line a wall, and which sheets to cut panels from? Sizes, mass,
edges and price."""

from __future__ import annotations

from functools import cache
from typing import Any, Literal

from pydantic import NonNegativeInt, PositiveFloat

from truehang.catalogue._read import Entry, table
from truehang.money import Money


class Board(Entry):
    """A board or sheet, mm. `material` is a key of the materials table.

    `use` says whether it lines walls or is cut into panels; `recessed` that its long edges are
    tapered for jointing; `grain` that cut pieces may not be turned. `on_hand` None: as many as
    wanted.
    """

    code: str
    name: str
    material: str
    use: Literal["lining", "panel"]
    width: PositiveFloat
    length: PositiveFloat
    thickness: PositiveFloat
    kg_per_m2: PositiveFloat
    recessed: bool
    grain: bool
    price_minor: NonNegativeInt | None
    currency: str
    on_hand: NonNegativeInt | None = None

    @property
    def price(self) -> Money | None:
        """The price of one board; None where it isn't known."""
        return None if self.price_minor is None else Money(self.price_minor, self.currency)

    @property
    def mass(self) -> float:
        """Mass of the whole board, kg."""
        return self.width * self.length * self.kg_per_m2 / 1e6


@cache
def boards() -> tuple[Board, ...]:
    """Every board and sheet, in the order of the data file."""
    return tuple(board for group in table("boards")["boards"] for board in _expand(group))


def _expand(group: dict[str, Any]) -> list[Board]:
    """One group of the data file: widths by lengths, or sizes with the name they are asked for by,
    share the other fields and a price per m2."""
    own = ("widths", "lengths", "sizes", "price_per_m2", "family")
    shared = {key: value for key, value in group.items() if key not in own}
    sizes = group.get("sizes") or [
        (f"{width:g}x{length:g}", width, length)
        for width in group["widths"]
        for length in group["lengths"]
    ]
    return [
        Board(
            code=f"{group['family']} {name}",
            width=width,
            length=length,
            price_minor=round(group["price_per_m2"] * width * length / 1e6),
            **shared,
        )
        for name, width, length in sizes
    ]
