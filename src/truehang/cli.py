"""What can be asked for at a prompt? Reads files, prints plans, writes packs.

Everything heavy is imported inside the command that needs it, so that `--help` stays quick.
Exit codes: 0 all well, 1 a stop stands and what is printed is a draft, 2 the command is wrong,
3 the job file is wrong, 4 something could not be written.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from truehang import cli_rack
from truehang.web import commands

if TYPE_CHECKING:
    from rich.console import Console

    from truehang.catalogue import Catalogue
    from truehang.cutting import CutRules, CuttingPlan
    from truehang.job import Job
    from truehang.plan import Plan, Standing

STOPPED, WRONG_JOB, NOT_WRITTEN = 1, 3, 4

app = typer.Typer(
    name="truehang",
    help="From site readings to a pocket sliding door that can be built.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)

JobFile = Annotated[
    Path, typer.Argument(metavar="JOB", help="The job file (job.yaml), or - for standard input.")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON for scripts.")]
OwnKits = Annotated[
    Path | None, typer.Option("--kits", help="Your own kits, from their datasheets (TOML or YAML).")
]


def _version(show: bool) -> None:
    if show:
        from truehang import __version__

        typer.echo(__version__)
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None: ...


def _fail(code: int, *lines: str) -> NoReturn:
    for line in lines:
        typer.echo(line, err=True)
    raise typer.Exit(code)


def _console() -> Console:
    """Where people read: colours and boxes on a terminal, plain text down a pipe."""
    from rich.console import Console

    if sys.stdout.isatty():
        return Console()
    return Console(width=110, no_color=True, highlight=False, legacy_windows=False)


def _read(path: Path) -> bytes:
    from truehang.yamltree import MOST_BYTES

    # One byte more than is allowed, so that what is too large is seen and refused.
    try:
        if str(path) == "-":
            return sys.stdin.buffer.read(MOST_BYTES + 1)
        with (path / "job.yaml" if path.is_dir() else path).open("rb") as stream:
            return stream.read(MOST_BYTES + 1)
    except OSError as broken:
        _fail(WRONG_JOB, f"{path}: can't be read ({broken.strerror}); name a job file")


def _job(path: Path, bought: Catalogue) -> Job:
    from truehang.job import JobError, load

    try:
        return load(_read(path), bought)
    except JobError as wrong:
        _fail(WRONG_JOB, *(f"{path}: {problem}" for problem in wrong.problems))


def _bought(kits: Path | None) -> Catalogue:
    """The catalogue that a command works with: the shipped one, with the user's own file."""
    from truehang import catalogue

    try:
        return catalogue.load(kits)
    except catalogue.CatalogueError as wrong:
        _fail(WRONG_JOB, str(wrong))


def _plan(path: Path, bought: Catalogue) -> Plan:
    return _planned(_job(path, bought), bought)


def _planned(job: Job, bought: Catalogue) -> Plan:
    from truehang.plan import plan

    return plan(job, bought)


def _told(standing: Standing, answer: object) -> None:
    """An answer as JSON, with what stands in the way first."""
    import json

    from truehang.plan import told

    typer.echo(json.dumps(told(standing, answer), ensure_ascii=False, indent=1, allow_nan=False))


def _end(standing: Standing, well: bool = True) -> NoReturn:
    """End a command that gave marks, sizes, orders or prices."""
    raise typer.Exit(STOPPED if standing.draft or not well else 0)


def _write(path: Path, content: str | bytes) -> None:
    import os
    import tempfile

    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "wb") as stream:
            stream.write(content if isinstance(content, bytes) else content.encode())
        os.chmod(name, 0o644)
        os.replace(name, path)
    except OSError as broken:
        _fail(NOT_WRITTEN, f"{path}: can't be written ({broken.strerror}); choose another place")


@app.command()
def new(
    path: Annotated[Path, typer.Argument(help="The job file to write.")] = Path("job.yaml"),
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is there.")] = False,
    situation: Annotated[
        str,
        typer.Option(
            help="What is done to the wall: fill-opening, beside-opening, new-opening or new-wall."
        ),
    ] = "",
) -> None:
    """Write a commented job file to fill in, for what is done to the wall."""
    from truehang.job import starter
    from truehang.situations import SITUATIONS

    ways = [f"  {one.key:<15} {one.name}. {one.words}" for one in SITUATIONS]
    if situation and situation not in {one.key for one in SITUATIONS}:
        _fail(2, "\n".join([f"--situation {situation!r}: there is none; choose one of", *ways]))
    if path.exists() and not force:
        _fail(NOT_WRITTEN, f"{path} is there already; choose another name, or add --force")
    _write(path, starter(situation))
    if not situation:
        typer.echo("\n".join(["What is done to the wall? Set wall.situation to", *ways]))
        typer.echo("The file begins with the first of them as its example.")
    typer.echo(f"{path} written. Fill in the readings, then: truehang check {path}")


