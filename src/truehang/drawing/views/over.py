"""What is drawn over the rough opening: a new head, or what is there that the track hangs from."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HeadOver:
    """The member that the track hangs from, x and z in mm. `new`: it is put in; else it is there,
    and `high` is only how far up it is drawn. `label` names it; `breadth` is its thickness through
    the wall (mm, all `plies` together), 0 where it is as thick as the wall's studs or not known."""

    new: bool
    left: float
    right: float
    low: float
    high: float
    label: str
    breadth: float = 0.0
    plies: int = 1
