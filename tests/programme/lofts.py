"""A conversion of many openings, drawn with a fixed seed. Invented, as the demo it stands for."""

from __future__ import annotations

import random
from datetime import date

from truehang.programme.calendars import Calendar, Hours, axis, week
from truehang.programme.exact import Visits
from truehang.programme.network import Link, Network

CREW, SETTER, PAINTER, FLOORS = range(4)
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri")
SITE = Calendar(week(WEEKDAYS, (Hours(420, 720), Hours(750, 930))))


def conversion(openings: int = 24, crews: int = 3, kinds: int = 4, seed: int = 3, days: int = 200):
    """A network of openings of several kinds, with its horizon, and whose visits are counted.

    Per opening: frame up to lining, three coats with setting and drying between them, paint,
    the floor, trim, a last coat, furniture.
    """
    along = axis(SITE, date(2026, 9, 21), days, "Australia/Melbourne")
    waits = tuple(along.ready(minutes) for minutes in (90, 24 * 60, 16 * 60))
    draw = random.Random(seed)
    spread = [
        (CREW, (14, 24), None), (CREW, (8, 14), None), (SETTER, (2, 3), None), (SETTER, (2, 3), 0),
        (SETTER, (1, 2), 1), (FLOORS, (3, 6), None), (PAINTER, (3, 5), 1), (CREW, (4, 8), 2),
        (PAINTER, (1, 3), None), (CREW, (4, 7), 2),
    ]  # fmt: skip
    lengths: list[int] = []
    needs: list[tuple[tuple[int, int], ...]] = []
    links: list[Link] = []
    alike: list[tuple[tuple[int, ...], ...]] = []
    for _ in range(kinds):
        drawn = [draw.randint(*ends) for _, ends, _ in spread]
        copies = []
        for _ in range(openings // kinds):
            first = len(lengths)
            copies.append(tuple(range(first, first + len(spread))))
            for number, ((who, _, wait), length) in enumerate(zip(spread, drawn, strict=True)):
                lengths.append(length)
                needs.append(((who, 1),))
                if number:
                    links.append(Link(first + number - 1, first + number, 0, wait))
        alike.append(tuple(copies))
    network = Network(
        tuple(lengths), tuple(needs), (crews, 1, 1, 1), tuple(links), waits, alike=tuple(alike)
    )
    groups = tuple(
        tuple(i for i, need in enumerate(needs) if need[0][0] == who) for who in range(4)
    )
    return network, len(along), Visits(groups, along.day_of)