@app.command()
def check(path: JobFile, as_json: AsJson = False, kits: OwnKits = None) -> None:
    """Say everything that is wrong with a job file, with its line and the mend; then whether it
    can be planned, and what stands in the way."""
    from truehang.job import examine
    from truehang.plain import to_json
    from truehang.plan import complete

    bought = _bought(kits)
    job, problems = examine(_read(path), bought)
    planned = None if job is None else _planned(job, bought)
    made = None if planned is None else complete(planned, bought)
    if made is None:
        if as_json:
            typer.echo(to_json({"standing": None, "problems": problems}, indent=1))
        for problem in () if as_json else problems:
            typer.echo(f"{path}: {problem}")
        raise typer.Exit(WRONG_JOB)
    if as_json:
        _told(made.standing, {"problems": ()})
    else:
        from truehang.summary import print_standing

        typer.echo(f"{path}: the file can be read, and nothing in it is wrong by itself")
        print_standing(made.standing, _console(), warnings=made.findings)
    _end(made.standing)


@app.command()
def plan(path: JobFile, as_json: AsJson = False, kits: OwnKits = None) -> None:
    """Plan the job: what was measured, what fits, where the marks go, what to watch."""
    made = _plan(path, _bought(kits))
    if as_json:
        _told(made.standing, made)
    else:
        from truehang.summary import print_plan

        print_plan(made, _console())
    _end(made.standing)


@app.command()
def options(path: JobFile, as_json: AsJson = False, kits: OwnKits = None) -> None:
    """Every arrangement that fits, with what each wins and loses."""
    made = _plan(path, _bought(kits))
    if as_json:
        _told(made.standing, {"weighed": made.weighed, "refusals": made.options.refusals})
    else:
        from truehang.summary import print_options

        print_options(made, _console())
    _end(made.standing, bool(made.weighed))


@app.command()
def why(
    path: JobFile,
    key: Annotated[
        str, typer.Argument(help="A figure, e.g. fit.frame_width; leave out to list.")
    ] = "",
    as_json: AsJson = False,
    kits: OwnKits = None,
) -> None:
    """Print the chain of inputs, rules and sources behind a figure."""
    from truehang.summary import print_figures, print_why

    made = _plan(path, _bought(kits))
    if key and key not in made.figures:
        from difflib import get_close_matches

        near = get_close_matches(key, list(made.figures), n=5, cutoff=0.4)
        _fail(2, f"no figure is called {key!r}", *(f"  near: {name}" for name in near))
    if as_json:
        rows = made.figures.chain(key) if key else tuple(made.figures.values())
        _told(made.standing, {"figures": rows})
    elif key:
        print_why(made, key, _console())
    else:
        print_figures(made, _console())
    _end(made.standing)


@app.command()
def pack(
    path: JobFile,
    out: Annotated[Path, typer.Option("-o", "--out", help="The folder to write the pack to.")],
    kits: OwnKits = None,
) -> None:
    """Write the pack: papers for site and office, the rod at 1:1, drawings as SVG and DXF."""
    from truehang.plan import complete

    bought = _bought(kits)
    made = complete(_plan(path, bought), bought)
    _say_first(made)
    _write_pack(made, out)
    _end(made.standing)


def _say_first(made: Plan) -> None:
    """What stands in the way, where the answer itself goes into files."""
    from rich.console import Console

    from truehang.summary import print_standing

    print_standing(made.standing, Console(stderr=True, highlight=False))


def _write_pack(made: Plan, out: Path) -> None:
    from rich.console import Console

    from truehang.pack import PackError, write

    talk = Console(stderr=True)
    try:
        with talk.status("making the pack") as status:
            files = write(made, out, progress=lambda text: status.update(text))
    except PackError as broken:
        _fail(NOT_WRITTEN, str(broken))
    for file in files:
        typer.echo(str(file))


