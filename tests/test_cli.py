"""Does each command do what its help says, and say what is wrong when it can't?"""

from __future__ import annotations

import contextlib
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import Result
from typer.testing import CliRunner

from truehang import demo
from truehang.cli import app

FERNHOLLOW = dict(demo.files("fernhollow"))["fernhollow.yaml"]
MENDED = FERNHOLLOW.replace("at: bottom, value: 3450", "at: bottom, value: 3460")


def run(*arguments: str, cwd: Path, stdin: str = "") -> Result:
    """The command in this process; anything it raises but an exit is raised here."""
    with contextlib.chdir(cwd):
        return CliRunner().invoke(app, arguments, input=stdin, catch_exceptions=False)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "job.yaml").write_text(FERNHOLLOW, encoding="utf-8")
    return tmp_path


def test_new_writes_a_file_that_checks_clean_and_never_replaces_one(tmp_path: Path) -> None:
    assert run("new", "mine.yaml", cwd=tmp_path).exit_code == 0
    assert run("check", "mine.yaml", cwd=tmp_path).exit_code == 0
    before = (tmp_path / "mine.yaml").read_text()
    again = run("new", "mine.yaml", cwd=tmp_path)
    assert again.exit_code == 4
    assert "--force" in again.stderr
    assert (tmp_path / "mine.yaml").read_text() == before


def test_check_says_every_problem_with_line_field_value_and_mend(folder: Path) -> None:
    text = FERNHOLLOW.replace("run: 6264", "run: 6.264", 1).replace("revision: 1", "revison: 1")
    (folder / "job.yaml").write_text(text)
    bad = run("check", "job.yaml", cwd=folder)
    assert bad.exit_code == 3
    assert "line 12" in bad.stdout or "revison" in bad.stdout
    assert "revision" in bad.stdout
    assert "6264" in bad.stdout
    rows = json.loads(run("check", "job.yaml", "--json", cwd=folder).stdout)["problems"]
    assert {"line", "field", "value", "what", "mend"} <= set(rows[0])
    assert len(rows) == 2


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "empty"),
        ("a: [", "not YAML"),
        ("- 1", "not a mapping"),
        ("truehang: 1\njob: !!python/object:os.system x\n", "tag"),
        ("a: &x [1]\nb: *x\n", "anchor"),
    ],
)
def test_bad_files_are_refused_plainly(tmp_path: Path, text: str, said: str) -> None:
    for command in (("check", "-"), ("plan", "-"), ("pack", "-", "-o", "out")):
        bad = run(*command, cwd=tmp_path, stdin=text)
        assert bad.exit_code == 3
        assert said in bad.stdout + bad.stderr


def test_a_file_too_large_is_refused_before_it_is_read(tmp_path: Path) -> None:
    (tmp_path / "big.yaml").write_text("a: " + "x" * 10_000_000)
    bad = run("check", "big.yaml", cwd=tmp_path)
    assert bad.exit_code == 3
    assert "bytes" in bad.stdout


def test_a_missing_file_is_said(tmp_path: Path) -> None:
    bad = run("plan", "none.yaml", cwd=tmp_path)
    assert bad.exit_code == 3
    assert "none.yaml" in bad.stderr


def test_plan_pipes_cleanly_and_its_code_says_that_a_stop_stands(folder: Path) -> None:
    plain = run("plan", "job.yaml", cwd=folder)
    assert plain.exit_code == 1
    assert "\x1b" not in plain.stdout
    assert "[STOP]" in plain.stdout
    assert "width-bottom" in plain.stdout
    whole = json.loads(run("plan", "job.yaml", "--json", cwd=folder).stdout)
    assert whole["arrangement"]["kind"] == "pair"
    assert whole["figures"]["fit.frame_width"]["rule"]


def test_a_reader_that_stops_early_is_no_error(folder: Path) -> None:
    shown = subprocess.run(
        f"{sys.executable} -m truehang.cli plan job.yaml --json | head -c 10",
        shell=True, cwd=folder, capture_output=True, encoding="utf-8", check=False,
    )  # fmt: skip
    assert "Traceback" not in shown.stderr
    assert "BrokenPipe" not in shown.stderr


def test_options_lists_and_why_gives_the_chain(folder: Path) -> None:
    (folder / "job.yaml").write_text(MENDED, encoding="utf-8")
    listed = run("options", "job.yaml", cwd=folder)
    assert listed.exit_code == 0
    assert "pair" in listed.stdout
    chain = run("why", "job.yaml", "fit.frame_width", cwd=folder)
    assert chain.exit_code == 0
    assert "rule:" in chain.stdout
    assert "catalogue:kits." in chain.stdout
    wrong = run("why", "job.yaml", "fit.frame_widht", cwd=folder)
    assert wrong.exit_code == 2
    assert "fit.frame_width" in wrong.stderr
    assert "fit.frame_width" in run("why", "job.yaml", cwd=folder).stdout


def test_the_schema_is_json_schema(tmp_path: Path) -> None:
    schema = json.loads(run("schema", cwd=tmp_path).stdout)
    assert schema["$schema"].endswith("2020-12/schema")


def test_the_pack_is_written_and_a_place_that_can_not_be_written_is_said(folder: Path) -> None:
    made = run("pack", "job.yaml", "-o", "out", cwd=folder)
    assert made.exit_code == 1, made.stderr
    assert any(line.endswith(".pdf") for line in made.stdout.splitlines())
    (folder / "file").write_text("in the way")
    bad = run("pack", "job.yaml", "-o", "file/out", cwd=folder)
    assert bad.exit_code == 4


