"""What can be bought, and what rules and words hold where? One frozen `Catalogue` of it all.

Shipped data is invented and marked so in each data file. A user's own come from files of the same
shape, in TOML or YAML (`own.py`).
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from truehang.catalogue._read import CatalogueError
from truehang.catalogue.access import access_rule_sets
from truehang.catalogue.boards import boards
from truehang.catalogue.fasteners import board_rules, fasteners, nailing_rules
from truehang.catalogue.kits import kits
from truehang.catalogue.law import place_rules
from truehang.catalogue.leaves import leaves
from truehang.catalogue.materials import materials
from truehang.catalogue.noises import noises
from truehang.catalogue.own import TABLES, joined, read_own
from truehang.catalogue.packers import packers
from truehang.catalogue.parts import Parts
from truehang.catalogue.rates import rates
from truehang.catalogue.regions import regions
from truehang.catalogue.seals import seals, sound_offers
from truehang.catalogue.stock import mouldings
from truehang.catalogue.timber import code_sets, grades, sections
from truehang.catalogue.whole import wrong_with

__all__ = ["Catalogue", "CatalogueError", "load"]


@dataclass(frozen=True, slots=True)
class Catalogue(Parts):
    """Everything that can be bought, with the rules and words of each region. Raises CatalogueError
    where a part leans on another that is not there: a region is whole, or there is no catalogue."""

    def __post_init__(self) -> None:
        if wrong := wrong_with(self):
            raise CatalogueError("\n".join(wrong))


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
        nailing_rules=nailing_rules(),
        materials=materials(),
        noises=noises(),
        seals=seals(),
        sound_offers=sound_offers(),
        regions=regions(),
        rates=rates(),
        laws=place_rules(),
    )


def load(extra: Path | None = None) -> Catalogue:
    """The shipped catalogue, with the user's own laid over it: from the file `extra`, or from every
    file of that folder.

    A name that ends in .yaml or .yml is read as YAML, any other as TOML. Raises CatalogueError
    where one can't be read or used.
    """
    shipped = _shipped()
    if extra is None:
        return shipped
    own = read_own(extra)
    rates = {name: getattr(shipped.rates, name) for name in _kept(of_rates=True)}
    whole: dict[str, Any] = {name: getattr(shipped, name) for name in _kept(of_rates=False)}
    kept, mine = joined({**whole, **rates}, own)
    return replace(
        shipped,
        version=_hashed([("", shipped.version.encode()), *own.files]),
        rates=shipped.rates.model_copy(update={name: kept[name] for name in rates}),
        own=mine,
        **{name: kept[name] for name in whole},
    )


def _kept(*, of_rates: bool) -> list[str]:
    return [table.kept for table in TABLES.values() if table.of_rates == of_rates]


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
