"""What is the best packing so far, and what is known to be impossible to beat?"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from fractions import Fraction

from truehang.cutting.bins import Packing, Pattern, Problem, trimmed


@dataclass(frozen=True, slots=True)
class Answer:
    """The best packing found (None: the limits leave parts over) and a proven lower bound."""

    packing: Packing | None
    bound: int
    method: str

    @property
    def proved(self) -> bool:
        """Whether nothing cheaper exists."""
        return self.packing is not None and self.packing.cost <= self.bound


class Best:
    """The best packing so far and the bound so far."""

    def __init__(self, of: Problem, at_most: float = math.inf) -> None:
        self.of = of
        self.at_most = at_most
        self.packing: Packing | None = None
        self.bound = 0
        self.method = ""

    def offer(self, uses: Counter[Pattern] | None, method: str) -> bool:
        if uses is None:
            return False
        cost = sum(self.of.costs[pattern.kind] * times for pattern, times in uses.items())
        if self.packing is not None and cost >= self.packing.cost:
            return False
        found = trimmed(self.of, uses)
        if self.packing is None or found.cost < self.packing.cost:
            self.packing, self.method = found, method
            return True
        return False

    def raise_bound(self, bound: Fraction | int) -> None:
        step = self.of.step
        self.bound = max(self.bound, math.ceil(Fraction(bound) / step) * step)

    @property
    def closed(self) -> bool:
        return self.packing is not None and self.packing.cost <= self.bound

    @property
    def worth_beating(self) -> float:
        """A packing is of use only if it costs no more than this."""
        return self.at_most if self.packing is None else self.packing.cost - self.of.step

    def answer(self) -> Answer:
        return Answer(self.packing, self.bound, self.method)