@app.command()
def cut(
    paths: Annotated[list[Path], typer.Argument(metavar="JOB...", help="One or more job files.")],
    rack: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Use this rack, not the offcuts in the job files."),
    ] = None,
    hold: Annotated[
        bool, typer.Option("--hold", help="Keep the rack's pieces for these jobs until sawn.")
    ] = False,
    done: Annotated[
        bool,
        typer.Option("--done", help="It is sawn: what was held is gone, what is kept hangs there."),
    ] = False,
    seconds: Annotated[
        float | None,
        typer.Option(
            min=0.1,
            help="Stop looking after this much processor time for each section; not with a rack.",
        ),
    ] = None,
    kerf: Annotated[str, typer.Option(metavar="LENGTH", help="What a saw cut takes.")] = "3",
    keep: Annotated[
        str, typer.Option(metavar="LENGTH", help="The shortest offcut worth keeping.")
    ] = "600",
    as_json: AsJson = False,
    kits: OwnKits = None,
) -> None:
    """Cut the timber and trim of one job, or of several pooled, from the least that is bought."""
    from truehang.cutting import CutRules, Effort
    from truehang.plan import cut as cut_plans
    from truehang.plan import pooled
    from truehang.plan.spelled import spelled_as

    _allowed(rack, hold, done, seconds)
    (kerf_mm,), (keep_mm,) = _lengths("--kerf", kerf, 1), _lengths("--keep", keep, 1)
    rules = CutRules(kerf_mm=kerf_mm, keep_mm=keep_mm)
    bought = _bought(kits)
    plans = [_plan(path, bought) for path in paths]
    names = [plan.job.job.name for plan in plans]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        _fail(2, f"JOB: two of the files are the job {twice[0]}; name each job once")
    found = [(plan.job.job.name, plan.findings) for plan in plans]
    if (hold or done) and (stands := pooled(found)).draft:
        _refuse(stands, "the rack was not changed")
    if rack is not None:
        raw = _cut_on_rack(plans, bought, names, rack, rules, hold, done)
    else:
        raw = cut_plans(plans, bought, effort=Effort(seconds=seconds), rules=rules)
    made = spelled_as(raw, plans[0].say)
    standing = pooled([*found, ("", made.findings)])
    if as_json:
        _told(standing, made)
    else:
        from truehang.summary import print_cutting

        print_cutting(made, standing, plans[0].style, _console())
    _end(standing, not made.uncut)


def _refuse(standing: Standing, what: str) -> NoReturn:
    """Nothing is done while a stop stands; which one is said."""
    from rich.console import Console

    from truehang.summary import print_standing

    print_standing(standing, Console(stderr=True, highlight=False))
    _fail(STOPPED, what)


def _allowed(rack: Path | None, hold: bool, done: bool, seconds: float | None) -> None:
    """Which options go together. What is held is planned again when it is sawn and has to come
    out the same, which a plan cut short by a clock may not."""
    if rack is None and (hold or done):
        _fail(2, "--hold and --done are about a rack; name its file with --rack FILE")
    if hold and done:
        _fail(2, "--hold is for before the saw and --done for after it; give one of them")
    if seconds is not None and rack is not None:
        _fail(2, "--seconds does not go with --rack: what is held must be planned alike again")


def _cut_on_rack(
    plans: list[Plan],
    bought: Catalogue,
    names: list[str],
    path: Path,
    rules: CutRules,
    hold: bool,
    done: bool,
) -> CuttingPlan:
    """The cutting plan from a rack file, which is changed where the pieces are held or sawn."""
    from truehang import rackfile
    from truehang.plan import cut_and_hold, cut_done

    with cli_rack.told():
        stored = rackfile.read(path)
        made, after = (cut_done if done else cut_and_hold)(plans, bought, stored, names, rules)
        if hold or done:
            if made.uncut:
                _fail(STOPPED, f"not every part can be cut ({', '.join(made.uncut)}); "
                      "the rack was not changed")  # fmt: skip
            rackfile.change(path, lambda _: after, seen=stored.version)
    return made


@app.command()
def boards(path: JobFile, as_json: AsJson = False, kits: OwnKits = None) -> None:
    """Boards to buy for the lining, and the pieces of each face."""
    from truehang.plan import complete

    bought = _bought(kits)
    made = complete(_plan(path, bought), bought)
    if as_json:
        _told(made.standing, {"lining": made.lining})
    else:
        from truehang.summary import print_boards

        print_boards(made, _console())
    _end(made.standing)


@app.command()
def model(
    path: JobFile,
    out: Annotated[Path, typer.Option("-o", "--out", metavar="FILE", help="FILE.glb or FILE.ifc")],
    kits: OwnKits = None,
) -> None:
    """Write the wall with its leaves as a model: glTF to look at, IFC 4 for building models."""
    from truehang.pack.ifc import IfcMissing, NothingToModel
    from truehang.pack.model import UnknownEnding
    from truehang.pack.model import model as model_of

    made = _plan(path, _bought(kits))
    _say_first(made)
    try:
        data = model_of(made, out.name)
    except (UnknownEnding, IfcMissing) as wrong:
        _fail(2, str(wrong))
    except NothingToModel as wrong:
        _fail(STOPPED, str(wrong))
    _write(out, data)
    typer.echo(str(out))
    _end(made.standing)


