"""What can be asked for at a prompt? Reads files, prints plans, writes packs.

Everything heavy is imported inside the command that needs it, so that `--help` stays quick.
A module beside this one that has a `GROUP` brings commands of its own: under the group's name, or
as they are where it has none.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from truehang.cli.rack import told as rack_told
from truehang.cli.shared import (
    NOT_WRITTEN,
    STOPPED,
    WRONG_JOB,
    AsJson,
    JobFile,
    OwnKits,
    answered_file,
    catalogue_with,
    console,
    end,
    fail,
    plan_file,
    planned,
    read_bytes,
    read_lengths,
    refuse,
    say_first,
    tell,
    write_file,
)
from truehang.lazily import listed
from truehang.web import commands

if TYPE_CHECKING:
    from truehang.catalogue import Catalogue
    from truehang.cutting import CutRules, CuttingPlan
    from truehang.plan import Plan

app = typer.Typer(
    name="truehang",
    help="From site readings to a pocket sliding door that can be built.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)


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
        fail(2, "\n".join([f"--situation {situation!r}: there is none; choose one of", *ways]))
    if path.exists() and not force:
        fail(NOT_WRITTEN, f"{path} is there already; choose another name, or add --force")
    write_file(path, starter(situation))
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

    bought = catalogue_with(kits)
    job, problems = examine(read_bytes(path), bought)
    made = None if job is None else complete(planned(job, bought), bought)
    if made is None:
        if as_json:
            typer.echo(to_json({"standing": None, "problems": problems}, indent=1))
        for problem in () if as_json else problems:
            typer.echo(f"{path}: {problem}")
        raise typer.Exit(WRONG_JOB)
    if as_json:
        tell(made.standing, {"problems": ()})
    else:
        from truehang.summary import print_standing

        typer.echo(f"{path}: the file can be read, and nothing in it is wrong by itself")
        print_standing(made.standing, console(), warnings=made.findings)
    end(made.standing)


@app.command()
def plan(path: JobFile, as_json: AsJson = False, kits: OwnKits = None) -> None:
    """Plan the job: what was measured, what fits, where the marks go, what to watch."""
    made = plan_file(path, catalogue_with(kits))
    if as_json:
        tell(made.standing, made)
    else:
        from truehang.summary import print_plan

        print_plan(made, console())
    end(made.standing)


@app.command()
def options(path: JobFile, as_json: AsJson = False, kits: OwnKits = None) -> None:
    """Every arrangement that fits, with what each wins and loses."""
    made = plan_file(path, catalogue_with(kits))
    if as_json:
        tell(made.standing, {"weighed": made.weighed, "refusals": made.options.refusals})
    else:
        from truehang.summary import print_options

        print_options(made, console())
    end(made.standing, bool(made.weighed))


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
    from truehang.plan.later import asked_for
    from truehang.summary import print_figures, print_why

    made = answered_file(path, kits, *asked_for(key))
    if key and key not in made.figures:
        from difflib import get_close_matches

        near = get_close_matches(key, list(made.figures), n=5, cutoff=0.4)
        fail(2, f"no figure is called {key!r}", *(f"  near: {name}" for name in near))
    if as_json:
        rows = made.figures.chain(key) if key else tuple(made.figures.values())
        tell(made.standing, {"figures": rows})
    elif key:
        print_why(made, key, console())
    else:
        print_figures(made, console())
    end(made.standing)


@app.command()
def pack(
    path: JobFile,
    out: Annotated[Path, typer.Option("-o", "--out", help="The folder to write the pack to.")],
    kits: OwnKits = None,
) -> None:
    """Write the pack: papers for site and office, the rod at 1:1, drawings as SVG and DXF."""
    from truehang.plan import complete

    bought = catalogue_with(kits)
    made = complete(plan_file(path, bought), bought)
    say_first(made)
    _write_pack(made, out)
    end(made.standing)


def _write_pack(made: Plan, out: Path) -> None:
    from rich.console import Console

    from truehang.pack import PackError, write

    talk = Console(stderr=True)
    try:
        with talk.status("making the pack") as status:
            files = write(made, out, progress=lambda text: status.update(text))
    except PackError as broken:
        fail(NOT_WRITTEN, str(broken))
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
    from truehang.message import voiced
    from truehang.plan import cut as cut_plans
    from truehang.plan import pooled

    _allowed(rack, hold, done, seconds)
    (kerf_mm,), (keep_mm,) = read_lengths("--kerf", kerf, 1), read_lengths("--keep", keep, 1)
    rules = CutRules(kerf_mm=kerf_mm, keep_mm=keep_mm)
    bought = catalogue_with(kits)
    plans = [plan_file(path, bought) for path in paths]
    names = [plan.job.job.name for plan in plans]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        fail(2, f"JOB: two of the files are the job {twice[0]}; name each job once")
    found = [(plan.job.job.name, plan.findings) for plan in plans]
    if (hold or done) and (stands := pooled(found)).draft:
        refuse(stands, "the rack was not changed")
    if rack is not None:
        raw = _cut_on_rack(plans, bought, rack, rules, hold, done)
    else:
        raw = cut_plans(plans, bought, effort=Effort(seconds=seconds), rules=rules)
    made = voiced(raw, plans[0].voice)
    standing = pooled([*found, ("", made.findings)])
    if as_json:
        tell(standing, made)
    else:
        from truehang.summary import print_cutting

        print_cutting(made, standing, plans[0].style, console())
    end(standing, not made.uncut)


def _allowed(rack: Path | None, hold: bool, done: bool, seconds: float | None) -> None:
    """Which options go together. What is held is planned again when it is sawn and has to come
    out the same, which a plan cut short by a clock may not."""
    if rack is None and (hold or done):
        fail(2, "--hold and --done are about a rack; name its file with --rack FILE")
    if hold and done:
        fail(2, "--hold is for before the saw and --done for after it; give one of them")
    if seconds is not None and rack is not None:
        fail(2, "--seconds does not go with --rack: what is held must be planned alike again")


def _cut_on_rack(
    plans: list[Plan],
    bought: Catalogue,
    path: Path,
    rules: CutRules,
    hold: bool,
    done: bool,
) -> CuttingPlan:
    """The cutting plan from a rack file, which is changed where the pieces are held or sawn."""
    from truehang import rackfile
    from truehang.plan import cut_and_hold, cut_done

    names = [plan.job.job.name for plan in plans]
    with rack_told():
        stored = rackfile.read(path)
        made, after = (cut_done if done else cut_and_hold)(plans, bought, stored, names, rules)
        if hold or done:
            if made.uncut:
                fail(STOPPED, f"not every part can be cut ({', '.join(made.uncut)}); "
                      "the rack was not changed")  # fmt: skip
            rackfile.change(path, lambda _: after, seen=stored.version)
    return made


@app.command()
def boards(path: JobFile, as_json: AsJson = False, kits: OwnKits = None) -> None:
    """Boards to buy for the lining, and the pieces of each face."""
    from truehang.plan import complete

    bought = catalogue_with(kits)
    made = complete(plan_file(path, bought), bought)
    if as_json:
        tell(made.standing, {"lining": made.lining})
    else:
        from truehang.summary import print_boards

        print_boards(made, console())
    end(made.standing)


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

    made = plan_file(path, catalogue_with(kits))
    say_first(made)
    try:
        data = model_of(made, out.name)
    except (UnknownEnding, IfcMissing) as wrong:
        fail(2, str(wrong))
    except NothingToModel as wrong:
        fail(STOPPED, str(wrong))
    write_file(out, data)
    typer.echo(str(out))
    end(made.standing)


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
    from truehang.message import voiced
    from truehang.plan.hang import turns as turns_of
    from truehang.summary import print_turns

    bought = catalogue_with(kits)
    made = plan_file(path, bought)
    fit, floor = made.arrangement, made.measured.floor
    if fit is None or floor is None:
        fail(STOPPED, "nothing fits, or the floor was not read, so there is nothing to hang true")
    read = {}
    for text in gap:
        name, _, numbers = text.rpartition("=")
        leading, trailing = read_lengths("--gap", numbers, 2)
        read[name.strip()] = (leading, trailing)
    edges = read_lengths("--meeting", meeting, 2, 3) if meeting else ()
    kit = bought.kit_in(made.region, fit.kit_id)
    try:
        edge_gaps = MeetingGaps(*edges) if edges else None
        to_come = 0.0 if floor_down else fit.floor_to_come
        raw = turns_of(fit, kit, floor, to_come, read, edge_gaps)
    except HardwareError as wrong:
        fail(2, made.say(str(wrong)))
    answer = voiced(raw, made.voice)
    if as_json:
        tell(made.standing, answer)
    else:
        print_turns(answer, made.standing, made.style, console())
    end(made.standing, answer.within_range)


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
            help="fernhollow, granary-hall, juniper-court, millrace-cottage, quarry-house or "
            "tannery-lofts."
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
        fail(2, f"no demo is called {name!r}; there are {', '.join(names())}")
    bought = catalogue_with(None)
    for file, text in files(name):
        folder = out / file.removesuffix(".yaml")
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as broken:
            fail(NOT_WRITTEN, f"{folder}: can't be made ({broken.strerror}); choose another place")
        write_file(folder / "job.yaml", text)
        made = complete(plan_job(load(text), bought), bought)
        print_plan(made, console())
        _write_pack(made, folder / "pack")


for _command in (commands.serve, commands.devices, commands.backup, commands.restore):
    app.command()(_command)
for _group in listed(__name__, "GROUP"):
    app.add_typer(_group)


def main() -> None:
    """Entry point of the `truehang` command."""
    _start_light()
    try:
        app()
    except OSError as broken:  # where no command knows better
        import errno
        import sys

        if broken.errno not in (errno.ENOSPC, errno.EDQUOT):
            raise
        place = broken.filename or "what was to be written"
        typer.echo(f"{place}: the disk is full ({broken.strerror}); make room", err=True)
        sys.exit(NOT_WRITTEN)


def _start_light() -> None:
    """What costs a short command more than it does for it is left out."""
    import gc
    import logging
    import os

    # A command tells its trouble once, in its own words; the log is for the server.
    logging.getLogger("truehang").addHandler(logging.NullHandler())
    # Pydantic would read what every installed package says of itself, in search of plugins.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # Our matrices are small: more threads than one only wait for each other.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # Hardly anything here goes round in a circle; loading modules would look for it all the time.
    gc.set_threshold(200_000, 20, 20)
