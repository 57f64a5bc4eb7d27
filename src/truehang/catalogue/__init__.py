"""What can be bought, and what rules and words hold where? One frozen `Catalogue` of it all.

Shipped data is invented and marked so in each data file. A user's own kits, leaves and seals come
from a TOML file of the same shape as `data/kits.toml`, `data/leaves.toml` and the `[[seal]]` of
`data/seals.toml`, or the same in YAML.
"""

from __future__ import annotations

import difflib
import hashlib
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from truehang.catalogue._read import CatalogueError, Entry
from truehang.catalogue.access import AccessRuleSet, access_rule_sets
from truehang.catalogue.boards import Board, boards
from truehang.catalogue.fasteners import BoardRule, Fastener, board_rules, fasteners
from truehang.catalogue.kits import Kit, kits
from truehang.catalogue.leaves import LeafConstruction, leaves
from truehang.catalogue.materials import Material, materials
from truehang.catalogue.noises import Noise, noises
from truehang.catalogue.packers import Packers, packers
from truehang.catalogue.rates import PriceOf, Rates, rates
from truehang.catalogue.regions import Region, find, regions
from truehang.catalogue.seals import Seal, SoundOffer, seals, sound_offers
from truehang.catalogue.stock import Moulding, StockLength, lengths_of, mouldings
from truehang.catalogue.timber import CodeSet, Grade, Section, Timber, code_sets, grades, sections
from truehang.catalogue.whole import wrong_with
from truehang.lengths import LengthStyle
from truehang.yamltree import MOST_BYTES, read_tree

__all__ = ["Catalogue", "CatalogueError", "load"]

_Own = TypeVar("_Own", Kit, LeafConstruction, Seal)
OWN_TABLES = ("kit", "leaf", "seal")


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Everything that can be bought, with the rules and words of each region. Raises CatalogueError
    where a part leans on another that is not there: a region is whole, or there is no catalogue.

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
    materials: tuple[Material, ...]
    noises: tuple[Noise, ...]
    seals: tuple[Seal, ...]
    sound_offers: tuple[SoundOffer, ...]
    regions: tuple[Region, ...]
    rates: Rates
    prices: tuple[PriceOf, ...] = ()
    """The user's own price list."""
    own: frozenset[str] = frozenset()
    """What is the user's own and so not invented, as "kit timber-90"."""

    def __post_init__(self) -> None:
        if wrong := wrong_with(self):
            raise CatalogueError("\n".join(wrong))

    def region(self, id: str) -> Region:
        """The profile with this id. Raises UnknownRegion, naming the nearest."""
        return find(id, self.regions)

    def board_rule(self, region: Region) -> BoardRule:
        """The rule for screwing board to supports in a region."""
        return next(rule for rule in self.board_rules if rule.id == region.board_rule)

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


@cache
def _shipped() -> Catalogue:
    return Catalogue(
        version=_hashed(_data_files()),
        kits=kits(),
        leaves=leaves(),
        packers=packers(),
        access_rules=access_rule_sets(),
        timber_grades=grades(),
        timber_sections=sections(),
        timber_codes=code_sets(),
        mouldings=mouldings(),
        boards=boards(),
        fasteners=fasteners(),
        board_rules=board_rules(),
        materials=materials(),
        noises=noises(),
        seals=seals(),
        sound_offers=sound_offers(),
        regions=regions(),
        rates=rates(),
    )


def load(extra: Path | None = None) -> Catalogue:
    """The shipped catalogue, with the user's own kits, leaves and seals from the file `extra`.

    A name that ends in .yaml or .yml is read as YAML, any other as TOML. Raises CatalogueError
    where that file can't be read or used.
    """
    shipped = _shipped()
    if extra is None:
        return shipped
    content = _read(extra)
    own = _tables(extra.name, content)
    return replace(
        shipped,
        version=_hashed([("", shipped.version.encode()), (extra.name, content)]),
        kits=shipped.kits + _own(Kit, "kit", own, shipped.kits, extra.name),
        leaves=shipped.leaves + _own(LeafConstruction, "leaf", own, shipped.leaves, extra.name),
        seals=shipped.seals + _own(Seal, "seal", own, shipped.seals, extra.name),
    )


def _data_files() -> Iterator[tuple[str, bytes]]:
    def walk(folder: Traversable, path: str) -> Iterator[tuple[str, bytes]]:
        for entry in sorted(folder.iterdir(), key=lambda entry: entry.name):
            if entry.is_dir():
                yield from walk(entry, f"{path}{entry.name}/")
            elif entry.name.endswith(".toml"):
                yield f"{path}{entry.name}", entry.read_bytes()

    return walk(resources.files(__package__) / "data", "")


