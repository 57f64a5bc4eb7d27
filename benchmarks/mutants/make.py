"""Which faults are tried? A sample of all that can be put in, drawn with a seed, so many a room."""

from __future__ import annotations

import ast
import random
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from benchmarks.mutants.operators import Place, between, left_alone, operators
from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import MutationVisitor
from cosmic_ray.operators.operator import Operator

ROOMS = ("plan", "fit", "measure", "structure", "framing")


@dataclass(frozen=True, slots=True)
class Mutant:
    """One fault: where it is put in, the line as it was and as it is with the fault."""

    room: str
    path: str
    line: int
    within: str
    was: str
    becomes: str
    code: str

    @property
    def key(self) -> tuple[str, str, str, str]:
        """What says that it is the same fault after lines above it have come or gone."""
        return self.path, self.within, self.was, self.becomes

    def __str__(self) -> str:
        return f"{self.path}:{self.line} in {self.within}\n    - {self.was}\n    + {self.becomes}"


@dataclass(frozen=True, slots=True)
class _Way:
    operator: Operator
    occurrence: int


def sample(source: Path, room: str, number: int, seed: int) -> list[Mutant]:
    """So many faults of a room, no two at one place: a place is drawn, then what goes wrong there.
    So ten ways to spoil one sign weigh no more than the one way to leave an argument out."""
    drawn = random.Random(f"{seed} {room}")
    ways: dict[tuple[Path, Place], list[_Way]] = defaultdict(list)
    by_name = operators(source)
    for path in sorted((source / "truehang" / room).rglob("*.py")):
        for place, way in _ways(path.read_text(), by_name):
            ways[path, place].append(way)
    order = sorted(ways)
    drawn.shuffle(order)
    found: list[Mutant] = []
    for path, place in order:
        if len(found) == number:
            break
        made = _made(source, room, path, place[0][0], drawn.choice(ways[path, place]))
        found += [made] if made else []
    return sorted(found, key=lambda one: (one.path, one.line, one.becomes))


def _ways(code: str, by_name: Mapping[str, Operator]) -> Iterator[tuple[Place, _Way]]:
    alone = left_alone(code)
    nodes = list(ast_nodes(get_ast(code)))
    for operator in by_name.values():
        counted = -1  # the tool counts an operator's places by its own rule, ours is the narrower
        for node in nodes:
            for place in operator.mutation_positions(node):
                counted += 1
                if between(operator, node) and not any(
                    a <= place[0] and place[1] <= b for a, b in alone
                ):
                    yield place, _Way(operator, counted)


def _made(source: Path, room: str, path: Path, line: int, way: _Way) -> Mutant | None:
    """The fault put in; None where what comes out is no Python."""
    before = path.read_text()
    after = MutationVisitor.mutate_code(before, way.operator, way.occurrence)
    try:
        ast.parse(after)
    except (SyntaxError, TypeError):
        return None
    was, becomes = _changed(before.splitlines(), after.splitlines())
    within = _within(before, line)
    return Mutant(room, str(path.relative_to(source)), line, within, was, becomes, after)


def _changed(before: Sequence[str], after: Sequence[str]) -> tuple[str, str]:
    """The lines in which two texts differ."""
    top = next((n for n, (a, b) in enumerate(zip(before, after, strict=False)) if a != b), 0)
    end = next(n for n, (a, b) in enumerate(zip(before[::-1], after[::-1], strict=False)) if a != b)
    end = min(end, len(before) - top - 1, len(after) - top - 1)
    return _joined(before[top : len(before) - end]), _joined(after[top : len(after) - end])


def _joined(lines: Sequence[str]) -> str:
    return " ".join(" ".join(lines).split())


def _within(code: str, line: int) -> str:
    """The function or class that a line stands in."""
    spans = sorted(
        (node.lineno, node.end_lineno or node.lineno, node.name)
        for node in ast.walk(ast.parse(code))
        if isinstance(node, ast.FunctionDef | ast.ClassDef)
    )
    around = spans[: bisect_right(spans, (line, line * 10, "~"))]
    return ".".join(name for first, last, name in around if first <= line <= last) or "the module"
