"""Which fields does a form have for a part of the job file, and what did a person write in them?

Forms are made from the job file's own models, so that a field added there can be filled in here.
A form holds texts; `fields` makes them from a document's values and `read` makes values again.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from truehang.amounts import number_here, read_here, unit_here
from truehang.job.fields import Day, InUnit, Millimetres, Note
from truehang.lengths import LengthError, LengthStyle, format_given, parse_length
from truehang.web.labels import label_of
from truehang.web.wording import in_units, on_page

Kind = Literal[
    "length",
    "number",
    "text",
    "note",
    "choice",
    "picture",
    "truth",
    "yes",
    "day",
    "lengths",
    "rows",
    "group",
]
Choices = Mapping[str, tuple[tuple[str, str], ...]]
"""What can be chosen (value, label), by the field's path in the job file."""

_PICTURED = "wall.situation"
"""What is chosen from pictures, in words of its own (`truehang.situations`)."""
_UNIT = re.compile(r", (mm|kg/m[23]|kg|m/s|kN/m2?|kN|dB|Hz|m2|%|days|hours|years)\b")
"""The unit of a number, as the job file's own description of it says."""
MOST_ROWS = 80
_WITH_UNIT = re.compile(r"^-?\d+(\.\d+)?(e-?\d+)? mm$")
TRUTH = (("", "not known"), ("yes", "yes"), ("no", "no"))
_TRUTHS = {"yes": True, "no": False}
_SPARE = {"stations": 18, "services": 4, "offcuts": 4}
"""How many rows a list shows at least; two blank ones always."""


@dataclass(frozen=True, slots=True)
class Field:
    """One field as it is shown. `name` is its dotted path within the form, `value` its text;
    `fields` are the parts of a group, `rows` the rows of a list with blank ones at the end,
    `none` whether a list can be said to be empty after a look ("" where that means nothing, else
    "no" or "yes"), `keyed` says that each row stands under a name of its own, `keypad` which
    keys a phone shows for a length or number: its decimal pad has no minus, no feet, no inches,
    `unit` the unit that a number is typed in, and `ours` the one that it is kept in."""

    name: str
    label: str
    hint: str
    kind: Kind
    value: str = ""
    required: bool = False
    choices: tuple[tuple[str, str], ...] = ()
    fields: tuple[Field, ...] = ()
    rows: tuple[tuple[Field, ...], ...] = ()
    none: Literal["", "no", "yes"] = ""
    keyed: bool = False
    keypad: Literal["decimal", "text"] = "decimal"
    unit: str = ""
    ours: str = ""

    @property
    def last(self) -> str:
        """The last part of its name."""
        return self.name.rpartition(".")[2]


@dataclass(frozen=True, slots=True)
class _Shape:
    kind: Kind
    model: type[BaseModel] | None = None
    optional: bool = False
    choices: tuple[str, ...] = ()
    keyed: bool = False
    signed: bool = False
    unit: str = ""


def _plain_text(text: str) -> str:
    return text


