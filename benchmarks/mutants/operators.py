"""Which small faults can be put into a piece of code?

Those of Cosmic Ray that a slip of the keyboard could make, and five of our own, written as its
operators: a rule's sign turned, an argument that has a default left out, a comprehension's
condition turned, the least taken for the most, a number a tenth more or less. What a text says is
left alone.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator, Set
from pathlib import Path
from typing import Any, ClassVar

import parso
from cosmic_ray.operators.operator import Example, Operator
from cosmic_ray.plugins import get_operator, operator_names

Place = tuple[tuple[int, int], tuple[int, int]]

CORE = {
    *("Add_Sub", "Sub_Add", "Mul_Div", "Div_Mul", "FloorDiv_Div", "Mod_FloorDiv", "Pow_Mul"),
    *("BitOr_BitAnd", "BitAnd_BitOr", "Is_IsNot", "IsNot_Is", "Delete_Not", "Delete_USub"),
}
"""One likely slip for each sign: eleven others would only be eleven easy ones more."""
COMPARED = {
    *("Eq_NotEq", "NotEq_Eq", "Lt_LtE", "Lt_GtE", "LtE_Lt", "LtE_Gt"),
    *("Gt_GtE", "Gt_LtE", "GtE_Gt", "GtE_Lt"),
}
"""The other way round, and the border on the other side."""
PLAIN = {
    *("AddNot", "ReplaceTrueWithFalse", "ReplaceFalseWithTrue", "ReplaceAndWithOr"),
    *("ReplaceOrWithAnd", "ReplaceBreakWithContinue", "ReplaceContinueWithBreak"),
    "ZeroIterationForLoop",
}
BINARY = {"arith_expr", "term", "power", "expr", "and_expr", "expr_stmt"}
"""What a sign between two values stands in; elsewhere `*` and `/` part a function's arguments."""


def operators(root: Path) -> dict[str, Operator]:
    """All operators by name; `root` is where functions and their defaults are looked up."""
    core = {name: get_operator(name)() for name in operator_names() if _wanted(name)}
    left_out = ArgumentLeftOut(defaults(root))
    ours: tuple[Operator, ...] = (RuleSign(), left_out, Filter(), Extreme(), Number())
    return core | {type(operator).__name__: operator for operator in ours}


def _wanted(name: str) -> bool:
    plain = name.rpartition("/")[2]
    if plain in PLAIN:
        return True
    family, _, change = plain.partition("_")
    if family == "ReplaceComparisonOperator" and change in COMPARED:
        return True
    return family.startswith("Replace") and change in CORE


def between(operator: Operator, node: Any) -> bool:
    """Does a sign stand between two values, where the operator is about such signs?"""
    if not type(operator).__name__.startswith("ReplaceBinary"):
        return True
    return node.parent is not None and node.parent.type in BINARY


def left_alone(source: str) -> list[Place]:
    """Stretches in which a change changes nothing that runs, or only the words: annotations,
    decorators, texts with values in them. Columns are characters, as the tool counts them."""
    lines = source.splitlines()

    def column(line: int, bytes_in: int) -> int:
        return len(lines[line - 1].encode()[:bytes_in].decode(errors="ignore"))

    def span(node: ast.expr) -> Place:
        end_line, end = node.end_lineno or node.lineno, node.end_col_offset or 0
        return (node.lineno, column(node.lineno, node.col_offset)), (
            end_line,
            column(end_line, end),
        )

    return [span(node) for node in _not_run(ast.parse(source))]


def _not_run(tree: ast.Module) -> Iterator[ast.expr]:
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield from node.decorator_list
        if isinstance(node, ast.FunctionDef) and node.returns:
            yield node.returns
        if isinstance(node, ast.arg | ast.AnnAssign) and node.annotation:
            yield node.annotation
        if isinstance(node, ast.JoinedStr):
            yield node
    for statement in tree.body:  # a name for a type: `Sight = Seen | Unseen`
        if isinstance(statement, ast.Assign) and isinstance(statement.value, ast.BinOp):
            yield statement.value


def defaults(root: Path) -> set[tuple[str, str]]:
    """Every (function or dataclass, argument) that may be left out of a call."""
    found: set[tuple[str, str]] = set()
    for path in root.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.FunctionDef):
                args = node.args
                given = args.args[len(args.args) - len(args.defaults) :]
                named = zip(args.kwonlyargs, args.kw_defaults, strict=True)
                given += [arg for arg, default in named if default is not None]
                found |= {(node.name, arg.arg) for arg in given}
            elif isinstance(node, ast.ClassDef):
                found |= {
                    (node.name, field.target.id)
                    for field in node.body
                    if isinstance(field, ast.AnnAssign)
                    and isinstance(field.target, ast.Name)
                    and field.value is not None
                }
    return found


