"""What do the site readings say the opening is, how well is it known, and is one of them wrong?"""

from truehang.measure.measured import adjust, fit_chance
from truehang.measure.results import (
    Adjustment,
    Advice,
    Corner,
    Ellipse,
    FaceBow,
    FitChance,
    GlobalTest,
    Measured,
    Profile,
    ReadingCheck,
    Run,
    Side,
    Slip,
    Thickness,
    Usable,
)
from truehang.measure.usable import usable_opening
from truehang.reading import INSTRUMENT_SIGMA, PLACES, Reading

__all__ = [
    "INSTRUMENT_SIGMA",
    "PLACES",
    "Adjustment",
    "Advice",
    "Corner",
    "Ellipse",
    "FaceBow",
    "FitChance",
    "GlobalTest",
    "Measured",
    "Profile",
    "Reading",
    "ReadingCheck",
    "Run",
    "Side",
    "Slip",
    "Thickness",
    "Usable",
    "adjust",
    "fit_chance",
    "usable_opening",
]
