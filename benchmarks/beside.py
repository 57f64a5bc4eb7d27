"""How do start-up, plan and pack stand beside an older commit, measured in turn in one run?

Every figure is processor time, as a ratio: of a cold command to `python -c pass`, of warm work to
the same work of the older commit, which is laid out in a folder of its own for as long as it takes.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from benchmarks.clock import Taken, processes

ROOT = Path(__file__).resolve().parent.parent
BEFORE = "58a55e9"
"""The commit that start-up and weight are held against."""
COMMAND = "from truehang.cli import main; main()"
DEMO = "src/truehang/demo/data/fernhollow.yaml"
COLD = {"--help": None, "check": 12.0, "plan": 35.0}
WARM = {"plan": 0.6, "pack": 0.5}


@dataclass(frozen=True, slots=True)
class Ratio:
    """A ratio with what was aimed at and what it was before."""

    what: str
    taken: Taken | None
    ratio: float
    before: float
    most: float | None


@contextmanager
def laid_out(commit: str) -> Iterator[Path | None]:
    """The files of a commit in a folder for a while; None in a copy without its history."""
    with tempfile.TemporaryDirectory() as place:
        made = subprocess.run(
            ["git", "-C", str(ROOT), "archive", "--output", f"{place}/tree.tar", commit],
            capture_output=True,
        )
        if made.returncode:
            yield None
            return
        tree = Path(place) / "tree"
        tree.mkdir()
        subprocess.run(["tar", "-xf", f"{place}/tree.tar", "-C", str(tree)], check=True)
        yield tree


def _env(tree: Path) -> Mapping[str, str]:
    return {**os.environ, "PYTHONPATH": str(tree / "src")}


def cold(tree: Path, rounds: int) -> Iterator[Ratio]:
    """Fresh processes, each command of both trees in turn with a Python that does nothing."""

    def command(root: Path, word: str) -> list[str]:
        job = [] if word == "--help" else [str(root / DEMO)]
        source = ["env", f"PYTHONPATH={root / 'src'}", sys.executable, "-c", COMMAND]
        return [*source, word, *job]

    least = ["env", sys.executable, "-c", "pass"]
    commands = [command(root, word) for word in COLD for root in (ROOT, tree)]
    bare, *taken = processes([least, *commands], rounds, ends=(0, 1))  # 1: a draft
    pairs = zip(COLD.items(), taken[::2], taken[1::2], strict=True)
    for (word, most), ours, theirs in pairs:
        was = theirs.processor / bare.processor
        yield Ratio(f"truehang {word}, cold: x `python -c pass`", ours,
                    ours.processor / bare.processor, was, most)  # fmt: skip


def warm(tree: Path, rounds: int) -> Iterator[Ratio]:
    """Plan and pack in processes of both trees in turn."""
    found: dict[Path, list[dict[str, float]]] = {ROOT: [], tree: []}
    for _ in range(rounds):
        for root, each in found.items():
            run = subprocess.run(
                [sys.executable, str(ROOT / "benchmarks" / "warm.py"), "9"],
                env=_env(root), check=True, capture_output=True, text=True,
            )  # fmt: skip
            each.append(json.loads(run.stdout))
    for key, most in WARM.items():
        ours, theirs = (statistics.median(one[key] for one in each) for each in found.values())
        yield Ratio(f"{key}, warm: x the same at {BEFORE}", Taken(ours, ours),
                    ours / theirs, 1.0, most)  # fmt: skip


def ratios(quick: bool) -> Iterator[Ratio]:
    """All of them; none in a copy without its history."""
    with laid_out(BEFORE) as tree:
        if tree is not None:
            yield from cold(tree, 3 if quick else 9)
            yield from warm(tree, 1 if quick else 3)
