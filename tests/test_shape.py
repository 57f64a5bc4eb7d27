"""Does every function fit a screen, and is every module in its place? The limits are this project's
own rule (common practice, no source)."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import grimp

SOURCE = Path(__file__).parents[1] / "src" / "truehang"
MOST_LINES, MOST_PARAMETERS = 59, 6
LONG = {
    "store/migrations/versions/v0001_first.py upgrade": "tables as they were first, never changed",
}
COMMAND = "a command's parameters are what can be typed after it"
MAKER = "makes one value, field by field"
WRITE = "what is written, and who wrote it, why and under which name, as each write keeps it"
OPTIONS = "a drawing or a form with its settings, all but the first few with a default"
MANY = {
    "cli/__init__.py cut": COMMAND,
    "cli/catalogue.py import_": COMMAND,
    "web/commands.py serve": COMMAND,
    "web/commands.py devices": COMMAND,
    "framing/frame.py _piece": MAKER,
    "takeoff/count.py _cut": MAKER,
    "takeoff/count.py _some": MAKER,
    "plan/buying.py _one": MAKER,
    "fit/rod.py set_out": "every edge that has a mark, by its name",
    "store/store.py put": WRITE,
    "store/store.py sign": WRITE,
    "store/store.py record": WRITE,
    "store/store.py _join": WRITE,
    "store/store.py _take": WRITE,
    "store/store.py _append": WRITE,
    "store/store.py _record": WRITE,
    "drawing/draft.py close": OPTIONS,
    "drawing/views/boards.py board_layout": OPTIONS,
    "drawing/views/picture.py picture": OPTIONS,
    "web/forms.py fields": OPTIONS,
}
"""Functions that may have more parameters, each with its reason."""

Function = ast.FunctionDef | ast.AsyncFunctionDef


def functions() -> Iterator[tuple[str, Function]]:
    for path in sorted(SOURCE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, Function):
                yield f"{path.relative_to(SOURCE).as_posix()} {node.name}", node


def lines(node: Function) -> int:
    """How long it is; a function inside it is counted by itself, as the routes of a page are."""
    inner = (one for one in ast.iter_child_nodes(node) if isinstance(one, Function))
    return node.end_lineno - node.lineno + 1 - sum(map(lines, inner))  # type: ignore[operator]


def parameters(node: Function) -> int:
    """How many are given; what a method is called on is not counted."""
    given = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    return sum(one.arg not in ("self", "cls") for one in given)


def test_a_function_fits_a_screen() -> None:
    long = {name for name, node in functions() if lines(node) > MOST_LINES}
    assert long == set(LONG), "make it several, or take its name off the list"


def test_a_function_takes_few_parameters() -> None:
    """Constructors, which have a parameter for each thing that they keep, may take more."""
    many = {
        name
        for name, node in functions()
        if parameters(node) > MOST_PARAMETERS and node.name != "__init__"
    }
    assert many == set(MANY), "put what belongs together into one value, or off the list"


def test_no_module_imports_itself_by_a_way_round() -> None:
    """What is imported for annotations only counts too. That none is outside a layer is the import
    contract's to say: it is exhaustive."""
    graph = grimp.build_graph("truehang", cache_dir=None)
    leads = {one: graph.find_modules_directly_imported_by(one) for one in graph.modules}
    left = set(leads)
    while free := {one for one in left if not leads[one] & left}:
        left -= free
    while free := {one for one in left if not any(one in leads[other] for other in left)}:
        left -= free
    assert not left, "these modules lead back to themselves, or stand between two that do"
