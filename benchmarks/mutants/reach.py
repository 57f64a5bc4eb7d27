"""Which test files run a line, and how long do they take? Asked once, kept until something changes.

By file, not by test: tests of one file share what the first of them makes (a plan, a catalogue), so
the others would seem to run nothing.
"""

from __future__ import annotations

import hashlib
import json
import sys
import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from benchmarks.mutants.make import Mutant
from benchmarks.mutants.trial import Tree

TESTS = (
    *("tests/plan", "tests/fit", "tests/measure", "tests/structure", "tests/framing"),
    *("tests/published", "tests/demo", "tests/test_rule.py"),
)
LONGEST = 120.0
"""Processor seconds after which a test file is left out."""


@dataclass(slots=True)
class Reach:
    """Seconds and lines by test file."""

    seconds: dict[str, float] = field(default_factory=dict)
    lines: dict[str, dict[str, set[int]]] = field(default_factory=dict)

    def of(self, mutant: Mutant, budget: float) -> list[str]:
        """The files that run a mutant's line, the likeliest to see it first, within the budget."""
        stem = Path(mutant.path).stem
        own = f"tests/{mutant.room}/"

        def rank(file: str) -> tuple[bool, bool, float]:
            return stem not in Path(file).stem, not file.startswith(own), self.seconds[file]

        reaching = [
            f for f, lines in self.lines.items() if mutant.line in lines.get(mutant.path, ())
        ]
        taken: list[str] = []
        for file in sorted(reaching, key=rank):
            if self.seconds[file] <= budget or not taken:
                taken.append(file)
                budget -= self.seconds[file]
        return taken


def files(root: Path, tests: Sequence[str]) -> list[str]:
    """All test files that are asked."""
    return sorted(
        str(path.relative_to(root))
        for place in tests
        for path in ([root / place] if place.endswith(".py") else (root / place).glob("test_*.py"))
    )


def kept(at: Path, root: Path, tests: Sequence[str]) -> tuple[Reach, list[str]]:
    """What is known still, and the files to ask again: all, when the program changed."""
    program, reach, stale = _digest((root / "src").rglob("*.py")), Reach(), []
    known = json.loads(at.read_text()) if at.exists() else {}
    known = known.get("files", {}) if known.get("program") == program else {}
    for file in files(root, tests):
        entry = known.get(file)
        if entry is None or entry["digest"] != _digest([root / file]):
            stale.append(file)
            continue
        reach.seconds[file] = entry["seconds"]
        reach.lines[file] = {name: set(lines) for name, lines in entry["lines"].items()}
    return reach, stale


def asked(
    at: Path,
    root: Path,
    reach: Reach,
    stale: Sequence[str],
    each: Callable[[Callable[[Tree, str], None], Sequence[str]], None],
) -> None:
    """Run every stale file; what is found stands in `at` at once. A file that fails on the sound
    program, or takes too long, can judge no fault."""
    program = _digest((root / "src").rglob("*.py"))
    writing = threading.Lock()

    def one(tree: Tree, file: str) -> None:
        digest = _digest([root / file])
        outcome, lines = tree.reached(file, LONGEST)
        if not outcome.passed:
            print(f"left out, for it ends with {outcome.code}: {file}", file=sys.stderr, flush=True)
            lines = {}
        found = {"digest": digest, "seconds": outcome.seconds, "lines": lines}
        with writing:
            reach.seconds[file] = outcome.seconds
            reach.lines[file] = {name: set(run) for name, run in lines.items()}
            known = json.loads(at.read_text()) if at.exists() else {}
            files = known["files"] if known.get("program") == program else {}
            at.write_text(json.dumps({"program": program, "files": files | {file: found}}))

    each(one, stale)


def _digest(paths: Iterable[Path]) -> str:
    whole = hashlib.sha256()
    for path in sorted(paths):
        whole.update(str(path.name).encode() + path.read_bytes())
    return whole.hexdigest()[:20]