@dataclass(frozen=True, slots=True)
class Form:
    """How the fields of one job are made: the style of lengths, what can be chosen, and how a
    text is said in the job's region."""

    style: LengthStyle = "mm"
    choices: Choices = field(default_factory=dict)
    say: Callable[[str], str] = _plain_text

    # ------------------------------------------------------------ document -> fields

    def fields(
        self,
        model: type[BaseModel],
        values: Mapping[str, Any],
        path: str,
        *,
        only: Iterable[str] = (),
        skip: Iterable[str] = (),
        prefix: str = "",
        blank: bool = False,
    ) -> tuple[Field, ...]:
        """The fields of one model with the values that stand in the document. `path` is the
        model's place in the job file; `blank` True where the whole part may be left out."""
        left_out = set(skip)
        wanted = [name for name in (tuple(only) or model.model_fields) if name not in left_out]
        return tuple(
            self._field(model, name, values.get(name), path, prefix, blank) for name in wanted
        )

    def _field(
        self, model: type[BaseModel], name: str, value: Any, path: str, prefix: str, blank: bool
    ) -> Field:
        info, where = model.model_fields[name], f"{path}.{name}"
        shape = shape_of(model, name)
        made = Field(
            name=f"{prefix}{name}",
            label=self.say(label_of(name)),
            hint=in_units(self.say(on_page(info.description or "")), self.style),
            kind=shape.kind,
            required=info.is_required() and not blank,
            keypad="text" if shape.signed or self._in_feet(shape) else "decimal",
            unit=self._unit(shape, info.description or ""),
            ours=shape.unit,
        )
        if value is None and not info.is_required() and not blank and shape.kind != "group":
            value = info.get_default(call_default_factory=True)
        if shape.kind == "group" and shape.model is not None:
            inner = self.fields(
                shape.model, value or {}, where, prefix=f"{made.name}.",
                blank=blank or shape.optional,
            )  # fmt: skip
            return replace(made, fields=inner)
        if shape.kind == "rows":
            rows = tuple(self._rows(shape, name, value, where, made.name))
            looked = value is not None and not as_rows(value)
            none: Literal["", "no", "yes"] = ("yes" if looked else "no") if shape.optional else ""
            return replace(made, rows=rows, keyed=shape.keyed, none=none)
        if shape.kind == "truth":
            text = "" if value is None else "yes" if value else "no"
            return replace(made, value=text, choices=TRUTH)
        if where == _PICTURED:
            return replace(made, kind="picture", value="" if value is None else str(value))
        if shape.kind == "choice" or where in self.choices:
            return self._choice(made, shape, value, where)
        return replace(made, value=self.text(shape.kind, value, shape.unit))

    def _unit(self, shape: _Shape, said: str) -> str:
        """The unit that a number is typed in; "" where it carries its own, or has none."""
        if shape.kind in ("length", "lengths"):
            return "mm" if self.style == "mm" else ""
        if shape.unit:
            return unit_here(shape.unit, self.style)
        found = _UNIT.search(said) if shape.kind == "number" else None
        return found[1] if found else ""

    def _in_feet(self, shape: _Shape) -> bool:
        return shape.kind == "length" and self.style != "mm"

    def _choice(self, made: Field, shape: _Shape, value: Any, where: str) -> Field:
        given = self.choices.get(where) or tuple((key, key) for key in shape.choices)
        offered = tuple((key, self.say(label).replace("-", " ")) for key, label in given)
        text = "" if value is None else str(value)
        if text and text not in {key for key, _ in offered}:
            offered = ((text, text), *offered)
        if not text:
            offered = (("", "choose" if made.required else "–"), *offered)
        return replace(made, kind="choice", value=text, choices=offered)

    def _rows(
        self, shape: _Shape, name: str, value: Any, where: str, full: str
    ) -> Iterator[tuple[Field, ...]]:
        rows = as_rows(value)
        spare = max(2, _SPARE.get(name, 0) - len(rows))
        for number, row in enumerate([*rows, *({} for _ in range(spare))]):
            prefix = f"{full}.{number}."
            cells: tuple[Field, ...] = ()
            if shape.keyed:
                cells = (Field(f"{prefix}name", "name", "", "text", str(row.get("name", ""))),)
            if shape.model is None:
                text = self.text("number", row.get("value"))
                cells += (Field(f"{prefix}value", "value", "", "number", text),)
            else:
                cells += self.fields(shape.model, row, where, prefix=prefix, blank=True)
            yield cells

    def text(self, kind: Kind, value: Any, unit: str = "") -> str:
        """A value as it is shown in a field."""
        if value is None:
            return ""
        if kind == "length" and isinstance(value, str) and _WITH_UNIT.match(value):
            value = parse_length(value)  # as a short one stands in a document
        if kind == "length" and isinstance(value, int | float):
            return format_given(value, self.style)
        if kind == "lengths" and not isinstance(value, str):
            return "; ".join(self.text("length", item) for item in value)
        if kind == "yes":
            return "yes" if value else ""
        if unit and self.style != "mm" and isinstance(value, int | float):
            return f"{float(number_here(value, unit, self.style, 1)):g}"
        return f"{value:g}" if isinstance(value, float) else str(value)

    # ------------------------------------------------------------ form -> document

    def read(
        self,
        model: type[BaseModel],
        sent: Mapping[str, str],
        values: Mapping[str, Any],
        path: str,
        *,
        only: Iterable[str] = (),
        skip: Iterable[str] = (),
    ) -> dict[str, Any]:
        """The document's values of this model with what was written put in.

        A length whose text was not touched keeps its exact value. Nothing is checked here: that
        is the job's own models' business.
        """
        out = dict(values)
        for item in self.fields(model, values, path, only=only, skip=skip):
            value = self._read(item, sent, values.get(item.last))
            if value is None:
                out.pop(item.last, None)
            else:
                out[item.last] = value
        return out

    def _read(self, item: Field, sent: Mapping[str, str], old: Any) -> Any:
        if item.kind == "group":
            there = old if isinstance(old, Mapping) else {}
            parts = {
                part.last: self._read(part, sent, there.get(part.last)) for part in item.fields
            }
            return {key: value for key, value in parts.items() if value is not None} or None
        if item.kind == "rows":
            return self._read_rows(item, sent, old)
        if item.kind == "yes":
            return item.name in sent
        if item.name not in sent:
            return old  # this form had no such field: what stands there is not touched
        text = sent[item.name].strip()
        if not text:
            return None
        if item.kind == "truth":
            return _TRUTHS.get(text, text)
        if old is not None and text == self.text(item.kind, old, item.ours):
            return old
        if item.ours and self.style != "mm":
            found = read_here(text, item.ours, self.style)
            return text if found is None else round(found, 6)
        if item.kind == "lengths":
            return [part.strip() for part in re.split(r"[;\n]", text) if part.strip()]
        return text

    def _read_rows(self, item: Field, sent: Mapping[str, str], old: Any) -> Any:
        pattern = re.compile(rf"{re.escape(item.name)}\.(\d{{1,3}})\.")
        numbers = {int(match[1]) for key in sent if (match := pattern.match(key))}
        if not numbers:
            return old
        olds, found = as_rows(old), list[dict[str, Any]]()
        for number in sorted(numbers)[:MOST_ROWS]:
            there = olds[number] if number < len(olds) else {}
            cells = [
                replace(cell, name=f"{item.name}.{number}.{cell.last}") for cell in item.rows[-1]
            ]
            row = {cell.last: self._read(cell, sent, there.get(cell.last)) for cell in cells}
            kept = {key: value for key, value in row.items() if value is not None}
            if any(value is not False for value in kept.values()):  # a box left alone says nothing
                found.append(kept)
        if item.keyed and found:
            return {str(row.pop("name", "")): row.get("value", row) for row in found}
        if item.last == "stations":
            found.sort(key=_x_of)
        if not found and item.none and f"{item.name}.none" in sent:
            return []  # somebody looked
        return found or None


