"""How quiet will it be? Prediction of sound insulation between two rooms through a pocket door."""

from truehang.sound.given import (
    Construction,
    DoublePanel,
    Layer,
    LeafArea,
    Panel,
    PocketZone,
    SideBySide,
    Slit,
    SoundInput,
    SoundInputError,
    Upgrade,
)
from truehang.sound.leaves import glazed_leaf, leaf_panel
from truehang.sound.perimeter import perimeter_slits
from truehang.sound.predict import Comparer
from truehang.sound.result import (
    Band,
    Curve,
    Gain,
    Heard,
    Path,
    Rating,
    SoundResult,
    State,
    Uncertainty,
)
from truehang.sound.upgrades import usual_upgrades

__all__ = [
    "Band",
    "Comparer",
    "Construction",
    "Curve",
    "DoublePanel",
    "Gain",
    "Heard",
    "Layer",
    "LeafArea",
    "Panel",
    "Path",
    "PocketZone",
    "Rating",
    "SideBySide",
    "Slit",
    "SoundInput",
    "SoundInputError",
    "SoundResult",
    "State",
    "Uncertainty",
    "Upgrade",
    "glazed_leaf",
    "leaf_panel",
    "perimeter_slits",
    "usual_upgrades",
]
