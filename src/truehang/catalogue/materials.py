"""What is a sheet made of? Density, stiffness and damping of building materials.

Values are textbook means for generic materials, not any maker's datasheet; the data file says
where each comes from. A user's own datasheet value overrides them in the job.
"""

from __future__ import annotations

from difflib import get_close_matches
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from truehang.catalogue._read import Entry, table

Positive = Annotated[float, Field(gt=0)]

POISSON = 0.3
"""Poisson's ratio taken for every sheet; from memory: typical of board and glass (0.2-0.3); check
Hopkins, Sound Insulation, appendix."""


Fixing = Literal["wood", "board", "plaster", "masonry", "nothing"]
"""wood: screws and nails hold in it; board: they pass it and hold in what is behind; plaster:
nothing holds in it and a hammer loosens it; masonry: screws in plugs only; nothing: nothing is
driven through it at all (common practice, no source)."""
FIXING_BY_KIND: dict[str, Fixing] = {
    "board": "board",
    "wood": "wood",
    "masonry": "masonry",
    "glass": "nothing",
    "metal": "nothing",
    "core": "nothing",
    "porous": "nothing",
}
HOLDS: dict[Fixing, str] = {
    "wood": "screws and nails hold in it",
    "board": "screws and nails pass it and hold in what is behind",
    "plaster": "nothing holds in it, and a hammer loosens it: drill, and hold in what is behind",
    "masonry": "screws in plugs only; no nail",
    "nothing": "nothing is driven through it",
}


class Material(Entry):
    """A building material.

    `density` kg/m3 (None when it isn't known: the user gives a surface density instead);
    `wave_speed` the quasi-longitudinal wave speed in a plate, m/s (None for what has no stiffness
    of its own, such as wool); `loss_factor` the total loss factor as built in, without unit;
    `thicknesses` what is commonly stocked, mm; `surface_densities` pairs of thickness (mm) and
    kg/m2 where sheets differ from density times thickness.
    """

    key: str
    name: str
    kind: Literal["board", "wood", "glass", "metal", "core", "porous", "masonry"]
    density: Positive | None
    wave_speed: Positive | None
    loss_factor: Annotated[float, Field(gt=0, lt=1)]
    thicknesses: tuple[Positive, ...] = ()
    surface_densities: tuple[tuple[Positive, Positive], ...] = ()
    fixing: Fixing = "board"
    """What may be fixed through it or into it; by its kind where the data file does not say."""
    keys: bool = False
    """Its keys stand into the wall behind it."""
    on_a_face: str = ""
    """What a wall's face of it is called; "" for its name, or the region's word."""
    source: str

    @model_validator(mode="before")
    @classmethod
    def _fixed_as_its_kind(cls, given: Any) -> Any:
        if isinstance(given, dict) and "fixing" not in given:
            return {**given, "fixing": FIXING_BY_KIND.get(given.get("kind", ""), "nothing")}
        return given

    def surface_density(self, thickness: float) -> float | None:
        """Mass of a sheet of this thickness (mm), kg/m2; None when the density isn't known."""
        for stocked, mass in self.surface_densities:
            if abs(stocked - thickness) < 1e-9:
                return mass
        return None if self.density is None else self.density * thickness / 1000

    @property
    def youngs_modulus(self) -> float | None:
        """Young's modulus (MPa) behind the wave speed: E = rho cL^2 (1 - nu^2)."""
        if self.density is None or self.wave_speed is None:
            return None
        return self.density * self.wave_speed**2 * (1 - POISSON**2) / 1e6


@cache
def materials() -> tuple[Material, ...]:
    """Every material of the catalogue, in the order of the data file."""
    return tuple(Material.model_validate(row) for row in table("materials")["material"])


def nearest(wanted: str, keys: tuple[str, ...]) -> str:
    """What to write instead of an unknown key: the closest one, or the whole list."""
    close = get_close_matches(wanted, keys, n=1, cutoff=0.5)
    return f"did you mean {close[0]!r}?" if close else f"choose one of {', '.join(keys)}"
