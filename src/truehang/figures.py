"""Why is this number what it is? A `Figure` keeps the rule and the inputs it came from."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from operator import is_not

from truehang.message import NOTHING, Message, message


@dataclass(frozen=True, slots=True)
class Put:
    """A number put into a rule for a symbol: what the symbol means, and the key of the figure, or
    of the place in job or catalogue, that the number comes from ("" for a fixed one)."""

    symbol: str
    means: str
    value: float
    unit: str
    key: str


@dataclass(frozen=True, slots=True)
class Working:
    """How a figure was worked out: the numbers that its rule's symbols stood for."""

    puts: tuple[Put, ...]


@dataclass(frozen=True, slots=True, init=False)
class Figure:
    """A number that a person acts on, with the rule and inputs behind it.

    `key` is dotted and begins with the room's name ("fit.frame_width"); `value` is in `unit`
    (mm, N, kg, s, Hz, dB, turns, or "" for a bare number or a text); `rule` is the formula in
    words or symbols; `inputs` are keys of other figures, or "job:<path>" for what the user gave
    and "catalogue:<path>" for what can be bought; `source` names the published rule, or says
    "common practice, no source" or "from memory: ...".
    """

    key: str
    label: Message
    value: float | Message
    unit: str
    rule: Message
    inputs: tuple[str, ...]
    source: str
    ends: tuple[float, float] | None = None
    """The two marks (mm) that a length lies between; it is printed as their difference."""
    working: Working | None = None
    """Where a formula made it (`truehang.rule`): `rule` is the text that ran, here its numbers."""
    instead: Message = NOTHING
    """Where something else was wished: what, and why it is not that."""

    def __init__(
        self,
        key: str,
        label: Message | str,
        value: float | Message | str,
        unit: str,
        rule: Message | str,
        inputs: tuple[str, ...],
        source: str,
        ends: tuple[float, float] | None = None,
        working: Working | None = None,
        instead: Message | str = NOTHING,
    ) -> None:
        """Texts may be given as they are written, as f-strings."""
        put = object.__setattr__
        put(self, "key", key)
        put(self, "label", message(label))
        put(self, "value", message(value) if isinstance(value, str) else value)
        put(self, "unit", unit)
        put(self, "rule", message(rule))
        put(self, "inputs", inputs)
        put(self, "source", source)
        put(self, "ends", ends)
        put(self, "working", working)
        put(self, "instead", message(instead))

    @property
    def number(self) -> float:
        """The value of a figure that is a number; TypeError where it is a text."""
        if isinstance(self.value, Message):
            raise TypeError(f"{self.key} is a text")
        return float(self.value)


class Told(Enum):
    """How finely is a length printed?"""

    TAPE = "as a tape shows it"
    FINE = "to a tenth of a millimetre"
    MOST = "rounded down"


_THROUGH_THE_WALL = frozenset({"fit.air", "fit.rib_thickness"})


def told(key: str) -> Told:
    """How a length of this key is printed, wherever it is.

    What fit sets out, the opening that it goes into and the span over it, the gap that is left
    under a leaf, and what is cut is held with a tape; a length that may not be passed is rounded
    down; all else is reckoned or bought finer: movements, misfits, thicknesses, fixings.
    """
    if "longest" in key.split("."):
        return Told.MOST
    struck = (
        key.startswith(("fit.", "lining.", "measure.usable", "takeoff.", "structure.head.top"))
        or key == "over.span"
        or key.endswith(".least_gap")
    ) and key not in _THROUGH_THE_WALL
    return Told.TAPE if struck else Told.FINE


class Ledger(Mapping[str, Figure]):
    """All figures of a plan by key, in the order they were computed."""

    def __init__(self, figures: Iterable[Figure]) -> None:
        self._by_key: dict[str, Figure] = {}
        for figure in figures:
            if figure.key in self._by_key:
                raise ValueError(f"figure {figure.key!r} was computed twice")
            self._by_key[figure.key] = figure

    def __getitem__(self, key: str) -> Figure:
        return self._by_key[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._by_key)

    def __len__(self) -> int:
        return len(self._by_key)

    def each_said(self, say: Callable[[Figure], Figure]) -> Ledger:
        """The same with each figure as it is said."""
        made = tuple(map(say, self._by_key.values()))
        return Ledger(made) if any(map(is_not, made, self._by_key.values())) else self

    def chain(self, key: str) -> tuple[tuple[int, Figure | str], ...]:
        """The figure and everything behind it, depth first, as (depth, figure or bare input).

        A figure met a second time is given by its key alone. Raises KeyError for an unknown key.
        """
        seen: set[str] = set()
        rows: list[tuple[int, Figure | str]] = []

        def walk(name: str, depth: int) -> None:
            figure = self._by_key.get(name)
            if figure is None or name in seen:
                rows.append((depth, name))
                return
            seen.add(name)
            rows.append((depth, figure))
            for source in figure.inputs:
                walk(source, depth + 1)

        if key not in self._by_key:
            raise KeyError(key)
        walk(key, 0)
        return tuple(rows)
