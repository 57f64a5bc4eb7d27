"""What formula made this number? A rule is a value: its text is both what runs and what is printed.

`Rule("w = (C - m)/2 + b", means)` is parsed once into the few things that a rule of the trade
needs (sums, products, powers, brackets, π, `least`, `most`, and `up` to the next whole number) and
compiled; calling it with its symbols computes, and `figure` keeps text and numbers together, so a
printed formula can't differ from the one that ran. `2r` and `2(s + P)` multiply, as on paper.
"""

from __future__ import annotations

import ast
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from truehang.amounts import unit_here
from truehang.figures import Figure, Put, Working
from truehang.message import Message

_TOKEN = re.compile(r"\s*(\d+(?:\.\d+)?|π|[A-Za-z][A-Za-z0-9_]*|[-+/^(),×])")
_FUNCTIONS: dict[str, Callable[..., float]] = {"least": min, "most": max, "up": math.ceil}
_CONSTANTS = {"π": math.pi}
_NODES = (ast.Expression, ast.BinOp, ast.UnaryOp, ast.Call, ast.Name, ast.Load, ast.Constant,
          ast.Add, ast.Sub, ast.Mult, ast.Div, ast.Pow, ast.USub)  # fmt: skip
_KNOWN = {**_FUNCTIONS, **_CONSTANTS}
_PYTHON = {"^": "**", "×": "*"}


class RuleError(ValueError):
    """A rule that can't be read; the message names the rule and what is wrong in it."""


@dataclass(frozen=True, slots=True)
class Given:
    """A number that is put in for a symbol, in `unit`, and the key of what it comes from: another
    figure's, "job:<path>" or "catalogue:<path>"; "" where it is a fixed figure of the rule."""

    value: float
    key: str
    unit: str = "mm"


class Rule:
    """A formula in the trade's symbols: `symbol = expression`.

    `means` says what each symbol stands for. Raises RuleError for a text that is no such formula,
    and for a symbol without a meaning.
    """

    __slots__ = ("_run", "means", "symbol", "symbols", "text")

    def __init__(self, text: str, means: Mapping[str, str]) -> None:
        symbol, equals, expression = (part.strip() for part in text.partition("="))
        if not equals or not re.fullmatch(r"[A-Za-z][A-Za-z0-9_]*", symbol):
            raise RuleError(f"rule {text!r}: write it as symbol = expression")
        self.text = text
        self.symbol = symbol
        tokens = tokens_of(expression)
        self.symbols = tuple(
            dict.fromkeys(each for each in tokens if each[0].isalpha() and each not in _KNOWN)
        )
        unknown = [each for each in (symbol, *self.symbols) if each not in means]
        if unknown:
            raise RuleError(f"rule {text!r}: {', '.join(unknown)} has no meaning; say what it is")
        self.means = {each: means[each] for each in (symbol, *self.symbols)}
        self._run = _compiled(text, tokens, self.symbols)

    def __call__(self, **values: float) -> float:
        """The number that comes of these; TypeError where a symbol is left out or unknown."""
        return self._run(**values)

    def __repr__(self) -> str:
        return f"Rule({self.text!r})"

    def figure(
        self,
        key: str,
        label: Message | str,
        put: Mapping[str, Given],
        source: str,
        *,
        unit: str = "mm",
        behind: tuple[str, ...] = (),
    ) -> Figure:
        """The figure that comes of the numbers put in; `behind` are the keys of what lies behind
        it beside them."""
        value = self(**{symbol: given.value for symbol, given in put.items()})
        puts = tuple(
            Put(each, self.means[each], put[each].value, put[each].unit, put[each].key)
            for each in self.symbols
        )
        inputs = dict.fromkeys((*(each.key for each in puts if each.key), *behind))
        return Figure(key, label, value, unit, self.text, tuple(inputs), source,
                      working=Working(puts))  # fmt: skip


