"""What is bought for a job, in whole purchase units, from whom, and at what price?"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from truehang.catalogue import Catalogue
from truehang.catalogue.rates import Place
from truehang.lengths import said
from truehang.plan.model import Plan
from truehang.plan.price_book import PriceBook, Priced
from truehang.pricing import Goods

SECTION_OF = {
    "framing": "framing", "frame": "frame", "leaves": "leaves", "seals": "leaves",
    "lining": "lining", "trim": "finishing", "fixings": "framing", "finishing": "lining",
    "paint": "finishing",
}  # fmt: skip
"""The part of the price that each group of the takeoff is told in."""
CERTAIN = (1.0, 1.0, 1.0)
_NEAR = 1e-9


class Buyer:
    """Buys for one plan: its cutting plan must be in it."""

    def __init__(self, plan: Plan, catalogue: Catalogue, book: PriceBook, place: Place) -> None:
        self.plan, self.catalogue, self.book, self.place = plan, catalogue, book, place
        self._sells = {
            group: supplier.id for supplier in catalogue.rates.supplier for group in supplier.sells
        }
        self._groups = {
            item.stock: item.group for item in (plan.takeoff.items if plan.takeoff else ())
        }

    def goods(self, measured: Mapping[str, float]) -> Iterator[Goods]:
        """Everything that is bought."""
        yield from self._timber()
        yield from self._frame()
        yield from self._leaves()
        yield from self._seals()
        yield from self._boards()
        yield from self._fixings()
        yield from self._loose(measured)
        yield from self._nothing_fits()

    def _one(
        self, key: str, id: str, label: str, group: str, sold: str, count: int, price: Priced,
        *, size: str = "",
    ) -> Goods:  # fmt: skip
        """One line of goods: an invented price may come to more or less, one's own is certain."""
        return Goods(
            key=key, id=id, label=self.plan.say(label), section=SECTION_OF[group], group=group,
            sold=self.plan.say(sold), count=count, each=price.minor,
            supplier=price.supplier or self._sells.get(group, ""), invented=price.invented,
            spread=self.place.spread if price.invented else CERTAIN, size=size,
            job=self.plan.job.job.name, code=price.code, priced_on=price.on,
        )  # fmt: skip

    def _timber(self) -> Iterator[Goods]:
        for bought in self.plan.cutting.purchases if self.plan.cutting else ():
            metre = self.book.of("section", bought.section, None)
            minor = None if bought.price is None else bought.price.minor
            price = self.book.of("length", bought.stock, minor)
            if price.invented and not metre.invented and metre.minor is not None:
                price = replace(metre, minor=round(metre.minor * bought.length_mm / 1000))
            elif price.invented and f"section {bought.section}" in self.catalogue.own:
                price = replace(price, invented=False)
            group = self._groups.get(bought.section, "framing")
            yield self._one(
                f"buy.{bought.stock}", bought.stock, bought.section, group,
                f"length of {said(bought.length_mm)}", bought.count, price,
            )  # fmt: skip

    def _frame(self) -> Iterator[Goods]:
        fit = self.plan.arrangement
        assert fit is not None
        option = fit.option
        kit = self.catalogue.kit_in(self.plan.region, fit.kit_id)
        count = len(fit.leaves)
        closing = sum(part.count for part in fit.parts if part.key == "soft-close")
        unit = kit.soft_close.price_minor if kit.soft_close else 0
        own = f"kit {kit.id}"
        if kit.site_parts is not None:
            yield from self._made_on_site()
        else:
            frame = option.price_minor - count * option.leaf_minor - closing * unit
            size = f"{said(option.frame_width)} x {said(option.frame_height)}"
            yield self._one(
                "frame.kit", kit.id, f"{kit.name}, frame {size}", "frame",
                "frame", 1, self.book.of("kit", kit.id, frame), size=self.plan.say(size),
            )  # fmt: skip
        if closing:
            price = self.book.of("kit", f"{kit.id}.soft-close", unit)
            if own in self.catalogue.own:
                price = replace(price, invented=False)
            yield self._one("frame.soft-close", f"{kit.id}.soft-close", "soft-close unit",
                            "frame", "each", closing, price)  # fmt: skip

    def _made_on_site(self) -> Iterator[Goods]:
        """Track by the metre and a running set for each leaf; its timber is in the cutting plan."""
        fit = self.plan.arrangement
        assert fit is not None
        kit = self.catalogue.kit_in(self.plan.region, fit.kit_id)
        assert kit.site_parts is not None
        track = sum(p.length * p.count for p in fit.parts if p.material == "track") / 1000
        rows = (
            ("track", "track", "metre", math.ceil(track - _NEAR), kit.site_parts.track_minor_per_m),
            ("set", "running set: two hangers, guide and buffer", "set", len(fit.leaves),
             kit.site_parts.running_set_minor),
        )  # fmt: skip
        for key, label, sold, count, minor in rows:
            price = self.book.of("kit", f"{kit.id}.{key}", minor)
            if f"kit {kit.id}" in self.catalogue.own:
                price = replace(price, invented=False)
            yield self._one(f"frame.{key}", f"{kit.id}.{key}", label, "frame", sold, count, price)

    def _leaves(self) -> Iterator[Goods]:
        fit = self.plan.arrangement
        assert fit is not None
        option = fit.option
        width, height, thickness = fit.leaf_order_size
        size = f"{said(width)} x {said(height)} x {said(thickness, 1)}"
        yield self._one(
            "leaf", fit.leaf_id, f"{option.leaf_name}, {size}", "leaves", "leaf", len(fit.leaves),
            self.book.of("leaf", fit.leaf_id, option.leaf_minor), size=self.plan.say(size),
        )  # fmt: skip

    def _seals(self) -> Iterator[Goods]:
        metres: dict[str, float] = {}
        for item in self.plan.takeoff.items if self.plan.takeoff else ():
            if item.group == "seals":
                metres[item.stock] = metres.get(item.stock, 0.0) + item.quantity
        known = {seal.key: seal for seal in self.catalogue.seals}
        for key, run in metres.items():
            seal = known.get(key)
            price = self.book.of("seal", key, seal.price if seal else None)
            yield self._one(
                f"seal.{key}", key, seal.name if seal else key, "seals", "metre",
                math.ceil(run - _NEAR), price,
            )  # fmt: skip

    def _boards(self) -> Iterator[Goods]:
        counts: dict[str, tuple[int, int | None]] = {}
        for layout in self.plan.lining:
            for board in layout.boards:
                minor = None if board.price is None else board.price.minor
                before = counts.get(board.board, (0, minor))[0]
                counts[board.board] = (before + board.count, minor)
        names = {board.code: board.name for board in self.catalogue.boards}
        for code, (count, minor) in counts.items():
            yield self._one(
                f"board.{code}", code, f"{names.get(code, 'board')}, {code}", "lining", "board",
                count, self.book.of("board", code, minor),
            )  # fmt: skip

    def _fixings(self) -> Iterator[Goods]:
        for box in self.plan.fixings.boxes if self.plan.fixings else ():
            one = box.fastener
            yield self._one(
                f"box.{one.id}", one.id, one.name, "fixings", f"box of {one.box_count}", box.boxes,
                self.book.of("fastener", one.id, one.box_price_minor),
            )  # fmt: skip

    def _loose(self, measured: Mapping[str, float]) -> Iterator[Goods]:
        """What is sold by the tube, the roll, the bag, the tin and the set."""
        for good in self.catalogue.rates.good:
            amount = measured.get(good.measure, 0.0)
            if amount <= 0:
                continue
            group = {"paint": "paint", "frames": "leaves"}.get(good.supplier, "lining")
            price = self.book.of("good", good.id, good.price.get(self.plan.region.id))
            made = self._one(
                f"good.{good.id}", good.id, good.name, group, good.sold,
                math.ceil(amount / good.holds - _NEAR), price,
            )  # fmt: skip
            yield replace(made, section=good.section, supplier=price.supplier or good.supplier)

    def _nothing_fits(self) -> Iterator[Goods]:
        """Timber of a size that nobody sells, and what could not be cut: it has no price."""
        uncut = set(self.plan.cutting.uncut) if self.plan.cutting else set()
        for item in self.plan.takeoff.items if self.plan.takeoff else ():
            own = item.group in ("framing", "trim") and not item.stock and "bead" not in item.key
            key = f"{self.plan.job.job.name}:{item.key}"
            if own or any(name == key or name.startswith(f"{key}#") for name in uncut):
                yield self._one(f"uncut.{item.key}", item.key, str(item.label), item.group, "piece",
                                item.count, self.book.of("piece", item.key, None))  # fmt: skip
