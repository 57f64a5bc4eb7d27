"""What can be done at a prompt with a catalogue of one's own? Check it, import a price list."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from truehang.cli.shared import (
    WRONG,
    WRONG_JOB,
    AsJson,
    catalogue_with,
    fail,
    write_file,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from truehang.catalogue import Catalogue

GROUP = typer.Typer(
    name="catalogue", help="Your own kits, rates and price lists.", no_args_is_help=True
)
OwnFiles = Annotated[
    Path, typer.Argument(metavar="OWN", help="Your own file, or a folder of such files.")
]


@GROUP.command()
def check(path: OwnFiles, as_json: AsJson = False) -> None:
    """Say everything that is wrong with your own catalogue: file, line, field, value, mend; then
    whether each kit of yours can be planned over its whole range, and how much is yours."""
    from truehang.plain import to_json
    from truehang.plan.trial import trials

    bought = catalogue_with(path)
    mine = sorted(bought.own)
    found = trials(bought, [name.partition(" ")[2] for name in mine if name.startswith("kit ")])
    if as_json:
        typer.echo(to_json({"own": mine, "prices": len(bought.prices), "trials": found}, indent=1))
    else:
        for one in found:
            typer.echo(f"{one.kit}: {one.told}")
        typer.echo(f"{path}: nothing in it is wrong by itself; {len(mine)} things are your own, "
                   f"{len(bought.prices)} prices of a list")  # fmt: skip
    raise typer.Exit(0 if all(one.fits for one in found) else WRONG_JOB)


@GROUP.command("import")
def import_(
    path: Annotated[Path, typer.Argument(metavar="LIST", help="The price list: CSV or XLSX.")],
    into: Annotated[Path, typer.Option("--into", help="The folder of your own files.")],
    supplier: Annotated[str, typer.Option(help="Who sent it.")],
    date: Annotated[str, typer.Option(help="The day it holds from: 2026-03-02.")],
    currency: Annotated[str, typer.Option(help="The currency of its prices: AUD.")],
    columns: Annotated[
        str, typer.Option(help="Which column is what, the first time: price=Net,code=Item.")
    ] = "",
    match: Annotated[
        list[str] | None,
        typer.Option(help="Which id a code of theirs is here, once: D-35=solid-35."),
    ] = None,
) -> None:
    """Import a price list: all of it or nothing. Columns and codes are said once and remembered."""
    import datetime

    from truehang.catalogue import CatalogueError, pricelist

    try:
        day = datetime.date.fromisoformat(date)
    except ValueError:
        fail(WRONG, f"--date {date!r}: give year-month-day, as in 2026-03-02")
    if not (len(currency) == 3 and currency.isalpha() and currency.isupper()):
        fail(WRONG, f"--currency {currency!r}: give three capitals, as in AUD")
    bought = catalogue_with(into if any(into.glob("*.[ty]*ml")) else None)
    known = pricelist.remembered_of(into, supplier)
    said = pricelist.Remembered(
        {**known.columns, **_pairs("--columns", columns.split(","))},
        {**known.codes, **_pairs("--match", match or [])},
    )
    strange = [id for id in said.codes.values() if id not in set(names(bought))]
    if strange:
        fail(WRONG, f"--match: the catalogue has no {', '.join(map(repr, strange))}")
    try:
        found = pricelist.read_list(path, names(bought), said, _progress)
    except CatalogueError as wrong:
        fail(WRONG_JOB, str(wrong))
    if not found.rows:
        fail(WRONG_JOB, f"{path}: nothing in it is in the catalogue; say once which code is what: "
             "--match CODE=ID. Nothing was imported")  # fmt: skip
    into.mkdir(parents=True, exist_ok=True)
    safe = "".join(c if c.isalnum() else "-" for c in supplier.lower())
    write_file(into / f"prices-{safe}.yaml", pricelist.as_file(found, supplier, currency, day))
    held = pricelist.Remembered({**said.columns, **found.columns}, said.codes)
    write_file(into / "columns.yaml.txt", pricelist.remember(into, supplier, held))
    typer.echo(f"{len(found.rows)} prices imported into {into / f'prices-{safe}.yaml'}")
    for number, name in found.unmatched[:50]:
        typer.echo(f"  not matched, line {number}: {name}")
    more = len(found.unmatched) - 50
    if more > 0:
        typer.echo(f"  and {more} more that are not matched")
    raise typer.Exit(0)


def names(bought: Catalogue) -> Iterator[str]:
    """Everything that a price can be of."""
    yield from (kit.id for kit in bought.kits)
    yield from (f"{kit.id}.soft-close" for kit in bought.kits if kit.soft_close)
    yield from (f"{kit.id}.{part}" for kit in bought.kits if kit.site_parts
                for part in ("track", "set"))  # fmt: skip
    yield from (leaf.id for leaf in bought.leaves)
    yield from (seal.key for seal in bought.seals)
    yield from (board.code for board in bought.boards)
    yield from (one.id for one in bought.fasteners)
    yield from (good.id for good in bought.rates.good)
    for section in bought.timber_sections:
        yield from _lengths(section.code, section.stock_lengths)
    for moulding in bought.mouldings:
        yield from _lengths(moulding.code, moulding.stock_lengths)


def _lengths(code: str, lengths: tuple[float, ...]) -> Iterator[str]:
    """A metre of it, and each of its lengths."""
    yield code
    yield from (f"{code} @ {length:g}" for length in lengths)


def _pairs(option: str, given: list[str]) -> dict[str, str]:
    pairs = {}
    for text in filter(None, given):
        name, mark, value = text.partition("=")
        if not mark or not name.strip() or not value.strip():
            fail(WRONG, f"{option} {text!r}: write NAME=VALUE")
        pairs[name.strip()] = value.strip()
    return pairs


def _progress(rows: int) -> None:
    typer.echo(f"\r{rows:,} lines read", nl=False, err=True)
