"""What is in the catalogue, and what of it is sold in which region?"""

from __future__ import annotations

from dataclasses import dataclass

from truehang.catalogue.access import AccessRuleSet
from truehang.catalogue.boards import Board
from truehang.catalogue.fasteners import BoardRule, Fastener, NailingRule
from truehang.catalogue.kits import Kit
from truehang.catalogue.law import PlaceRule
from truehang.catalogue.leaves import LeafConstruction
from truehang.catalogue.materials import Material
from truehang.catalogue.noises import Noise
from truehang.catalogue.packers import Packers
from truehang.catalogue.rates import PriceOf, Rates
from truehang.catalogue.regions import Region, find
from truehang.catalogue.seals import Seal, SoundOffer
from truehang.catalogue.stock import Moulding, StockLength, lengths_of
from truehang.catalogue.timber import CodeSet, Grade, Section, Timber
from truehang.lengths import LengthStyle


@dataclass(frozen=True, slots=True)
class Parts:
    """Everything that can be bought, with the rules and words of each region, as it was read.

    `version` is a short hash of every data file behind it, the user's own included.
    """

    version: str
    kits: tuple[Kit, ...]
    leaves: tuple[LeafConstruction, ...]
    packers: tuple[Packers, ...]
    access_rules: tuple[AccessRuleSet, ...]
    timber_grades: tuple[Grade, ...]
    timber_sections: tuple[Section, ...]
    timber_codes: tuple[CodeSet, ...]
    mouldings: tuple[Moulding, ...]
    boards: tuple[Board, ...]
    fasteners: tuple[Fastener, ...]
    board_rules: tuple[BoardRule, ...]
    nailing_rules: tuple[NailingRule, ...]
    materials: tuple[Material, ...]
    noises: tuple[Noise, ...]
    seals: tuple[Seal, ...]
    sound_offers: tuple[SoundOffer, ...]
    regions: tuple[Region, ...]
    rates: Rates
    laws: tuple[PlaceRule, ...] = ()
    """Rules of a place about money: they warn, and block nothing."""
    prices: tuple[PriceOf, ...] = ()
    """The user's own price list."""
    own: frozenset[str] = frozenset()
    """What is the user's own and so not invented, as "kit timber-90"."""

    def region(self, id: str) -> Region:
        """The profile with this id. Raises UnknownRegion, naming the nearest."""
        return find(id, self.regions)

    def board_rule(self, region: Region) -> BoardRule:
        """The rule for screwing board to supports in a region."""
        return next(rule for rule in self.board_rules if rule.id == region.board_rule)

    def nailing_rule(self, region: Region) -> NailingRule:
        """The rule for nailing framing together in a region."""
        return next(rule for rule in self.nailing_rules if rule.id == region.nailing_rule)

    def access_rule(self, id: str) -> AccessRuleSet | None:
        """The accessibility rule set with this id; None where there is none."""
        return next((rules for rules in self.access_rules if rules.id == id), None)

    def timber_in(self, region: Region) -> Timber:
        """The timber that is sold in a region."""
        sold = tuple(s for s in self.timber_sections if s.currency == region.currency)
        return Timber(self.timber_grades, sold, self.timber_codes)

    def mouldings_in(self, region: Region) -> tuple[Moulding, ...]:
        """The mouldings and battens that are sold in a region."""
        return tuple(m for m in self.mouldings if m.currency == region.currency)

    def kits_in(self, region: Region) -> tuple[Kit, ...]:
        """The kits as they are made up in a region."""
        return tuple(kit.here.get(region.id, kit) for kit in self.kits)

    def leaves_in(self, region: Region) -> tuple[LeafConstruction, ...]:
        """The leaves as they are sold in a region."""
        return tuple(leaf.here.get(region.id, leaf) for leaf in self.leaves)

    def kit_in(self, region: Region, id: str) -> Kit:
        """The kit of this id as it is made up in a region; StopIteration where there is none."""
        return next(kit for kit in self.kits_in(region) if kit.id == id)

    def leaf_in(self, region: Region, id: str) -> LeafConstruction:
        """The leaf of this id as it is sold in a region; StopIteration where there is none."""
        return next(leaf for leaf in self.leaves_in(region) if leaf.id == id)

    def fasteners_in(self, region: Region) -> tuple[Fastener, ...]:
        """The screws and nails that are sold in a region."""
        return tuple(one for one in self.fasteners if one.range == region.fixings)

    def packers_in(self, region: Region) -> Packers:
        """The packers that are usual in a region."""
        return next(one for one in self.packers if one.range == region.fixings)

    def boards_in(self, region: Region) -> tuple[Board, ...]:
        """The boards and sheets that are sold in a region."""
        return tuple(b for b in self.boards if b.currency == region.currency)

    def cut_in(self, region: Region) -> tuple[str, ...]:
        """The codes of what is cut from stock lengths in a region: timber, mouldings, battens."""
        timber = (section.code for section in self.timber_in(region).sections)
        return (*timber, *(moulding.code for moulding in self.mouldings_in(region)))

    def printed(self, section: str) -> LengthStyle:
        """How lengths of one section are printed where it is sold; mm where regions differ."""
        styles = {region.lengths for region in self.regions if section in self.cut_in(region)}
        return styles.pop() if len(styles) == 1 else "mm"

    def lengths_of(self, section: str) -> tuple[StockLength, ...]:
        """The stock lengths of one section, shortest first; empty where it isn't sold."""
        return lengths_of(section, (*self.timber_sections, *self.mouldings))
