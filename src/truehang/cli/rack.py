"""What can be done at a prompt with the offcut rack? List it, put on it, take off it, let go."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from truehang.cutting import Rack, RackPiece

from truehang.cli.shared import NOT_WRITTEN, WRONG, WRONG_JOB

GROUP = typer.Typer(
    name="rack", help="The offcuts that lie on the rack, in a file of yours.", no_args_is_help=True
)

Print = Annotated[
    str,
    typer.Option(
        "--print",
        metavar="STYLE",
        help="mm or feet-inches; else as the job prints where the section is sold.",
    ),
]
RackFile = Annotated[Path, typer.Argument(metavar="FILE", help="The rack file (rack.yaml).")]


@contextmanager
def told() -> Iterator[None]:
    """Says what is wrong with a rack or a change of it, and ends the command."""
    from truehang.cutting import RackConflict, RackError
    from truehang.rackfile import RackUnreadable, RackUnwritten

    try:
        yield
    except RackError as wrong:
        typer.echo(str(wrong), err=True)
        if isinstance(wrong, RackUnreadable):
            raise typer.Exit(WRONG_JOB) from None
        unwritten = isinstance(wrong, RackConflict | RackUnwritten)
        raise typer.Exit(NOT_WRITTEN if unwritten else WRONG) from None


@GROUP.command("list")
def list_(
    path: RackFile,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON for scripts.")] = False,
    style: Print = "",
) -> None:
    """Say what lies on the rack, and which job holds what."""
    from truehang import rackfile

    length = _teller(style)
    with told():
        rack = rackfile.read(path)
    if as_json:
        from truehang.plain import to_json

        typer.echo(to_json(rack, indent=1))
    else:
        from rich.console import Console

        from truehang.summary import print_rack

        wide = None if sys.stdout.isatty() else 110
        print_rack(rack, length, Console(width=wide, no_color=wide is not None, highlight=False))


@GROUP.command()
def put(
    path: RackFile,
    section: Annotated[str, typer.Argument(help="What it is a piece of: 'MGP10 45x90'.")],
    lengths: Annotated[list[str], typer.Argument(metavar="LENGTH...", help="1200, 2.1m, 4' 2\".")],
    came_from: Annotated[str, typer.Option("--from", help="Where the pieces come from.")] = "",
    style: Print = "",
) -> None:
    """Put pieces on the rack; each gets the number to write on it. Begins the file if need be."""
    from truehang import rackfile

    length = _teller(style)
    _known(section)
    found = [(section, _length(text)) for text in lengths]
    with told():
        before: set[str] = set()

        def make(rack: Rack) -> Rack:
            before.update(piece.id for piece in rack.pieces)
            return rack.put(found, came_from)

        rack = rackfile.change(path, make, begin=True)
    for piece in rack.pieces:
        if piece.id not in before:
            typer.echo(f"{piece.id}: {piece.section}, {length(piece)}")


@GROUP.command()
def take(
    path: RackFile,
    ids: Annotated[list[str], typer.Argument(metavar="PIECE...", help="Their numbers: R1 R2.")],
    job: Annotated[str, typer.Option("--job", help="The job that used them.")] = "",
) -> None:
    """Take pieces off the rack: used up by a job, or thrown away. Each leaves once."""
    from truehang import rackfile

    with told():
        rackfile.change(path, lambda rack: rack.take(ids, job))
    typer.echo(f"{', '.join(ids)} taken off")


@GROUP.command()
def release(
    path: RackFile,
    job: Annotated[str, typer.Argument(metavar="JOB", help="The job's name, as the list says it.")],
) -> None:
    """Let go of every piece that a job holds, so that other jobs may use it."""
    from truehang import rackfile

    let_go: list[str] = []

    def make(rack: Rack) -> Rack:
        let_go.extend(piece.id for piece in rack.pieces if piece.held_by == job)
        return rack.release(job)

    with told():
        rackfile.change(path, make)
    typer.echo(f"{', '.join(let_go) or 'nothing'} let go")


def _teller(style: str) -> Callable[[RackPiece], str]:
    """Says how long a piece is: as asked, else as lengths are printed where its section is sold."""
    from truehang import catalogue
    from truehang.lengths import TAPE, Length

    if style:
        wanted = next((known for known in TAPE if known == style), None)
        if wanted is None:
            typer.echo(f"--print {style!r}: give one of {', '.join(TAPE)}", err=True)
            raise typer.Exit(WRONG)
        return lambda piece: Length(piece.length_mm).printed(wanted)
    printed = catalogue.load().printed
    return lambda piece: Length(piece.length_mm).printed(printed(piece.section))


def _known(section: str) -> None:
    """Only what is cut somewhere may hang there, or a misspelt piece would never be used."""
    from difflib import get_close_matches

    from truehang import catalogue

    bought = catalogue.load()
    sold = sorted({code for region in bought.regions for code in bought.cut_in(region)})
    if section not in sold:
        lower = {name.lower(): name for name in sold}
        near = [lower[n] for n in get_close_matches(section.lower(), lower, n=5, cutoff=0.3)]
        near = near or [name for name in sold if section.lower()[:4] in name.lower()] or sold
        typer.echo(
            f"SECTION {section!r}: the catalogue has no such timber or trim; near: "
            f"{', '.join(near)}",
            err=True,
        )
        raise typer.Exit(WRONG)


def _length(text: str) -> float:
    from truehang.lengths import LengthError, parse_length

    try:
        return parse_length(text)
    except LengthError as wrong:
        typer.echo(f"LENGTH {text!r}: {wrong}", err=True)
        raise typer.Exit(WRONG) from None
