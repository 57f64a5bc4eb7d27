"""Which change is worth its money, and which should be bought first?

Each change is tried alone; then the one with the most dB for its price is bought, the rest tried
again on top of it, and so on. An alternative to something bought before takes its place and costs
the difference. When nothing on its own helps any more the rest follow by what they cost, because
two may help together; only the part of the list that raises D_nT,w is advised.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from truehang.catalogue.seals import Seal, SoundOffer
from truehang.money import Money
from truehang.sound.given import (
    Layer,
    Panel,
    PocketZone,
    SoundInput,
    Upgrade,
    Wall,
)
from truehang.sound.result import Gain

HELPS = 0.05
"""A rise of D_nT,w under half a tenth of a dB is none."""


@dataclass(frozen=True, slots=True)
class Buying:
    """The order to buy in, and the wall with everything that pays (None when nothing does)."""

    gains: tuple[Gain, ...]
    best: SoundInput | None


@dataclass(frozen=True, slots=True)
class _Offer:
    """One change on top of what is bought: what is held then, its D_nT,w, what more it costs."""

    upgrade: Upgrade
    held: tuple[Upgrade, ...]
    replaced: Upgrade | None
    level: float
    rise: float
    cost: Money

    @property
    def merit(self) -> tuple[bool, float, float]:
        """Sorts what helps before what doesn't, then by price per dB, else by price."""
        helps = self.rise > HELPS
        price = max(self.cost.minor, 0)
        return (not helps, price / self.rise if helps else float(price), -self.rise)


def order(given: SoundInput, measure: Callable[[SoundInput], float]) -> Buying:
    """Rank `given.upgrades`; `measure` gives D_nT,w (dB, tenths) of a wall."""
    level = measure(given)
    left, ranked = list(given.upgrades), list[_Offer]()
    held: tuple[Upgrade, ...] = ()
    alone: dict[str, float] = {}
    best_level = total = level
    best, best_rank = None, 0
    while left:
        offers = [_offer_on_top(given, held, upgrade, level, measure) for upgrade in left]
        alone = alone or {offer.upgrade.key: offer.rise for offer in offers}
        chosen = min(offers, key=lambda offer: offer.merit)
        left.remove(chosen.upgrade)
        ranked.append(chosen)
        if chosen.replaced is not None and chosen.rise <= HELPS:
            continue  # the alternative already bought is as good
        held, level = chosen.held, chosen.level
        if level > best_level + HELPS:
            best, best_level, best_rank = _with_all(given, held), level, len(ranked)
    gains = []
    for rank, offer in enumerate(ranked, start=1):
        if offer.replaced is None or offer.rise > HELPS:
            total = offer.level
        gains.append(_gain(offer, rank, alone[offer.upgrade.key], total, rank <= best_rank))
    return Buying(tuple(gains), best)


def _offer_on_top(
    given: SoundInput,
    held: tuple[Upgrade, ...],
    upgrade: Upgrade,
    level: float,
    measure: Callable[[SoundInput], float],
) -> _Offer:
    replaced = next((old for old in held if old.group and old.group == upgrade.group), None)
    new = (*(old for old in held if old is not replaced), upgrade)
    reached = measure(_with_all(given, new))
    cost = upgrade.cost - replaced.cost if replaced is not None else upgrade.cost
    return _Offer(upgrade, new, replaced, reached, round(reached - level, 1) + 0.0, cost)


def _gain(offer: _Offer, rank: int, alone: float, total: float, advised: bool) -> Gain:
    useful = offer.replaced is None or offer.rise > HELPS
    return Gain(
        key=offer.upgrade.key,
        label=offer.upgrade.label,
        cost=offer.upgrade.cost,
        gain=alone,
        rank=rank,
        step_gain=offer.rise,
        step_cost=offer.cost,
        instead_of=offer.replaced.label if offer.replaced is not None else None,
        total=total,
        cost_per_db=round(offer.cost.minor / offer.rise, 1) if offer.rise > HELPS else None,
        advised=advised and useful,
    )


def _with_all(given: SoundInput, upgrades: Iterable[Upgrade]) -> SoundInput:
    wall = given
    for upgrade in upgrades:
        wall = apply(wall, upgrade)
    return wall


def apply(given: SoundInput, upgrade: Upgrade) -> SoundInput:
    """The wall with one change made."""
    sealed = dict(upgrade.seals)
    replaced = {slit.name: slit for slit in upgrade.slits}
    slits = []
    for slit in given.slits:
        new = replaced.get(slit.name, slit)
        # A seal fitted earlier stays when the edge itself is changed.
        seal = sealed.get(slit.name, new.seal if new.seal is not None else slit.seal)
        slits.append(new if seal == new.seal else replace(new, seal=seal))
    leaves = given.leaves
    if upgrade.leaf is not None:
        leaves = tuple(replace(leaf, construction=upgrade.leaf) for leaf in leaves)
    return replace(
        given,
        wall=_lined(given.wall, upgrade.lining),
        leaves=leaves,
        slits=tuple(slits),
        pockets=tuple(_pocket(pocket, upgrade, sealed) for pocket in given.pockets),
    )