class _Ours(Operator):  # type: ignore[misc]
    """What the tool asks of an operator and ours need not answer."""

    @classmethod
    def examples(cls) -> tuple[Example, ...]:
        return ()


class RuleSign(_Ours):
    """`w = a + b` in the text of a rule becomes `w = a - b`: what is printed is what runs."""

    turned: ClassVar = {
        " + ": " - ",
        " − ": " + ",
        " - ": " + ",
        " × ": " / ",
        " / ": " × ",
        "/": " × ",
    }

    def mutation_positions(self, node: Any) -> Iterator[Place]:
        if node.type == "string" and " = " in node.value and _first_of(node, "Rule"):
            for _ in self._signs(node.value):
                yield node.start_pos, node.end_pos

    def mutate(self, node: Any, index: int) -> Any:
        at, sign = self._signs(node.value)[index]
        node.value = node.value[:at] + self.turned[sign] + node.value[at + len(sign) :]
        return node

    def _signs(self, text: str) -> list[tuple[int, str]]:
        found, at = [], text.index(" = ") + 3
        while at < len(text):
            sign = next((sign for sign in self.turned if text.startswith(sign, at)), None)
            if sign:
                found.append((at, sign))
            at += len(sign) if sign else 1
        return found


class ArgumentLeftOut(_Ours):
    """`f(a, b=c)` becomes `f(a)`, where `b` has a default and the call would still run."""

    def __init__(self, may: Set[tuple[str, str]]) -> None:
        self._may = may

    def mutation_positions(self, node: Any) -> Iterator[Place]:
        for argument in self._arguments(node):
            yield argument.start_pos, argument.end_pos

    def mutate(self, node: Any, index: int) -> Any:
        gone = self._arguments(node)[index]
        at = node.children.index(gone)
        if node.type == "trailer":
            del node.children[at]
        elif at + 1 < len(node.children):
            del node.children[at : at + 2]
        else:
            del node.children[at - 1 : at + 1]
        return node

    def _arguments(self, node: Any) -> list[Any]:
        if node.type == "arglist":
            trailer, inside = node.parent, node.children
        elif node.type == "trailer" and len(node.children) == 3:
            trailer, inside = node, node.children[1:2]
        else:
            return []
        called = _called(trailer)
        return [
            child
            for child in inside
            if child.type == "argument"
            and getattr(child.children[1], "value", "") == "="
            and (called, child.children[0].value) in self._may
            and child.children[2].type not in ("string", "fstring", "strings")
        ]


class Filter(_Ours):
    """`[a for a in b if c]` becomes `[a for a in b if not c]`."""

    def mutation_positions(self, node: Any) -> Iterator[Place]:
        if node.type in ("comp_if", "old_comp_if"):
            yield node.children[1].start_pos, node.children[1].end_pos

    def mutate(self, node: Any, index: int) -> Any:
        condition = node.children[1].get_code().strip()
        node.children[1] = parso.parse(f" not ({condition})")
        return node


class Extreme(_Ours):
    """The most taken for the least, all for any."""

    turned: ClassVar = {"min": "max", "max": "min", "any": "all", "all": "any"}

    def mutation_positions(self, node: Any) -> Iterator[Place]:
        following = node.get_next_sibling() if node.type == "name" else None
        called = following is not None and following.type == "trailer" and following.children[0]
        if called and getattr(called, "value", "") == "(" and node.value in self.turned:
            yield node.start_pos, node.end_pos

    def mutate(self, node: Any, index: int) -> Any:
        node.value = self.turned[node.value]
        return node


class Number(_Ours):
    """One more or one less of a count, a tenth more or less of a size. What is there only against
    the rounding of the machine (less than a thousandth) is left alone."""

    def mutation_positions(self, node: Any) -> Iterator[Place]:
        if node.type == "number" and not 0 < abs(ast.literal_eval(node.value)) < 1e-3:
            for _ in range(2):
                yield node.start_pos, node.end_pos

    def mutate(self, node: Any, index: int) -> Any:
        value = ast.literal_eval(node.value)
        if isinstance(value, int):
            by = 1 if abs(value) <= 10 else round(value / 10)
        else:
            by = round(value / 10, 9) or 1.0
        node.value = repr(value + by if index == 0 else value - by)
        return node


def _called(trailer: Any) -> str:
    """`f` of `f(..)` and of `room.f(..)`."""
    before = trailer.get_previous_sibling()
    if before is None or getattr(trailer.children[0], "value", "") != "(":
        return ""
    last = before if before.type == "name" else getattr(before, "children", [before])[-1]
    return str(getattr(last, "value", ""))


def _first_of(node: Any, name: str) -> bool:
    """Is this the first argument of a call of `name`?"""
    inside = node.parent if node.parent.type == "arglist" else node
    trailer = inside.parent
    first = inside.children[0] is node if inside is not node else True
    return bool(first and trailer.type == "trailer" and _called(trailer) == name)
