"""What is the chance to be done by a day? The planned order, gone through many times.

Each task lasts a beta-PERT time between its low and high (mean (a + 4m + b)/6, variance
(mu - a)(b - mu)/7); tasks of one trade go well or badly together (`correlation`, by ranks: Iman
and Conover, *Communications in Statistics* B11, 1982). Every work starts when what it waits for,
the waits and the crew of the planned order let it: nobody plans anew on the way, as people would,
so the chance is a little on the safe side. Whoever has begun is taken to finish.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date

import numpy as np

from truehang.programme.answer import crews_of
from truehang.programme.blocks import Joined
from truehang.programme.first import Starts
from truehang.programme.model import Chance

DRAWS, FEW_DRAWS = 2000, 400
SURE = 0.8
"""A day is promised that is kept with this chance."""


def chances(joined: Joined, starts: Starts, draws: int = DRAWS) -> tuple[Chance, ...]:
    """The chance of each day from the first that may be kept to the first that surely is."""
    if not len(joined.network):
        return ()
    done = finishes(joined, starts, draws)
    axis = joined.axis
    ends = np.sort(np.minimum(done, len(axis)))
    days = np.asarray(axis.day_of)[np.maximum(ends - 1, 0)]
    found, counts = np.unique(days, return_counts=True)
    reached = np.cumsum(counts) / draws
    return tuple(
        Chance(axis.dates[int(day)], float(chance))
        for day, chance in zip(found, reached, strict=True)
    )


def sure_day(found: tuple[Chance, ...]) -> date | None:
    """The first day that is kept with a chance of 80 % or more."""
    return next((one.day for one in found if one.chance >= SURE - 1e-9), None)


def finishes(joined: Joined, starts: Starts, draws: int = DRAWS) -> np.ndarray:
    """The slot at which all is done, for each draw."""
    network = joined.network
    crews = crews_of(joined, starts)
    ordered = replace(network, links=(*network.links, *crews.links))
    lengths = _lengths(joined, draws)
    tables = [np.asarray(table) for table in network.waits]
    limit = len(joined.axis)
    ends = np.zeros((len(network), draws), dtype=np.int64)
    tables_of = {mask: _next(mask, limit) for mask in set(network.allowed.values())}
    opens = {work: tables_of[mask] for work, mask in network.allowed.items()}
    for work in ordered.order:
        start = np.full(draws, network.earliest.get(work, 0), dtype=np.int64)
        for link in ordered.before[work]:
            end = ends[link.before]
            start = np.maximum(start, end + link.lag)
            if link.wait is not None:
                start = np.maximum(start, tables[link.wait][np.minimum(end, limit)])
        if work in opens:
            start = opens[work][np.minimum(start, limit)]
        for gone in network.taken:
            all_away = gone.amount >= network.capacities[gone.resource]
            if all_away and any(one == gone.resource for one, _ in network.needs[work]):
                inside = (start < gone.end) & (start + lengths[work] > gone.begin)
                start = np.where(inside, np.maximum(start, gone.end), start)
        ends[work] = start + lengths[work]
    return np.asarray(ends.max(axis=0))


def _next(mask: int, limit: int) -> np.ndarray:
    """For each slot the first at or after it that is in the mask; the limit where there is none."""
    found = np.full(limit + 1, limit, dtype=np.int64)
    for slot in range(limit - 1, -1, -1):
        found[slot] = slot if mask >> slot & 1 else found[slot + 1]
    return found


def _lengths(joined: Joined, draws: int) -> np.ndarray:
    """Slots of each work for each draw."""
    random = np.random.default_rng(joined.request.seed)
    lengths = np.zeros((len(joined.network), draws), dtype=np.int64)
    factor = {trade.key: random.standard_normal(draws) for trade in joined.request.trades}
    rho = joined.request.correlation
    for block in joined.blocks:
        hours = np.zeros(draws)
        for task in block.tasks:
            common = factor.get(task.trade, np.zeros(draws))
            shaken = math.sqrt(rho) * common + math.sqrt(1 - rho) * random.standard_normal(draws)
            hours += drawn(random, task.hours, shaken)
        total = np.ceil(hours * 60 / joined.request.slot - 1e-9).astype(np.int64)
        for number, work in enumerate(block.works):
            count = len(block.works)
            lengths[work] = total // count + (number < total % count)
    return lengths


def drawn(
    random: np.random.Generator, hours: tuple[float, float, float], ranks: np.ndarray
) -> np.ndarray:
    """Draws of a beta-PERT time, in the order of these ranks."""
    low, likely, high = hours
    if high <= low:
        return np.full(len(ranks), likely)
    alpha = 1 + 4 * (likely - low) / (high - low)
    beta = 1 + 4 * (high - likely) / (high - low)
    values = np.sort(low + (high - low) * random.beta(alpha, beta, len(ranks)))
    found = np.empty(len(ranks))
    found[np.argsort(ranks)] = values
    return found
