"""The shipped timber, wherever it is sold, for tests of what is made of it."""

from __future__ import annotations

from truehang import catalogue
from truehang.catalogue.timber import Timber

_SHIPPED = catalogue.load()
TIMBER = Timber(_SHIPPED.timber_grades, _SHIPPED.timber_sections, _SHIPPED.timber_codes)
