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
from truehang.catalogue.access import access_rule_sets
from truehang.catalogue.boards import boards
from truehang.catalogue.fasteners import board_rules, fasteners, nailing_rules
from truehang.catalogue.kits import Kit, kits
from truehang.catalogue.leaves import LeafConstruction, leaves
from truehang.catalogue.materials import materials
from truehang.catalogue.noises import noises
from truehang.catalogue.packers import packers
from truehang.catalogue.parts import Parts
from truehang.catalogue.rates import rates
from truehang.catalogue.regions import regions
from truehang.catalogue.seals import Seal, seals, sound_offers
from truehang.catalogue.stock import mouldings
from truehang.catalogue.timber import code_sets, grades, sections
from truehang.catalogue.whole import wrong_with
from truehang.yamltree import MOST_BYTES, read_tree

__all__ = ["Catalogue", "CatalogueError", "load"]

_Own = TypeVar("_Own", Kit, LeafConstruction, Seal)
OWN_TABLES = ("kit", "leaf", "seal")


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