def test_demo_names_what_there_is(tmp_path: Path) -> None:
    bad = run("demo", "nothing", cwd=tmp_path)
    assert bad.exit_code == 2
    assert "fernhollow" in bad.stderr


def test_lengths_are_read_and_printed_in_feet_and_inches_where_the_job_asks(folder: Path) -> None:
    text = FERNHOLLOW.replace("print: mm", "print: feet-inches").replace(
        "run: 6264", "run: 20' 6 5/8\"", 1
    )
    (folder / "job.yaml").write_text(text)
    plain = run("plan", "job.yaml", cwd=folder)
    assert plain.exit_code == 1
    assert re.search(r"clear passage +│ 5' 1 7/16\"", plain.stdout)  # 1560 mm


def test_turns_say_which_bolt_and_bring_the_gaps_nearer(folder: Path) -> None:
    asked = ("turns", "job.yaml", "--gap", "left leaf=8/13", "--gap", "right leaf=12/9")
    (folder / "job.yaml").write_text(MENDED, encoding="utf-8")
    told = run(*asked, "--meeting", "3/5.5", cwd=folder)
    assert told.exit_code == 0
    assert re.search(r"left leaf, trailing hanger: .*turns? down", told.stdout)
    answer = json.loads(run(*asked, "--json", cwd=folder).stdout)
    assert all(
        abs(gap["after"] - gap["target"]) <= abs(gap["read"] - gap["target"])
        for gap in answer["residuals"]
    )
    wrong = run("turns", "job.yaml", "--gap", "left=8/13", cwd=folder)
    assert wrong.exit_code == 2
    assert "left leaf, right leaf" in wrong.stderr
    assert run("turns", "job.yaml", "--gap", "left leaf=8", cwd=folder).exit_code == 2


def test_gaps_are_told_in_the_lengths_of_the_job(tmp_path: Path) -> None:
    """8 and 13 mm are 0.315 and 0.512 in: 10/32 and 16/32 as a tape shows them (25.4 mm an inch,
    the international inch of 1959)."""
    text = MENDED.replace("print: mm", "print: feet-inches")
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    told = run("turns", "job.yaml", "--gap", "left leaf=8/13", "--gap", "right leaf=8/13",
               cwd=tmp_path)  # fmt: skip
    rows = [
        line for line in told.stdout.splitlines() if re.match(r"[│ ]*(left|right) leaf.*│", line)
    ]
    assert len(rows) == 4
    assert all(re.search(r"│ +(5/16|1/2)\" │", row) for row in rows)
    assert not re.search(r"│ +\d+\.\d", told.stdout)


def test_cut_marks_are_in_the_lengths_of_the_first_job(tmp_path: Path) -> None:
    job = tmp_path / "job.yaml"
    assert "print: mm" in FERNHOLLOW
    job.write_text(MENDED.replace("print: mm", "print: feet-inches"), encoding="utf-8")
    made = CliRunner().invoke(app, ["cut", str(job)], catch_exceptions=False)
    assert made.exit_code == 0
    assert re.search(r"mark \d+' \d", made.output)


GIVES = {
    "plan": (),
    "options": (),
    "cut": (),
    "boards": (),
    "why": ("fit.frame_width",),
    "turns": ("--gap", "left leaf=8/13", "--gap", "right leaf=12/9"),
}
"""Every command that gives marks, sizes, orders or prices at the prompt."""


@pytest.mark.parametrize("name", GIVES)
def test_with_a_stop_whatever_is_given_is_a_draft(folder: Path, name: str) -> None:
    asked = (name, "job.yaml", *GIVES[name])
    made = run(*asked, cwd=folder)
    assert made.exit_code == 1
    head = "DRAFT: 1 stop and 3 holds stand. Cut, order and build nothing from this"
    # The plan names the job first; everything else begins with what stands.
    assert head in made.stdout.splitlines()[3 if name == "plan" else 0]
    assert "width-bottom" in made.stdout
    told = json.loads(run(*asked, "--json", cwd=folder).stdout)
    assert next(iter(told)) == "standing"
    assert told["standing"]["draft"] is True
    assert told["standing"]["headline"].startswith(head)
    (folder / "job.yaml").write_text(MENDED, encoding="utf-8")
    mended = run(*asked, cwd=folder)
    assert mended.exit_code == 0
    assert "DRAFT" not in mended.stdout
    assert "HOLD: 3 holds stand" in mended.stdout


@pytest.mark.parametrize("file", ["model.glb", "model.ifc"])
def test_a_model_of_a_draft_says_so_and_exits_1(folder: Path, file: str) -> None:
    made = run("model", "job.yaml", "-o", file, cwd=folder)
    assert made.exit_code == 1
    assert made.stderr.startswith("DRAFT: 1 stop")
    assert b"DRAFT: 1 stop" in (folder / file).read_bytes()


def test_check_does_not_call_well_what_can_not_be_planned(folder: Path) -> None:
    draft = run("check", "job.yaml", cwd=folder)
    assert draft.exit_code == 1
    assert "nothing in it is wrong by itself" in draft.stdout
    assert "DRAFT: 1 stop" in draft.stdout
    told = json.loads(run("check", "job.yaml", "--json", cwd=folder).stdout)
    assert told["standing"]["draft"] is True
    assert told["problems"] == []
    (folder / "job.yaml").write_text(MENDED.replace("clear_width: ", "clear_width: 1"))
    nothing = run("check", "job.yaml", cwd=folder)
    assert nothing.exit_code == 1
    assert "nothing fits" in nothing.stdout
    (folder / "job.yaml").write_text(MENDED)
    assert run("check", "job.yaml", cwd=folder).exit_code == 0
