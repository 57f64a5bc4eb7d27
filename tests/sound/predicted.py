"""The room's answer with the shipped materials, seals and noises."""

from __future__ import annotations

from collections.abc import Iterable

from truehang import catalogue
from truehang.catalogue.materials import Material
from truehang.sound import Comparer, SoundInput, SoundResult

_SHIPPED = catalogue.load()


def predict(given: SoundInput, *, stock: Iterable[Material] | None = None) -> SoundResult:
    """Everything about how quiet it will be; `stock` stands in for the shipped materials."""
    materials = _SHIPPED.materials if stock is None else stock
    return Comparer.of(materials, _SHIPPED.seals, _SHIPPED.noises).predict(given)