def _compiled(text: str, tokens: tuple[str, ...], symbols: tuple[str, ...]) -> Callable[..., float]:
    """The expression as a function of its symbols, by name; nothing but arithmetic gets in."""
    written = " ".join(_PYTHON.get(each, each) for each in multiplied(tokens))
    try:
        body = ast.parse(written, mode="eval").body
    except SyntaxError:
        raise RuleError(f"rule {text!r} can't be read as a sum of its symbols") from None
    for node in ast.walk(body):
        called = isinstance(node, ast.Call) and not (
            isinstance(node.func, ast.Name) and node.func.id in _FUNCTIONS
        )
        if called or not isinstance(node, _NODES):
            raise RuleError(
                f"rule {text!r}: only + - x / ^, brackets, least, most and up are known"
            )
    named = [ast.arg(each) for each in symbols]
    whole = ast.Expression(
        ast.Lambda(ast.arguments([], [], None, named, [None] * len(named), None, []), body)
    )
    code = compile(ast.fix_missing_locations(whole), f"<rule {text}>", "eval")
    run: Callable[..., float] = eval(code, {"__builtins__": {}, **_KNOWN})
    return run


@lru_cache(maxsize=1024)
def tokens_of(expression: str) -> tuple[str, ...]:
    """Numbers, symbols and signs, in order. Raises RuleError at what is none of them."""
    made: list[str] = []
    at = 0
    while at < len(expression.rstrip()):
        found = _TOKEN.match(expression, at)
        if found is None:
            raise RuleError(f"rule {expression!r}: {expression[at:].strip()!r} can't be read")
        made.append(found[1])
        at = found.end()
    if not made:
        raise RuleError(f"rule {expression!r} has nothing after its sign")
    return tuple(made)


def multiplied(tokens: tuple[str, ...]) -> list[str]:
    """The same with a sign wherever two things stand side by side: 2r, 2(s + P)."""
    made: list[str] = []
    for each in tokens:
        before = made[-1] if made else ""
        ends = before == ")" or before[:1].isdigit()
        if ends and (each == "(" or each[0].isalpha()):
            made.append("×")
        made.append(each)
    return made


def put_in(text: str, spelled: Mapping[str, str]) -> str:
    """The rule's expression with each symbol's number, as spelled, in its place."""
    expression = text.partition("=")[2]
    made = [spelled.get(each, each) for each in multiplied(tokens_of(expression))]
    out = ""
    for at, each in enumerate(made):
        sign = each in "+-×" and at > 0 and made[at - 1] not in "(+-×/^,"
        out += f" {each} " if sign else f"{each} " if each == "," else each
    return out.strip()


def in_any_unit(figure: Figure) -> bool:
    """True where the figure's rule holds whatever unit its lengths are put in: twice the lengths
    give twice the length. Any other is printed with millimetres, for which it is written."""
    if figure.working is None or figure.unit != "mm" or isinstance(figure.value, Message):
        return False
    puts = figure.working.puts
    doubled = {one.symbol: one.value * (2.0 if one.unit == "mm" else 1.0) for one in puts}
    formula = str(figure.rule)
    symbol = formula.partition("=")[0].strip()
    again = Rule(formula, {symbol: "", **dict.fromkeys(doubled, "")})(**doubled)
    return math.isclose(again, 2.0 * figure.value, abs_tol=1e-9)


def behind(put: Put, figures: Mapping[str, Figure]) -> Figure | None:
    """The figure that the number put in is, to be printed as that is; None where the number only
    comes of it, or of the job or the catalogue."""
    figure = figures.get(put.key)
    same = figure is not None and (figure.value, figure.unit) == (put.value, put.unit)
    return figure if same else None


def worked(figure: Figure, say: Callable[[Put], str], *, in_mm: bool) -> str:
    """The rule and the same with the numbers put in: "w = (C - m)/2 + b = (1680 - 4)/2 + 25".

    "" for a figure that no formula made. `say` spells one number; where the lengths are printed in
    other units than mm (`in_mm` false) and the rule asks for mm, it is said so.
    """
    if figure.working is None:
        return ""
    plain = in_mm or in_any_unit(figure)
    spelled = {}
    for put in figure.working.puts:
        said = say(put) if plain else f"{round(put.value, 6):g}"
        spelled[put.symbol] = f"({said})" if put.value < 0 else said
    made = f"{figure.rule} = {put_in(str(figure.rule), spelled)}"
    if plain:
        return made
    units = ", ".join(dict.fromkeys(put.unit for put in figure.working.puts if put.unit))
    if units:
        made += f" (in {units})"
    ours = unit_here(figure.unit, "mm")
    if figure.unit != "mm" and ours != unit_here(figure.unit, "feet-inches"):
        made += f" = {figure.value:.6g} {ours}"
    return made
