"""How quiet will it be, before and after, and what makes it quieter for the least money?

`Comparer.predict` joins the ways through the wall into the state of the old opening and of the
closed wall, says what is heard, how sure that is, which way is the weakest and what to buy first.
Sound that goes round by floor, ceiling and side walls is left out.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from truehang.catalogue.materials import Material
from truehang.catalogue.noises import Noise
from truehang.catalogue.seals import Seal
from truehang.sound.bands import (
    A_OCTAVE,
    BANDS,
    Floats,
    decibels,
    power,
    thirds_of,
)
from truehang.sound.check import check
from truehang.sound.explain import explain, warn
from truehang.sound.given import SoundInput
from truehang.sound.ratings import RW_BANDS, rate, rw_curve, stc_curve, weighted
from truehang.sound.result import NOTE, Path, Rating, SoundResult, Spectrum, State
from truehang.sound.speech import heard
from truehang.sound.uncertainty import spread
from truehang.sound.upgrades import order
from truehang.sound.ways import Book, Way, pocket_zone_leaf_in, ways_when_closed, ways_when_open

REFERENCE_TIME = 0.5
"""T0 of ISO 16283-1, s."""


@dataclass(frozen=True, slots=True)
class Setting:
    """The rooms and what is heard in them."""

    wall_area: float
    level_difference: float
    """D_nT - R' = 10 lg(0.16 V / (T0 S)), dB (ISO 16283-1)."""
    longer_echo: float
    """D_nT - D = 10 lg(T / T0), dB: a room that rings longer is louder."""
    source: Noise
    voice: Noise
    background: Floats

    @property
    def weights(self) -> Floats:
        """A-weighted energy of the source by third octave, to share out what gets through."""
        return power(thirds_of(np.array(self.source.levels) + A_OCTAVE))


def _predicted(given: SoundInput, book: Book, by_noise: dict[str, Noise]) -> SoundResult:
    setting = _setting(given, by_noise)
    closed = ways_when_closed(given, book)
    before = _state(given.open_name, ways_when_open(given, book), setting)
    after = _state("closed", closed, setting)
    buying = order(given, lambda changed: _single_number(changed, book, setting))
    upgraded = None
    if buying.best is not None:
        upgraded = _state("closed, upgraded", ways_when_closed(buying.best, book), setting)
    leaf_in = tuple(_path(pocket_zone_leaf_in(pocket, book), 0.0) for pocket in given.pockets)
    uncertainty = spread(given, closed, setting.level_difference)
    return SoundResult(
        bands=BANDS,
        before=before,
        after=after,
        pocket_leaf_in=leaf_in,
        weakest=after.paths[0].name,
        weakest_share=after.paths[0].share,
        uncertainty=uncertainty,
        gains=buying.gains,
        upgraded=upgraded,
        curves=(
            rw_curve(np.array(after.reduction)),
            rw_curve(np.array(after.level_difference), "DnT,w"),
            stc_curve(np.array(after.reduction)),
        ),
        note=NOTE,
        findings=warn(given, after, book.seals),
        figures=explain(given, before, after, uncertainty, buying.gains, upgraded),
    )


@dataclass(frozen=True, slots=True)
class Comparer:
    """Rates many closed walls and predicts some: what two of them share is worked out once."""

    book: Book
    noises: dict[str, Noise]

    @classmethod
    def of(
        cls, stock: Iterable[Material], seal_stock: Iterable[Seal], noise_stock: Iterable[Noise]
    ) -> Comparer:
        """A comparer over the catalogue's materials, seals and noises."""
        book = Book({row.key: row for row in stock}, {row.key: row for row in seal_stock})
        return cls(book, {row.key: row for row in noise_stock})

    def rating(self, given: SoundInput) -> Rating:
        """Rw(C;Ctr) and STC of the closed wall, the same as `predict` gives after.

        Raises `SoundInputError` for the first value that can't be used.
        """
        self._check(given)
        setting = _setting(given, self.noises)
        return rate(_composite(ways_when_closed(given, self.book), setting))

    def predict(self, given: SoundInput) -> SoundResult:
        """Everything about how quiet it will be.

        Raises `SoundInputError` for the first value that can't be used.
        """
        self._check(given)
        return _predicted(given, self.book, self.noises)

    def _check(self, given: SoundInput) -> None:
        check(given, self.book.stock, self.book.seals, self.noises)


def _setting(given: SoundInput, by_noise: dict[str, Noise]) -> Setting:
    source = by_noise[given.source]
    background = (
        by_noise[given.background].levels if isinstance(given.background, str) else given.background
    )
    ratio = 0.16 * given.receiving_volume / (REFERENCE_TIME * given.wall_area)
    return Setting(
        wall_area=given.wall_area,
        level_difference=float(decibels(ratio)),
        longer_echo=float(decibels(given.reverberation_time / REFERENCE_TIME)),
        source=source,
        voice=source if source.speech else by_noise["speech-normal"],
        background=np.array(background, dtype=float),
    )


def _composite(ways: tuple[Way, ...], setting: Setting) -> Floats:
    """R = -10 lg(sum of S tau / S), dB by band."""
    leaks = np.sum([way.leak for way in ways], axis=0)
    return -decibels(leaks / setting.wall_area)


def _single_number(given: SoundInput, book: Book, setting: Setting) -> float:
    """D_nT,w in tenths of a dB of a changed wall."""
    reduction = _composite(ways_when_closed(given, book), setting)
    return round(float(weighted((reduction + setting.level_difference)[RW_BANDS], 0.1)), 1)


def _state(name: str, ways: tuple[Way, ...], setting: Setting) -> State:
    reduction = _composite(ways, setting)
    difference = reduction + setting.level_difference
    energies = [float(np.sum(setting.weights * way.leak)) for way in ways]
    shares = [energy / sum(energies) for energy in energies]
    paths = [_path(way, share) for way, share in zip(ways, shares, strict=True)]
    return State(
        name=name,
        reduction=_shown(reduction),
        level_difference=_shown(difference),
        rating=rate(reduction),
        dntw=rate(difference),
        heard=heard(
            setting.source, setting.voice, setting.background, difference - setting.longer_echo
        ),
        paths=tuple(sorted(paths, key=lambda path: -path.share)),
    )


def _path(way: Way, share: float) -> Path:
    reduction = -decibels(way.leak / way.area)
    return Path(
        name=way.name,
        kind=way.kind,
        area=round(way.area, 4),
        reduction=_shown(reduction),
        rating=rate(reduction),
        share=share,
    )


def _shown(values: Floats) -> Spectrum:
    return tuple(round(float(value), 1) + 0.0 for value in values[: len(BANDS)])