def _pocket(pocket: PocketZone, upgrade: Upgrade, sealed: dict[str, str]) -> PocketZone:
    skins, seal = pocket.skins, sealed.get(pocket.name, pocket.mouth_seal)
    extra = upgrade.skins or upgrade.lining
    if extra:
        skins = replace(skins, face_a=_more(skins.face_a, extra), face_b=_more(skins.face_b, extra))
    if upgrade.pocket_infill is not None:
        infill, thickness = upgrade.pocket_infill
        skins = replace(skins, infill=infill, infill_thickness=2 * thickness)
    leaf = upgrade.leaf if upgrade.leaf is not None else pocket.leaf
    if (skins, leaf, seal) == (pocket.skins, pocket.leaf, pocket.mouth_seal):
        return pocket
    return replace(pocket, skins=skins, leaf=leaf, mouth_seal=seal)


def _lined(wall: Wall, extra: tuple[Layer, ...]) -> Wall:
    if not extra:
        return wall
    if isinstance(wall, Panel):
        return _more(wall, (*extra, *extra))
    return replace(wall, face_a=_more(wall.face_a, extra), face_b=_more(wall.face_b, extra))


def _more(panel: Panel, extra: tuple[Layer, ...]) -> Panel:
    return Panel((*panel.layers, *extra), bonded=False)


def usual_upgrades(
    given: SoundInput, offers: Iterable[SoundOffer], seals: Iterable[Seal], currency: str
) -> tuple[Upgrade, ...]:
    """What the catalogue offers for this opening, priced by its sizes.

    An offer that doesn't fit (no meeting edge, no room for the infill, no gap it suits, a gap
    wider than its seal closes) is left out.
    """
    by_seal = {seal.key: seal for seal in seals}
    built = (_offer(given, offer, by_seal, currency) for offer in offers)
    return tuple(upgrade for upgrade in built if upgrade is not None)


_GROUP = {
    "leaf": "leaf",
    "seals": "seals",
    "rebate": "",
    "infill": "infill",
    "skins": "lining",
    "lining": "lining",
}


def _offer(
    given: SoundInput, offer: SoundOffer, by_seal: dict[str, Seal], currency: str
) -> Upgrade | None:
    price = Money(offer.price, currency)
    layers = tuple(Layer(material, thickness) for material, thickness in offer.layers)
    plain = Upgrade(key=offer.key, label=offer.label, cost=price, group=_GROUP[offer.changes])
    pocket_area = sum(pocket.width * pocket.height for pocket in given.pockets) / 1e6
    if offer.changes == "leaf" and given.leaves:
        area = sum(leaf.width * leaf.height for leaf in given.leaves) / 1e6
        cost = price.times(round(area, 2) if offer.unit == "m2 of leaf" else len(given.leaves))
        return replace(plain, cost=cost, leaf=Panel(layers, bonded=True))
    if offer.changes == "seals":
        return _seal_offer(given, offer, by_seal, plain)
    if offer.changes == "rebate":
        assert offer.rebate_depth is not None
        assert offer.rebate_gap is not None
        edges = [slit for slit in given.slits if slit.kind == "meeting"]
        changed = tuple(
            replace(edge, depth=offer.rebate_depth, width=min(edge.width, offer.rebate_gap))
            for edge in edges
        )
        metres = sum(edge.length for edge in edges) / 1000
        return replace(plain, cost=price.times(round(metres, 2)), slits=changed) if edges else None
    if offer.changes == "infill" and offer.infill is not None and given.pockets:
        room = min(p.skins.cavity - p.leaf_thickness for p in given.pockets)
        if 2 * offer.infill[1] >= room or any(p.skins.infill for p in given.pockets):
            return None
        return replace(plain, cost=price.times(round(pocket_area, 2)), pocket_infill=offer.infill)
    if offer.changes == "skins" and given.pockets:
        return replace(plain, cost=price.times(round(pocket_area, 2)), skins=layers)
    if offer.changes == "lining":
        solid = sum(leaf.width * leaf.height for leaf in given.leaves) / 1e6
        area = max(given.wall_area - solid, 0.0)
        return replace(plain, cost=price.times(round(area, 2)), lining=layers)
    return None


def _seal_offer(
    given: SoundInput, offer: SoundOffer, by_seal: dict[str, Seal], plain: Upgrade
) -> Upgrade | None:
    chosen = dict(offer.seals)
    gaps: Sequence[tuple[str, str, float, float]] = [
        *((slit.kind, slit.name, slit.width, slit.length) for slit in given.slits),
        *(("mouth", p.name, p.mouth_gap, 2 * p.height) for p in given.pockets),
    ]
    pairs: list[tuple[str, str]] = []
    minor = 0
    for kind, name, width, length in gaps:
        seal = by_seal.get(chosen.get(kind, ""))  # type: ignore[call-overload]
        if seal is None or width > seal.max_gap:
            continue
        pairs.append((name, seal.key))
        minor += round((seal.price + offer.price) * length / 1000)
    if not pairs:
        return None
    return replace(plain, cost=Money(minor, plain.cost.currency), seals=tuple(pairs))