def _hashed(files: Iterable[tuple[str, bytes]]) -> str:
    digest = hashlib.sha256()
    for name, content in files:
        lines = content.replace(b"\r\n", b"\n")  # the same data on every system
        digest.update(f"{name}\n{len(lines)}\n".encode() + lines)
    return digest.hexdigest()[:12]


def _read(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise CatalogueError(
                f"{path.name}: {size:,} bytes, more than the {MOST_BYTES:,} that are read; "
                "keep only your own kits, leaves and seals in it"
            )
        return path.read_bytes()
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise CatalogueError(f"{path.name}: {why}; look at the name and the folder") from None


def _tables(name: str, content: bytes) -> dict[str, Any]:
    yaml = name.lower().endswith((".yaml", ".yml"))
    own = _from_yaml(name, content) if yaml else _from_toml(name, content)
    write = "kit:, leaf: or seal:" if yaml else "[[kit]], [[leaf]] or [[seal]]"
    wrong = [f"{name}: {key}: unknown table; write {write}" for key in own if key not in OWN_TABLES]
    wrong += [
        f"{name}: {key}: not a list; write "
        + (f"`{key}:` and each entry after a dash" if yaml else f"[[{key}]] with two brackets")
        for key, value in own.items()
        if key in OWN_TABLES and not isinstance(value, list)
    ]
    if wrong or not own:
        raise CatalogueError("\n".join(wrong) or f"{name}: nothing in it; write {write}")
    return own


def _from_toml(name: str, content: bytes) -> dict[str, Any]:
    try:
        return tomllib.loads(content.decode("utf-8"))
    except UnicodeDecodeError:
        raise CatalogueError(f"{name}: not UTF-8 text; save it again as UTF-8") from None
    except tomllib.TOMLDecodeError as error:
        raise CatalogueError(f"{name}: not TOML: {error}; mend that line") from None


def _from_yaml(name: str, content: bytes) -> dict[str, Any]:
    tree = read_tree(content)
    if tree.faults:
        raise CatalogueError(
            "\n".join(f"{name}: line {f.line}: {f.what}; {f.mend}" for f in tree.faults)
        )
    own: dict[str, Any] = tree.root
    return own


def _own(
    model: type[_Own], table: str, own: dict[str, Any], shipped: tuple[_Own, ...], name: str
) -> tuple[_Own, ...]:
    taken = {_name(entry) for entry in shipped}
    key = "key" if model is Seal else "id"
    entries: list[_Own] = []
    wrong: list[str] = []
    for number, values in enumerate(own.get(table, []), start=1):
        label = values.get(key, f"number {number}") if isinstance(values, dict) else number
        where = f"{name}: {table} {label}"
        try:
            entry = model.model_validate(values)
        except ValidationError as error:
            wrong += [f"{where}: {line}" for line in _lines(error, model)]
            continue
        if _name(entry) in taken:
            wrong.append(f"{where}: {key}: {_name(entry)!r} is taken; give it its own {key}")
        taken.add(_name(entry))
        entries.append(entry)
    if wrong:
        raise CatalogueError("\n".join(wrong))
    return tuple(entries)


def _name(entry: Kit | LeafConstruction | Seal) -> str:
    return entry.key if isinstance(entry, Seal) else entry.id


def _lines(error: ValidationError, model: type[Entry]) -> Iterator[str]:
    details = error.errors(include_url=False)
    everywhere = {detail["loc"] for detail in details}
    for detail in details:
        if detail["loc"][:1] == ("here",) and detail["loc"][2:] in everywhere:
            continue  # it is said already, and mended once
        field = ".".join(map(str, detail["loc"])) or "the whole entry"
        if detail["type"] == "missing":
            yield f"{field}: missing; add it from the datasheet"
        elif detail["type"] == "extra_forbidden":
            yield f"{field}: unknown key; {_nearest(str(detail['loc'][-1]), model)}"
        else:
            message = detail["msg"].replace("Input should", "must").removeprefix("Value error, ")
            given = "" if isinstance(detail["input"], dict) else f" {detail['input']!r}"
            yield f"{field}:{given} {message}; look at the datasheet again"


def _nearest(given: str, model: type[Entry]) -> str:
    close = difflib.get_close_matches(given, model.model_fields, n=1)
    return f"did you mean {close[0]!r}?" if close else "delete it"
