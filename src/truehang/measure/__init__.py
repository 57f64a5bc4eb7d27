"""What do the site readings say the opening is, how well is it known, and is one of them wrong?"""

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
]
