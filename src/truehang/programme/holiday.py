"""On which days is the place shut? Public holidays of a country, or of a part of it."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from datetime import date
from functools import cache


class UnknownPlace(ValueError):
    """A part of a country that is not known. The message names the nearest, or all there are."""


@cache
def public_holidays(country: str, part: str | None, years: tuple[int, ...]) -> dict[date, str]:
    """The public holidays of these years with their names. Raises UnknownPlace."""
    import holidays

    known = holidays.list_supported_countries(include_aliases=True).get(country)
    if known is None:
        raise UnknownPlace(f"no holidays are known for {country}")
    if part is not None and part not in known:
        close = difflib.get_close_matches(part.upper(), known, n=1)
        hint = f"did you mean {close[0]}?" if close else f"choose one of {', '.join(sorted(known))}"
        raise UnknownPlace(f"no part of {country} is called {part!r}; {hint}")
    found = holidays.country_holidays(country, subdiv=part, years=years, language="en_US")
    return {day: str(name) for day, name in sorted(found.items())}


def working_day_after(begin: date, days: int, shut: Iterable[date]) -> date:
    """The day so many working days, Monday to Friday without holidays, after another."""
    from datetime import timedelta

    closed, day, left = set(shut), begin, days
    while left:
        day += timedelta(days=1)
        if day.weekday() < 5 and day not in closed:
            left -= 1
    return day
