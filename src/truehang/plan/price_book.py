"""What does one thing cost, and is that price anybody's? The job's own first, then the user's price
list, then the catalogue's, which is invented where the catalogue is."""

from __future__ import annotations

from dataclasses import dataclass

from truehang.catalogue import Catalogue
from truehang.catalogue.rates import PriceOf
from truehang.catalogue.regions import Region
from truehang.job import Job


@dataclass(frozen=True, slots=True)
class Priced:
    """A price in minor units, None where nobody knows it; `on` is its day where it has one."""

    minor: int | None
    invented: bool
    on: str = ""
    supplier: str = ""
    code: str = ""


class PriceBook:
    """The prices that hold for one job. `used` are those of the price list that were asked for."""

    def __init__(self, job: Job, catalogue: Catalogue, region: Region) -> None:
        self._items = job.prices.items
        self._own = catalogue.own
        self._listed: dict[str, PriceOf] = {}
        self.foreign: dict[str, PriceOf] = {}
        self.used: dict[str, PriceOf] = {}
        for one in sorted(catalogue.prices, key=lambda price: price.date):
            listed = self._listed if one.currency == region.currency else self.foreign
            listed[one.id] = one

    def of(self, kind: str, id: str, catalogue_minor: int | None) -> Priced:
        """The price of one unit of what the catalogue calls `id`, a `kind` of thing."""
        given = self._items.get(id)
        if given is not None:
            return Priced(int(given * 100), False)
        listed = self._listed.get(id)
        if listed is not None:
            self.used[id] = listed
            return Priced(
                listed.minor, False, listed.date.isoformat(), listed.supplier, listed.code
            )
        return Priced(catalogue_minor, f"{kind} {id}" not in self._own)

    def first(self, *asked: tuple[str, str, int | None]) -> Priced:
        """The first of several names that somebody gave a price; else the last one's."""
        made = Priced(None, True)
        for kind, id, minor in asked:
            made = self.of(kind, id, minor)
            if not made.invented:
                return made
        return made
