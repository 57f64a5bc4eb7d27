"""What do the tests say of one tree? Each run is a process of its own in a copy of the tree, with
the libraries loaded already: what one test file keeps must not hide a fault from the next run."""

from __future__ import annotations

import compileall
import json
import multiprocessing
import os
import resource
import shutil
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from py_compile import PycInvalidationMode

LIBRARIES = [
    *("pytest", "_pytest.assertion.rewrite", "hypothesis", "coverage", "numpy", "numpy.linalg"),
    *("pydantic", "yaml", "shapely", "highspy", "typer", "rich", "scipy.stats", "scipy.optimize"),
]
"""Loaded once, before the processes part; nothing of the program's own is among them."""

_start = multiprocessing.get_context("forkserver")
_start.set_forkserver_preload(LIBRARIES)


@dataclass(frozen=True, slots=True)
class Outcome:
    """How the tests ended: `code` is pytest's, negative when the processor time ran out."""

    code: int
    seconds: float

    @property
    def passed(self) -> bool:
        return self.code == 0


class Tree:
    """A copy of the program, in which faults are put in, with the tests beside it."""

    def __init__(self, root: Path, at: Path) -> None:
        self.at = at
        at.mkdir(parents=True, exist_ok=True)
        shutil.rmtree(at / "src", ignore_errors=True)
        shutil.copytree(
            root / "src", at / "src", ignore=shutil.ignore_patterns("__pycache__", "vendor")
        )
        # Compiled once, and held to the text by its digest: a fault put in counts at once.
        compileall.compile_dir(
            at / "src", quiet=2, invalidation_mode=PycInvalidationMode.CHECKED_HASH
        )
        for name in ("tests", "faults", "benchmarks", "docs", "pyproject.toml", "README.md"):
            link = at / name
            link.unlink(missing_ok=True)
            link.symlink_to((root / name).resolve())

    def run(self, files: Sequence[str], seconds: float) -> Outcome:
        """These test files, up to the first failure, in so much processor time."""
        return self._child(("-x", *files), seconds, None)

    def reached(self, file: str, seconds: float) -> tuple[Outcome, dict[str, list[int]]]:
        """One test file, and the lines of the program that it runs."""
        told = self.at / "reached.json"
        told.unlink(missing_ok=True)
        outcome = self._child((file,), seconds, told)
        return outcome, json.loads(told.read_text()) if told.exists() else {}

    def _child(self, arguments: Sequence[str], seconds: float, told: Path | None) -> Outcome:
        child = _start.Process(target=_in_child, args=(self.at, arguments, int(seconds) + 1, told))
        child.start()
        child.join()
        used = self.at / "seconds"
        took = float(used.read_text()) if used.exists() else seconds
        used.unlink(missing_ok=True)
        return Outcome(child.exitcode if child.exitcode is not None else -1, took)


def _in_child(at: Path, arguments: Sequence[str], seconds: int, told: Path | None) -> None:
    import coverage
    import pytest

    os.chdir(at)
    with open(at / "said.txt", "w") as said:
        os.dup2(said.fileno(), 1)
        os.dup2(said.fileno(), 2)
    sys.path[:0] = [str(at / "src"), str(at)]
    os.environ |= {
        "PYTHONPATH": str(at / "src"),
        "PYTHONDONTWRITEBYTECODE": "1",
        "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1",  # none is needed here, and some take a second
    }
    sys.dont_write_bytecode = True
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
    watch = coverage.Coverage(data_file=None, config_file=False, include=[str(at / "src" / "*")])
    if told:
        watch.start()
    options = ["-q", "--tb=line", "-p", "no:cacheprovider", f"--rootdir={at}", "-W", "ignore"]
    code = int(pytest.main([*options, *arguments]))
    used = resource.getrusage(resource.RUSAGE_SELF)
    (at / "seconds").write_text(str(used.ru_utime + used.ru_stime))
    if told:
        watch.stop()
        data = watch.get_data()
        lines = {
            str(Path(file).relative_to(at / "src")): sorted(data.lines(file) or ())
            for file in data.measured_files()
        }
        told.write_text(json.dumps({file: run for file, run in lines.items() if run}))
    sys.stdout.flush()
    os._exit(code)
