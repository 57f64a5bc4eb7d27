"""What do the site readings say the opening is, how well is it known, and is one of them wrong?"""

from truehang.measure.measured import adjust, fit_chance
from truehang.measure.readings import INSTRUMENT_SIGMA, PLACES, USUAL_INSTRUMENT, Kind, Reading
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

__all__ = [
    "INSTRUMENT_SIGMA",
    "PLACES",
    "USUAL_INSTRUMENT",
    "Adjustment",
    "Advice",
    "Corner",
    "Ellipse",
    "FaceBow",
    "FitChance",
    "GlobalTest",
    "Kind",
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
