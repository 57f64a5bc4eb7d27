"""What do all commands share? How a job and a catalogue are read, and how an answer is told.

Exit codes: 0 all well, 1 a stop stands and what is printed is a draft, 2 the command is wrong,
3 the job file is wrong, 4 something could not be written.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

if TYPE_CHECKING:
    from rich.console import Console

    from truehang.catalogue import Catalogue
    from truehang.job import Job
    from truehang.plan import Plan, Standing

STOPPED, WRONG, WRONG_JOB, NOT_WRITTEN = 1, 2, 3, 4

JobFile = Annotated[
    Path, typer.Argument(metavar="JOB", help="The job file (job.yaml), or - for standard input.")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON for scripts.")]
OwnKits = Annotated[
    Path | None, typer.Option("--kits", help="Your own kits, from their datasheets (TOML or YAML).")
]


def fail(code: int, *lines: str) -> NoReturn:
    for line in lines:
        typer.echo(line, err=True)
    raise typer.Exit(code)


def console() -> Console:
    """Where people read: colours and boxes on a terminal, plain text down a pipe."""
    from rich.console import Console

    if sys.stdout.isatty():
        return Console()
    return Console(width=110, no_color=True, highlight=False, legacy_windows=False)


def read_bytes(path: Path) -> bytes:
    from truehang.yamltree import MOST_BYTES

    # One byte more than is allowed, so that what is too large is seen and refused.
    try:
        if str(path) == "-":
            return sys.stdin.buffer.read(MOST_BYTES + 1)
        with (path / "job.yaml" if path.is_dir() else path).open("rb") as stream:
            return stream.read(MOST_BYTES + 1)
    except OSError as broken:
        fail(WRONG_JOB, f"{path}: can't be read ({broken.strerror}); name a job file")


def read_job(path: Path, bought: Catalogue) -> Job:
    from truehang.job import JobError, load

    try:
        return load(read_bytes(path), bought)
    except JobError as wrong:
        fail(WRONG_JOB, *(f"{path}: {problem}" for problem in wrong.problems))


def catalogue_with(kits: Path | None) -> Catalogue:
    """The catalogue that a command works with: the shipped one, with the user's own file."""
    from truehang import catalogue

    try:
        return catalogue.load(kits)
    except catalogue.CatalogueError as wrong:
        fail(WRONG_JOB, str(wrong))


def plan_file(path: Path, bought: Catalogue) -> Plan:
    return planned(read_job(path, bought), bought)


def planned(job: Job, bought: Catalogue) -> Plan:
    from truehang.plan import plan as plan_job

    return plan_job(job, bought)


def answered_file(path: Path, kits: Path | None, *rooms: str) -> Plan:
    """The plan of a job file with the answers of these rooms, which are asked once it stands."""
    from truehang.plan import answered

    bought = catalogue_with(kits)
    return answered(plan_file(path, bought), bought, *rooms)


def tell(standing: Standing, answer: object) -> None:
    """An answer as JSON, with what stands in the way first."""
    import json

    from truehang.plan import told

    typer.echo(json.dumps(told(standing, answer), ensure_ascii=False, indent=1, allow_nan=False))


def end(standing: Standing, well: bool = True) -> NoReturn:
    """End a command that gave marks, sizes, orders or prices."""
    raise typer.Exit(STOPPED if standing.draft or not well else 0)


def write_file(path: Path, content: str | bytes) -> None:
    import os
    import tempfile

    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "wb") as stream:
            stream.write(content if isinstance(content, bytes) else content.encode())
        os.chmod(name, 0o644)
        os.replace(name, path)
    except OSError as broken:
        fail(NOT_WRITTEN, f"{path}: can't be written ({broken.strerror}); choose another place")


def say_first(made: Plan) -> None:
    """What stands in the way, where the answer itself goes into files."""
    from rich.console import Console

    from truehang.summary import print_standing

    print_standing(made.standing, Console(stderr=True, highlight=False))


def refuse(standing: Standing, what: str) -> NoReturn:
    """Nothing is done while a stop stands; which one is said."""
    from rich.console import Console

    from truehang.summary import print_standing

    print_standing(standing, Console(stderr=True, highlight=False))
    fail(STOPPED, what)


def read_lengths(option: str, text: str, *counts: int) -> tuple[float, ...]:
    from truehang.lengths import LengthError, parse_length

    try:
        numbers = tuple(parse_length(part) for part in text.split("/"))
    except LengthError as wrong:
        fail(2, f"{option} {text!r}: {wrong}")
    if len(numbers) not in counts:
        wanted = " or ".join(map(str, counts))
        fail(2, f"{option} {text!r}: {len(numbers)} numbers; give {wanted}, parted by /")
    return numbers
