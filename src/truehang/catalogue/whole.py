"""Is the catalogue whole? What one part leans on must be in another, and a region must have
everything that a plan asks of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import get_args

from truehang.catalogue.parts import Parts
from truehang.catalogue.regions import Region
from truehang.catalogue.stock import Moulding

LEAST_STUD = 60.0
"""Depth under which nothing is a stud, mm (common practice, no source)."""
LEAST_DEEP = 70.0
"""Depth under which no timber is put in as a head or a stud, mm (common practice, no source)."""
SAME = 0.5
"""Sizes that differ by less are one, mm."""
KINDS: tuple[str, ...] = get_args(Moulding.model_fields["kind"].annotation)


def wrong_with(catalogue: Parts) -> list[str]:
    """What is missing or there twice, a line each; empty where the catalogue is whole."""
    return [
        *_twice(catalogue),
        *_timber(catalogue),
        *_boards(catalogue),
        *_panes(catalogue),
        *_places(catalogue),
        *(line for region in catalogue.regions for line in _region(catalogue, region)),
    ]


def _twice(catalogue: Parts) -> Iterator[str]:
    tables: dict[str, Iterable[str]] = {
        "kit": (one.id for one in catalogue.kits),
        "leaf": (one.id for one in catalogue.leaves),
        "seal": (one.key for one in catalogue.seals),
        "material": (one.key for one in catalogue.materials),
        "fastener": (one.id for one in catalogue.fasteners),
        "access rule set": (one.id for one in catalogue.access_rules),
        "board rule": (one.id for one in catalogue.board_rules),
        "nailing rule": (one.id for one in catalogue.nailing_rules),
        "timber code": (one.code for one in catalogue.timber_codes),
        "grade": (one.code for one in catalogue.timber_grades),
        "section or moulding": (
            *(one.code for one in catalogue.timber_sections),
            *(one.code for one in catalogue.mouldings),
        ),
        "board": (one.code for one in catalogue.boards),
        "region": (one.id for one in catalogue.regions),
    }
    for what, names in tables.items():
        for name, count in Counter(names).items():
            if count > 1:
                yield f"{what} {name}: there are {count} of that name; give each its own"


def _timber(catalogue: Parts) -> Iterator[str]:
    codes = {code.code: code for code in catalogue.timber_codes}
    grades = {grade.code for grade in catalogue.timber_grades}
    for grade in catalogue.timber_grades:
        code = codes.get(grade.design_code)
        if code is None:
            yield f"grade {grade.code}: there is no timber code {grade.design_code!r}"
        elif grade.kind not in code.shape or any(
            grade.kind not in method.resistance for method in code.method.values()
        ):
            yield f"timber code {code.code}: no shape or resistance for {grade.kind} timber"
    for section in catalogue.timber_sections:
        if section.grade not in grades:
            yield f"section {section.code}: there is no grade {section.grade!r}"


def _boards(catalogue: Parts) -> Iterator[str]:
    materials = {material.key for material in catalogue.materials}
    for board in catalogue.boards:
        if board.material not in materials:
            yield f"board {board.code}: there is no material {board.material!r}"


def _panes(catalogue: Parts) -> Iterator[str]:
    glass = [material.key for material in catalogue.materials if material.kind == "glass"]
    for leaf in catalogue.leaves:
        if leaf.glazing is not None and leaf.glazing.glass not in glass:
            yield (
                f"leaf {leaf.id}: there is no glass {leaf.glazing.glass!r}; known: "
                f"{', '.join(glass)}"
            )


def _places(catalogue: Parts) -> Iterator[str]:
    known = {region.id for region in catalogue.regions}
    places = [(f"kit {kit.id}", set(kit.here)) for kit in catalogue.kits]
    places += [(f"leaf {leaf.id}", set(leaf.here)) for leaf in catalogue.leaves]
    for name, here in places:
        for place in sorted(here - known):
            yield f"{name}: here.{place}: there is no region {place!r}"


def _fixings(catalogue: Parts, region: Region) -> Iterator[str]:
    sold = {(one.kind, one.into) for one in catalogue.fasteners_in(region)}
    for kind, into in sorted({(one.kind, one.into) for one in catalogue.fasteners} - sold):
        yield f"region {region.id}: no {kind} into {into} is sold in {region.fixings} sizes"
    if not any(one.range == region.fixings for one in catalogue.packers):
        yield f"region {region.id}: no packers are sold in {region.fixings} sizes"


def _made_on_site(catalogue: Parts, region: Region) -> Iterator[str]:
    """What a pocket that is made up for each region is cut from must be sold there."""
    battens = {
        tuple(sorted(size))
        for size in (
            *((m.thickness, m.width) for m in catalogue.mouldings_in(region)),
            *((s.breadth, s.depth) for s in catalogue.timber_in(region).sections),
        )
    }
    studs = {s.breadth for s in catalogue.timber_in(region).sawn if s.depth >= LEAST_STUD}
    for shipped, kit in zip(catalogue.kits, catalogue.kits_in(region), strict=True):
        if kit.frame != "site-built" or not shipped.here:
            continue
        where = f"region {region.id}: kit {kit.id}"
        for rib in kit.rib_stock:
            size = sorted((rib, kit.rib_width))
            if not any(abs(size[0] - a) <= SAME and abs(size[1] - b) <= SAME for a, b in battens):
                yield f"{where}: no batten {rib:g} x {kit.rib_width:g} is sold in {region.currency}"
        for name in ("back_stud", "closing_jamb"):
            if not any(abs(getattr(kit, name) - breadth) <= SAME for breadth in studs):
                yield f"{where}: {name}: no timber {getattr(kit, name):g} thick is sold there"
        piece = kit.head_depth / kit.head_pieces
        if not any(abs(piece - breadth) <= SAME for breadth in studs):
            yield f"{where}: head_depth: no timber {piece:g} thick is sold there to lay flat"


def _region(catalogue: Parts, region: Region) -> Iterator[str]:
    named = (
        ("access rule set", region.access_rules, [one.id for one in catalogue.access_rules]),
        ("timber code", region.timber_code, [one.code for one in catalogue.timber_codes]),
        ("board rule", region.board_rule, [one.id for one in catalogue.board_rules]),
        ("nailing rule", region.nailing_rule, [one.id for one in catalogue.nailing_rules]),
    )
    for what, wanted, known in named:
        if wanted not in known:
            yield f"region {region.id}: there is no {what} {wanted!r}; known: {', '.join(known)}"
    design = {grade.code: grade.design_code for grade in catalogue.timber_grades}
    sawn = [
        section
        for section in catalogue.timber_in(region).sawn
        if design[section.grade] == region.timber_code and section.depth >= LEAST_DEEP
    ]
    if not sawn:
        yield (
            f"region {region.id}: no sawn timber of {region.timber_code} is sold in "
            f"{region.currency}, {LEAST_DEEP:g} deep or more"
        )
    kinds = {moulding.kind for moulding in catalogue.mouldings_in(region)}
    for kind in KINDS:
        if kind not in kinds:
            yield f"region {region.id}: no {kind} is sold in {region.currency}"
    yield from _fixings(catalogue, region)
    yield from _made_on_site(catalogue, region)
    for use in ("lining", "panel"):
        if not any(board.use == use for board in catalogue.boards_in(region)):
            yield f"region {region.id}: no {use} board is sold in {region.currency}"
