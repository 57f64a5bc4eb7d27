"""Every command that README and docs show is run, every block of a job file is read, every link
leads somewhere, every make target is there. Source: README.md and docs/ themselves."""

from __future__ import annotations

import contextlib
import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest
import typer
import yaml
from click import Context
from typer.testing import CliRunner

from truehang import demo
from truehang.cli import app
from truehang.job import examine

ROOT = Path(__file__).parents[1]
PAGES = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *sorted((ROOT / "docs").rglob("*.md"))]
SERVERS = ("serve", "devices", "backup", "restore")
"""These wait for people or need a store: only their words are checked (tests/web runs them)."""
_SHOWN = re.compile(r"^(?: {4})?(truehang .+)$", re.MULTILINE)
_NAMED = re.compile(r"`(truehang [^`\n]+)`")
_MAKE = re.compile(r"(?:^ {4}|`)make ([a-z][a-z-]*)", re.MULTILINE)
_YAML = re.compile(r"^```yaml\n(.*?)^```", re.MULTILINE | re.DOTALL)
_LINK = re.compile(r"\]\(([^)#\s]+)(?:#[^)]*)?\)")


def _shown() -> Iterator[tuple[str, str]]:
    """Each command that stands on a line of its own, with its page; remarks and [more] left off."""
    for page in PAGES:
        for found in _SHOWN.finditer(page.read_text(encoding="utf-8")):
            command = re.sub(r"\s+#.*|\[[^]]*\]", "", found[1]).strip()
            yield page.name, command


SHOWN = sorted({command: page for page, command in _shown()}.items())


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The files that the commands name: jobs without a stop, and a rack with a piece on it."""
    made = tmp_path_factory.mktemp("docs")
    pair = dict(demo.files("fernhollow"))["fernhollow.yaml"]
    pair = pair.replace("at: bottom, value: 3450", "at: bottom, value: 3460")  # its slip mended
    loft = demo.files("tannery-lofts")[0][1]
    for name, text in (("job.yaml", pair), ("my-job.yaml", pair), ("other.yaml", loft)):
        (made / name).write_text(text, encoding="utf-8")
    with contextlib.chdir(made):
        put = ["rack", "put", "rack.yaml", "MGP12 45x90", "1800"]
        assert CliRunner().invoke(app, put).exit_code == 0
    return made


@pytest.mark.parametrize(("command", "page"), SHOWN, ids=[command for command, _ in SHOWN])
def test_what_is_shown_runs(command: str, page: str, folder: Path, tmp_path: Path) -> None:
    words = shlex.split(command)[1:]
    if words[0] == "new":  # it replaces no file
        folder = tmp_path
    if words[0] in SERVERS:
        _known(words)
        return
    with contextlib.chdir(folder):
        result = CliRunner().invoke(app, words, catch_exceptions=False)
    assert result.exit_code == 0, f"{page}: {command}\n{result.output}"


def _named() -> list[str]:
    found = {each for page in PAGES for each in _NAMED.findall(page.read_text(encoding="utf-8"))}
    return sorted(found)


@pytest.mark.parametrize("command", _named())
def test_what_is_named_in_a_sentence_is_a_command_with_those_options(command: str) -> None:
    _known(shlex.split(command)[1:])


def _known(words: list[str]) -> None:
    """The command is there, under that name, and takes each option that is written."""
    at = typer.main.get_command(app)
    while words and hasattr(at, "list_commands"):
        within = Context(at)
        name = words.pop(0)
        assert name in at.list_commands(within), name
        under = at.get_command(within, name)
        assert under is not None
        at = under
    options = {each for one in at.params for each in (*one.opts, *one.secondary_opts)}
    assert {each for each in words if each.startswith("-")} <= options | {"--help"}


def test_every_make_target_that_is_named_is_there() -> None:
    targets = re.findall(r"^([a-z][a-z-]*):", (ROOT / "Makefile").read_text(), re.MULTILINE)
    named = {each for page in PAGES for each in _MAKE.findall(page.read_text(encoding="utf-8"))}
    assert named <= set(targets)
    assert {"demo", "test"} <= named


def test_every_link_leads_to_a_file() -> None:
    for page in PAGES:
        for link in _LINK.findall(page.read_text(encoding="utf-8")):
            if "://" not in link:
                assert (page.parent / link).exists(), f"{page.name}: {link}"


def test_blocks_of_a_job_file_are_read_as_part_of_one() -> None:
    """Each block is laid over the starter; nothing in it may be a problem."""
    blocks = [each for page in PAGES for each in _YAML.findall(page.read_text(encoding="utf-8"))]
    assert blocks
    starter = yaml.safe_load((ROOT / "src/truehang/job/starter.yaml").read_text(encoding="utf-8"))
    for block in blocks:
        laid = _laid(starter, yaml.safe_load(block))
        found, problems = examine(yaml.safe_dump(laid, sort_keys=False, default_flow_style=None))
        assert found is not None, (block, problems)


def _laid(under: object, over: object) -> object:
    if isinstance(under, dict) and isinstance(over, dict):
        return under | {key: _laid(under.get(key), value) for key, value in over.items()}
    return over