@app.command()
def turns(
    path: JobFile,
    gap: Annotated[
        list[str],
        typer.Option(
            "--gap",
            help="Gaps read under a closed leaf: NAME=LEADING/TRAILING, e.g. 'left leaf=9/11.5'.",
        ),
    ],
    floor_down: Annotated[
        bool,
        typer.Option(
            "--floor-down", help="The gaps were read over the finished floor (floor.to_come laid)."
        ),
    ] = False,
    meeting: Annotated[
        str, typer.Option("--meeting", help="Where a pair meets: TOP/BOTTOM or TOP/BOTTOM/STEP.")
    ] = "",
    as_json: AsJson = False,
    kits: OwnKits = None,
) -> None:
    """Say which hanger bolts to turn, and how far, from the gaps read on the hung leaves."""
    from truehang.hardware import HardwareError, MeetingGaps
    from truehang.plan.hang import turns as turns_of
    from truehang.plan.spelled import spelled_as
    from truehang.summary import print_turns

    bought = _bought(kits)
    made = _plan(path, bought)
    fit, floor = made.arrangement, made.measured.floor
    if fit is None or floor is None:
        _fail(STOPPED, "nothing fits, or the floor was not read, so there is nothing to hang true")
    read = {}
    for text in gap:
        name, _, numbers = text.rpartition("=")
        leading, trailing = _lengths("--gap", numbers, 2)
        read[name.strip()] = (leading, trailing)
    edges = _lengths("--meeting", meeting, 2, 3) if meeting else ()
    kit = bought.kit_in(made.region, fit.kit_id)
    try:
        edge_gaps = MeetingGaps(*edges) if edges else None
        to_come = 0.0 if floor_down else fit.floor_to_come
        raw = turns_of(fit, kit, floor, to_come, read, edge_gaps)
    except HardwareError as wrong:
        _fail(2, made.say(str(wrong)))
    answer = spelled_as(raw, made.say)
    if as_json:
        _told(made.standing, answer)
    else:
        print_turns(answer, made.standing, made.style, _console())
    _end(made.standing, answer.within_range)


def _lengths(option: str, text: str, *counts: int) -> tuple[float, ...]:
    from truehang.lengths import LengthError, parse_length

    try:
        numbers = tuple(parse_length(part) for part in text.split("/"))
    except LengthError as wrong:
        _fail(2, f"{option} {text!r}: {wrong}")
    if len(numbers) not in counts:
        wanted = " or ".join(map(str, counts))
        _fail(2, f"{option} {text!r}: {len(numbers)} numbers; give {wanted}, parted by /")
    return numbers


@app.command()
def schema() -> None:
    """Print the JSON Schema of the job file."""
    import json

    from truehang.job import schema as job_schema

    typer.echo(json.dumps(job_schema(), ensure_ascii=False, indent=1))


@app.command()
def demo(
    name: Annotated[
        str,
        typer.Argument(
            help="fernhollow, granary-hall, millrace-cottage, quarry-house or tannery-lofts."
        ),
    ] = "fernhollow",
    out: Annotated[Path, typer.Option("-o", "--out", help="Where to put it.")] = Path("build"),
) -> None:
    """Plan an invented demo job and write its file and pack."""
    from truehang.demo import files, names
    from truehang.job import load
    from truehang.plan import complete
    from truehang.plan import plan as plan_job
    from truehang.summary import print_plan

    if name not in names():
        _fail(2, f"no demo is called {name!r}; there are {', '.join(names())}")
    bought = _bought(None)
    for file, text in files(name):
        folder = out / file.removesuffix(".yaml")
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as broken:
            _fail(NOT_WRITTEN, f"{folder}: can't be made ({broken.strerror}); choose another place")
        _write(folder / "job.yaml", text)
        made = complete(plan_job(load(text), bought), bought)
        print_plan(made, _console())
        _write_pack(made, folder / "pack")


for _command in (commands.serve, commands.devices, commands.backup, commands.restore):
    app.command()(_command)
app.add_typer(cli_rack.app)


def main() -> None:
    """Entry point of the `truehang` command."""
    _start_light()
    app()


def _start_light() -> None:
    """What costs a short command more than it does for it is left out."""
    import gc
    import os

    # Pydantic would read what every installed package says of itself, in search of plugins.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # Our matrices are small: more threads than one only wait for each other.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # Hardly anything here goes round in a circle; loading modules would look for it all the time.
    gc.set_threshold(200_000, 20, 20)


if __name__ == "__main__":
    main()
