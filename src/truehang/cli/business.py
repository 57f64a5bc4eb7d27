"""Who sends the quote? The business file, checked at a prompt."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from truehang.cli.shared import WRONG_JOB, AsJson, fail

GROUP = typer.Typer()


@GROUP.command()
def business(
    path: Annotated[Path, typer.Argument(metavar="FILE", help="Your business file (TOML).")],
    as_json: AsJson = False,
) -> None:
    """Check the file of your business: its name, numbers, bank and terms. Keep it out of jobs."""
    from truehang.catalogue import CatalogueError
    from truehang.catalogue.business import IDS, read_business
    from truehang.plain import to_json

    try:
        made = read_business(path)
    except CatalogueError as wrong:
        fail(WRONG_JOB, str(wrong))
    if as_json:
        typer.echo(to_json(made, indent=1))
        return
    typer.echo(f"{made.name}, {', '.join(made.address)}, {made.country}")
    for kind in made.ids:
        typer.echo(f"  {kind} {made.number(kind)}: a well-made {IDS[kind][1]}")
    if made.bank is None:
        typer.echo("  no bank: an invoice can't say where to pay")
    typer.echo(f"  {len(made.terms)} terms, {len(made.exclusions)} exclusions")
