"""By which ways does sound get through, and how much by each?

A way's `leak` is its transmission times its area, m2 by band: leaks add up, and the composite is
R = -10 lg(sum of leaks / area of the wall).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from truehang.catalogue.materials import Material
from truehang.catalogue.seals import Seal
from truehang.sound.bands import FREQUENCIES, Floats, power
from truehang.sound.given import Construction, Panel, PocketZone, SideBySide, Slit, SoundInput
from truehang.sound.panels import (
    Leaf,
    Transmitted,
    cavity_absorption,
    leaf_bands,
    leaf_of,
    through_cavity,
    transmitted,
)
from truehang.sound.result import PathKind
from truehang.sound.slits import leak


@dataclass(frozen=True, slots=True)
class MassWay:
    """A way through mass: leaks that fall as m^-2 (`single`) and as m^-4 (`double`), m2."""

    name: str
    kind: PathKind
    area: float
    single: Floats
    double: Floats

    @property
    def leak(self) -> Floats:
        """What gets through, m2 by band."""
        return np.asarray(self.single + self.double)


@dataclass(frozen=True, slots=True)
class Gap:
    """A way through air: what is needed to draw its width again, and its leak as designed, m2."""

    name: str
    width: float
    width_sd: float
    depth: float
    length: float
    place: str
    seal: Seal | None
    leak: Floats

    @property
    def kind(self) -> PathKind:
        """Every gap is a slit."""
        return "slit"

    @property
    def area(self) -> float:
        """Open area, m2."""
        return self.width * self.length / 1e6


Way = MassWay | Gap


class Book:
    """The catalogue by key, with every construction and gap worked out once."""

    def __init__(self, stock: Mapping[str, Material], seals: Mapping[str, Seal]) -> None:
        self.stock = stock
        self.seals = seals
        self._panels: dict[Panel, Leaf] = {}
        self._through: dict[Construction, Transmitted] = {}
        self._leaks: dict[tuple[float, float, str, str | None], Floats] = {}
        self._zones: dict[PocketZone, tuple[MassWay, Gap]] = {}
        self._gaps: dict[Slit, Gap] = {}

    def panel(self, panel: Panel) -> Leaf:
        """A panel as sound meets it."""
        known = self._panels.get(panel)
        if known is None:
            known = self._panels[panel] = leaf_of(panel, self.stock)
        return known

    def through(self, construction: Construction) -> Transmitted:
        """What a construction lets through."""
        known = self._through.get(construction)
        if known is None:
            known = self._through[construction] = transmitted(construction, self.stock)
        return known

    def zone(self, pocket: PocketZone) -> tuple[MassWay, Gap]:
        """A pocket with the leaf out, and its mouth."""
        known = self._zones.get(pocket)
        if known is None:
            known = self._zones[pocket] = pocket_zone(pocket, self), self.gap(mouth(pocket))
        return known

    def leak(self, width: float, depth: float, place: str, seal: str | None) -> Floats:
        """What one metre of a gap lets through, m2 by band."""
        key = (width, depth, place, seal)
        if key not in self._leaks:
            self._leaks[key] = gap_leak(
                np.asarray(width), depth, place, self.seals[seal] if seal else None
            )
        return self._leaks[key]

    def gap(self, slit: Slit) -> Gap:
        """A slit as a way."""
        known = self._gaps.get(slit)
        if known is None:
            leak = self.leak(slit.width, slit.depth, slit.place, slit.seal)
            known = self._gaps[slit] = Gap(
                name=slit.name,
                width=slit.width,
                width_sd=slit.width_sd,
                depth=slit.depth,
                length=slit.length,
                place=slit.place,
                seal=self.seals[slit.seal] if slit.seal else None,
                leak=leak * (slit.length / 1000),
            )
        return known


def gap_leak(width: Floats, depth: float, place: str, seal: Seal | None) -> Floats:
    """`slits.leak` with a seal of the catalogue or none."""
    if seal is None:
        return leak(width, depth, place)
    return leak(width, depth, place, seal.reduction, seal.max_gap)


def ways_when_closed(given: SoundInput, book: Book) -> tuple[Way, ...]:
    """Every way through the wall with the leaves closed."""
    leaves = tuple(
        _sheet(leaf.name, "leaf", leaf.width * leaf.height / 1e6, book.through(leaf.construction))
        for leaf in given.leaves
    )
    zones = tuple(book.zone(pocket) for pocket in given.pockets)
    pockets, mouths = tuple(zone for zone, _ in zones), tuple(gap for _, gap in zones)
    gaps = tuple(book.gap(slit) for slit in given.slits)
    others: tuple[Way, ...] = (*pockets, *leaves, *gaps)
    rest = given.wall_area - sum(way.area for way in others)
    return (*_wall(rest, given, book), *pockets, *leaves, *mouths, *gaps)


def ways_when_open(given: SoundInput, book: Book) -> tuple[Way, ...]:
    """The old opening: nothing in it, so that all that meets it goes through."""
    whole = np.ones_like(FREQUENCIES)
    nothing = np.zeros_like(FREQUENCIES)
    opening = MassWay("opening", "opening", given.opening_area, nothing, whole * given.opening_area)
    return (*_wall(given.wall_area - given.opening_area, given, book), opening)


def _wall(area: float, given: SoundInput, book: Book) -> tuple[MassWay, ...]:
    """What is left of the wall itself; nothing when the rest fills it."""
    return (_sheet("wall", "wall", area, book.through(given.wall)),) if area > 0 else ()


def mouth_name(pocket: PocketZone) -> str:
    """What the mouth of a pocket is called."""
    return f"mouth of {pocket.name}"


def mouth(pocket: PocketZone) -> Slit:
    """The gap round the leaf's tail from one room to the other: in at one mouth, out at the other.

    A folded slit as deep as the tail twice and the leaf's thickness. The pocket behind it would
    take some of the sound away, so this is on the safe side.
    """
    return Slit(
        name=mouth_name(pocket),
        kind="jamb",
        width=pocket.mouth_gap,
        depth=2 * pocket.tail + pocket.leaf_thickness,
        length=pocket.height,
        seal=pocket.mouth_seal,
        width_sd=pocket.mouth_gap_sd,
    )


def pocket_zone(pocket: PocketZone, book: Book) -> MassWay:
    """A pocket with the leaf out: two skins, and a cavity that is open at the mouth on each side.

    Sound also enters by a mouth, fills the cavity (whose absorption is 4 alpha S, as in the double
    leaf) and leaves through the skin opposite: leak = L_mouth (tau_a + tau_b) / (4 alpha).
    """
    area = pocket.width * pocket.height / 1e6
    through = book.through(pocket.skins)
    return MassWay(
        name=pocket.name,
        kind="pocket",
        area=area,
        single=through.single * area + _by_the_mouth(pocket, book),
        double=through.double * area,
    )


def pocket_zone_leaf_in(pocket: PocketZone, book: Book) -> MassWay:
    """The same pocket with the leaf slid in (door open).

    The third leaf is credited with no more than the best pair of the three, which leaves out what
    the other gap adds.
    """
    area = pocket.width * pocket.height / 1e6
    skins = pocket.skins
    one, two = book.panel(skins.face_a), book.panel(skins.face_b)
    beside = (skins.cavity - pocket.leaf_thickness) / 2
    absorption = cavity_absorption(skins)
    third = np.zeros_like(FREQUENCIES)
    for share, inside in _shares(pocket.leaf, book):
        pairs = [through_cavity(leaf, inside, beside, absorption) for leaf in (one, two)]
        third = third + share * power(-np.maximum(*pairs))
    best = np.minimum(third, book.through(skins).tau)
    return MassWay(
        name=f"{pocket.name}, leaf in",
        kind="pocket",
        area=area,
        single=_by_the_mouth(pocket, book),
        double=best * area,
    )


def _by_the_mouth(pocket: PocketZone, book: Book) -> Floats:
    one, two = (
        power(-leaf_bands(book.panel(face))) for face in (pocket.skins.face_a, pocket.skins.face_b)
    )
    entering = book.leak(pocket.mouth_gap, pocket.tail, "mid-wall", pocket.mouth_seal)
    metres = pocket.height / 1000
    return np.asarray(entering * metres * (one + two) / (4 * cavity_absorption(pocket.skins)))


def _shares(construction: Construction, book: Book) -> tuple[tuple[float, Leaf], ...]:
    """What hangs in a pocket, each part with its share; a leaf of two skins is taken as one."""
    if isinstance(construction, SideBySide):
        return tuple((share, book.panel(panel)) for share, panel in construction.parts)
    if isinstance(construction, Panel):
        return ((1.0, book.panel(construction)),)
    faces = [book.panel(face) for face in (construction.face_a, construction.face_b)]
    one = Leaf(
        mass=sum(face.mass for face in faces),
        critical=min(face.critical for face in faces),
        loss=max(face.loss for face in faces),
    )
    return ((1.0, one),)


def _sheet(name: str, kind: PathKind, area: float, through: Transmitted) -> MassWay:
    return MassWay(name, kind, area, through.single * area, through.double * area)
