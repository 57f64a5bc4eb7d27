"""Which gaps stay round closed leaves? Under and over each, at the closing jamb or between a pair.

The mouths of the pockets belong to the pockets (`PocketZone.mouth_gap`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from truehang.sound.given import LeafArea, Slit, SlitKind


def perimeter_slits(
    leaves: Sequence[LeafArea],
    leaf_thickness: float,
    *,
    floor_gap: float,
    head_gap: float,
    closing_gap: float,
    seals: Mapping[SlitKind, str] | None = None,
) -> tuple[Slit, ...]:
    """The gaps of one closed leaf, or of a pair that meets (mm).

    `closing_gap` is the gap at the closing jamb of a single leaf, or between the two of a pair; a
    gap of 0 is left out. A gap is as deep as the leaf is thick. `seals` gives the seal of each
    kind of gap that has one. The floor is taken as the plane beside the lowest gap.
    """
    chosen = seals or {}
    found: list[Slit] = []

    def add(name: str, kind: SlitKind, width: float, length: float) -> None:
        if width == 0:
            return
        found.append(
            Slit(
                name=name,
                kind=kind,
                width=width,
                depth=leaf_thickness,
                length=length,
                place="edge" if kind == "floor" else "mid-wall",
                seal=chosen.get(kind),
            )
        )

    for leaf in leaves:
        add(f"under {leaf.name}", "floor", floor_gap, leaf.width)
        add(f"over {leaf.name}", "head", head_gap, leaf.width)
    if leaves:
        height = min(leaf.height for leaf in leaves)
        if len(leaves) > 1:
            add("meeting edge", "meeting", closing_gap, height)
        else:
            add("closing jamb", "jamb", closing_gap, height)
    return tuple(found)
