"""Which rows does nothing beat?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

Sense = Literal["more", "less"]


def non_dominated(rows: Sequence[Sequence[float]], senses: Sequence[Sense]) -> tuple[bool, ...]:
    """True for each row that no other row beats.

    A row beats another when it is at least as good in every criterion and better in one.
    `senses` says for each column whether more or less is better; equal rows don't beat each
    other. Raises ValueError where a row has another length than `senses`.
    """
    signs = [1.0 if sense == "more" else -1.0 for sense in senses]
    for at, row in enumerate(rows):
        if len(row) != len(signs):
            raise ValueError(f"row {at} has {len(row)} values for {len(signs)} criteria")
    turned = [tuple(sign * value for sign, value in zip(signs, row, strict=True)) for row in rows]

    front = list(set(turned))
    known = {row: not any(_beats(other, row) for other in front) for row in front}
    return tuple(known[row] for row in turned)


def _beats(other: tuple[float, ...], row: tuple[float, ...]) -> bool:
    if other == row:
        return False
    for one, two in zip(other, row, strict=True):  # noqa: SIM110 - all() costs twice as much here
        if one < two:
            return False
    return True
