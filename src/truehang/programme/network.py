"""What must be done, after what, by whom? A network of works on an axis of slots.

A slot is a stretch of working time (half an hour, say); nights, weekends and holidays are no part
of the axis, so a work that starts at slot s and is `length` slots long ends at s + length. A wait
that runs through the night (a coat that dries) is a table: `ready[e]` is the first slot that may
start where what came before ended at e. Whole numbers only: nothing here knows a clock or a trade.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property


@dataclass(frozen=True, slots=True)
class Link:
    """`after` starts `lag` slots or more after `before` ends; where `wait` is not None, not before
    that wait's table says either."""

    before: int
    after: int
    lag: int = 0
    wait: int | None = None


@dataclass(frozen=True, slots=True)
class Taken:
    """`amount` of a resource is not to be had from slot `begin` to `end`: leave, other work."""

    resource: int
    begin: int
    end: int
    amount: int


@dataclass(frozen=True)
class Network:
    """The works, in any order; indexes count from 0.

    `needs[i]` are (resource, amount) pairs. `allowed[i]` is a bit mask of the slots at which work i
    may start, None for any; `earliest[i]` is the first. `alike` are groups of copies: each copy
    lists its works in the same order, and copies of a group may be exchanged for one another.
    """

    lengths: tuple[int, ...]
    needs: tuple[tuple[tuple[int, int], ...], ...]
    capacities: tuple[int, ...]
    links: tuple[Link, ...] = ()
    waits: tuple[tuple[int, ...], ...] = ()
    earliest: Mapping[int, int] = field(default_factory=dict)
    allowed: Mapping[int, int] = field(default_factory=dict)
    taken: tuple[Taken, ...] = ()
    alike: tuple[tuple[tuple[int, ...], ...], ...] = ()

    def __len__(self) -> int:
        return len(self.lengths)

    @cached_property
    def after(self) -> tuple[tuple[Link, ...], ...]:
        """The links out of each work."""
        out: list[list[Link]] = [[] for _ in self.lengths]
        for link in self.links:
            out[link.before].append(link)
        return tuple(map(tuple, out))

    @cached_property
    def before(self) -> tuple[tuple[Link, ...], ...]:
        """The links into each work."""
        into: list[list[Link]] = [[] for _ in self.lengths]
        for link in self.links:
            into[link.after].append(link)
        return tuple(map(tuple, into))

    @cached_property
    def order(self) -> tuple[int, ...]:
        """The works, none before one that it waits for. Raises Circle."""
        open_links = [len(into) for into in self.before]
        ready = [i for i, count in enumerate(open_links) if not count]
        done: list[int] = []
        while ready:
            at = ready.pop()
            done.append(at)
            for link in self.after[at]:
                open_links[link.after] -= 1
                if not open_links[link.after]:
                    ready.append(link.after)
        if len(done) < len(self.lengths):
            raise Circle(circle(self.links, set(range(len(self.lengths))) - set(done)))
        return tuple(done)

    def may_start(self, link: Link, end: int) -> int:
        """The first slot at which a link lets its work start, where what is before ends at `end`.

        Raises BeyondTheCalendar where the wait's table is too short.
        """
        start = end + link.lag
        if link.wait is not None:
            table = self.waits[link.wait]
            if end >= len(table):
                raise BeyondTheCalendar(link.before)
            start = max(start, table[end])
        return start

    def must_end(self, link: Link, start: int) -> int:
        """The last slot at which `before` may end so that `after` starts at `start`."""
        end = start - link.lag
        if link.wait is not None:
            end = min(end, bisect_right(self.waits[link.wait], start) - 1)
        return end


class Circle(ValueError):
    """Works that wait for each other: `works` names them in order, the first not again."""

    def __init__(self, works: Sequence[int]) -> None:
        super().__init__(" -> ".join(map(str, [*works, works[0]])))
        self.works = tuple(works)


class BeyondTheCalendar(ValueError):
    """A work has no place before the calendar ends: nobody is free, or not for long enough."""

    def __init__(self, work: int) -> None:
        super().__init__(f"work {work} finds no place before the calendar ends")
        self.work = work


def circle(links: Iterable[Link], among: set[int]) -> list[int]:
    """One circle among works that all wait for one of their own number."""
    back = {link.after: link.before for link in links if {link.before, link.after} <= among}
    at, seen = next(iter(sorted(among & back.keys()))), list[int]()
    while at not in seen:
        seen.append(at)
        at = back[at]
    found = seen[seen.index(at) :][::-1]
    first = found.index(min(found))
    return found[first:] + found[:first]