def _x_of(row: Mapping[str, Any]) -> float:
    """Where a station is, so that stations typed in any order run from left to right."""
    try:
        return parse_length(row.get("x"))
    except LengthError:
        return math.inf  # told by its field


def as_rows(value: Any) -> list[dict[str, Any]]:
    """The rows of a list, or of a mapping whose keys become names."""
    if isinstance(value, Mapping):
        return [
            {"name": key, **item} if isinstance(item, Mapping) else {"name": key, "value": item}
            for key, item in value.items()
        ]
    return [
        dict(item) if isinstance(item, Mapping) else item.model_dump(exclude_defaults=True)
        for item in value or ()
    ]


@cache
def shape_of(model: type[BaseModel], name: str) -> _Shape:
    """What kind of field a field of the job file makes."""
    return _shape(model.model_fields[name])


def _shape(info: FieldInfo) -> _Shape:
    """What kind of field a model's field makes."""
    kind, metadata, optional = _bare(info.annotation, list(info.metadata))
    if units := [item for item in metadata if isinstance(item, InUnit)]:
        return _Shape("number", unit=units[0].unit)
    if lengths := [item for item in metadata if isinstance(item, Millimetres)]:
        # As far below zero as above: an offset, whose sign is written as a matter of course.
        return _Shape("length", signed=lengths[0].least == -lengths[0].most)
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return _Shape("group", kind, optional)
    origin, inside = get_origin(kind), get_args(kind)
    if origin is Literal:
        return _Shape("choice", choices=tuple(map(str, inside)))
    if origin is tuple:
        item, more, _ = _bare(inside[0], [])
        if isinstance(item, type) and issubclass(item, BaseModel):
            return _Shape("rows", item, optional)
        return _Shape("lengths" if any(isinstance(m, Millimetres) for m in more) else "text")
    if origin is dict:
        item, _, _ = _bare(inside[1], [])
        model = item if isinstance(item, type) and issubclass(item, BaseModel) else None
        return _Shape("rows", model, keyed=True)
    if kind is bool:
        return _Shape("truth" if optional else "yes")
    if kind is str:
        return _Shape("note" if _same(metadata, Note) else "text")
    return _Shape("day" if _same(metadata, Day) else "number" if kind is not Any else "text")


def _bare(annotation: Any, metadata: list[Any]) -> tuple[Any, list[Any], bool]:
    """The annotation without `Annotated` and `| None`, its metadata, and whether None was in."""
    optional = False
    while True:
        if get_origin(annotation) is Annotated:
            annotation, *more = get_args(annotation)
            metadata = [*more, *metadata]
        elif get_origin(annotation) in (Union, UnionType):
            arms = [arm for arm in get_args(annotation) if arm is not NoneType]
            optional = optional or len(arms) < len(get_args(annotation))
            annotation = arms[0]
        else:
            return annotation, metadata, optional


def _same(metadata: list[Any], alias: Any) -> bool:
    """Does the field's metadata hold what this named kind of field has?"""
    known = get_args(alias)[1:]
    flat = {repr(m) for item in metadata for m in (item, *getattr(item, "metadata", ()))}
    return any(repr(m) in flat for item in known for m in (item, *getattr(item, "metadata", ())))
