"""What is different between two states of a job, in the words and units of its pages?

A difference is told where a person would look for it: a reading by its place ("bottom width"), a
row by its name, a field by its label; its two values with their units.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from truehang.job import READINGS, Job
from truehang.store.merge import ABSENT, put
from truehang.web.forms import Form, as_rows, shape_of
from truehang.web.labels import label_of
from truehang.web.stages._opening import label as reading_label

NOTHING = "nothing"
_WITH_UNIT = ("length", "lengths")
_OWN_NAMES = ("id", "name", "kind", "at", "face")
"""Fields that name a row, and are not said again among what it holds."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that differs: where it stands, and what it was and is, as a page says them."""

    where: str
    before: str
    after: str

    @property
    def line(self) -> str:
        """The whole of it in a line."""
        return f"{self.where}: {self.before} → {self.after}"


def differences(
    form: Form, before: Mapping[str, Any], after: Mapping[str, Any], *, whole: bool = False
) -> tuple[Difference, ...]:
    """Everything that differs between two documents, in the job file's order. A row that changed
    is told by its fields that did, or as a `whole`."""
    return tuple(_between(form, Job, before, after, (), whole))


def of_values(
    form: Form, document: Mapping[str, Any], path: tuple[str, ...], before: Any, after: Any
) -> tuple[Difference, ...]:
    """What differs where one value at a path is another; `document` is what stands around it."""
    try:
        sides = [put(document, path, value) for value in (before, after)]
        return differences(form, *sides, whole=True)
    except (KeyError, TypeError, AttributeError):  # what it stood in is gone
        where = ", ".join(part.replace("_", " ") for part in path)
        return (Difference(where, _raw(before), _raw(after)),)


def _between(
    form: Form,
    model: type[BaseModel],
    before: Any,
    after: Any,
    where: tuple[str, ...],
    whole: bool,
) -> Iterator[Difference]:
    for name in model.model_fields:
        old, new = (side.get(name) for side in (before, after))
        if old == new:
            continue
        shape = shape_of(model, name)
        label = form.say(label_of(name))
        if name == "value":  # a reading's own: its place says it all
            yield Difference(_heading(where), *(_leaf(form, shape.kind, v) for v in (old, new)))
        elif shape.kind == "group" and shape.model is not None:
            yield from _between(form, shape.model, old or {}, new or {}, (*where, label), whole)
        elif shape.kind == "rows" and not (old in ({}, [], None) and new in ({}, [], None)):
            yield from _rows(form, shape.model, name, (old, new), (*where, label), whole)
        else:
            unset = "nobody looked" if shape.kind == "rows" else NOTHING
            yield Difference(
                _heading((*where, label)),
                *(_leaf(form, shape.kind, value) or unset for value in (old, new)),
            )


def _rows(
    form: Form, model: type[BaseModel] | None, name: str, sides: tuple[Any, Any],
    where: tuple[str, ...], whole: bool,
) -> Iterator[Difference]:  # fmt: skip
    olds, news = (_named(side) for side in sides)
    for key in (*olds, *(key for key in news if key not in olds)):
        one, other = olds.get(key), news.get(key)
        if one == other:
            continue
        called = _called(name, key, other if other is not None else one)
        place = (called,) if name == "readings" else (*where, called)
        if one is None or other is None or model is None or whole:
            yield Difference(
                _heading(place), *(_row(form, model, name, row) for row in (one, other))
            )
        else:
            yield from _between(form, _model(name, model, other), one, other, place, whole)


def _model(name: str, model: type[BaseModel], row: Mapping[str, Any]) -> type[BaseModel]:
    return READINGS.get(str(row.get("kind")), model) if name == "readings" else model


def _named(value: Any) -> dict[str, dict[str, Any]]:
    """Rows by what tells them apart: their id, their name, their x, else their number."""
    found: dict[str, dict[str, Any]] = {}
    for number, row in enumerate(as_rows(value), 1):
        key = next((str(row[n]) for n in ("id", "name", "x") if row.get(n) is not None), "")
        found[key if key and key not in found else f"number {number}"] = row
    return found


def _called(name: str, key: str, row: Any) -> str:
    if name != "readings":
        return f"at {key}" if name == "stations" else key
    said = reading_label(str(row.get("kind", "")), str(row.get("at", row.get("face", ""))))
    usual = "-".join(
        filter(None, (row.get("kind"), str(row.get("at", row.get("face", ""))).lower()))
    )
    return said if key == usual else f"{said} ({key})"


def _row(
    form: Form, model: type[BaseModel] | None, name: str, row: Mapping[str, Any] | None
) -> str:
    """What one row holds, in a line; its own name is said before it."""
    if row is None:
        return NOTHING
    if model is None:
        return str(row.get("value", ""))
    said = []
    for key in _model(name, model, row).model_fields:
        value = row.get(key)
        if value is None or value in ((), [], "") or key in ("id", "name"):
            continue
        if name == "readings" and key in _OWN_NAMES:
            continue
        shape = shape_of(_model(name, model, row), key)
        if shape.kind == "group" and shape.model is not None:
            text = _row(form, shape.model, key, value)
        elif shape.kind == "rows":
            text = ", ".join(_row(form, shape.model, key, each) for each in as_rows(value))
        else:
            text = _leaf(form, shape.kind, value)
        said.append(text if key in ("value", "kind") else f"{form.say(label_of(key))} {text}")
    return ", ".join(said) or "there"


def _leaf(form: Form, kind: Any, value: Any) -> str:
    if value is None:
        return ""
    if kind in ("truth", "yes"):
        return "yes" if value else "no"
    if kind == "rows":
        return "none"
    text = form.text(kind, value)
    return f"{text} mm" if kind in _WITH_UNIT and text and form.style == "mm" else text


def _heading(parts: tuple[str, ...]) -> str:
    text = ", ".join(parts)
    return text[:1].upper() + text[1:]


def _raw(value: Any) -> str:
    if value is ABSENT or value is None:
        return NOTHING
    if isinstance(value, Mapping):
        return ", ".join(f"{key.replace('_', ' ')} {_raw(inner)}" for key, inner in value.items())
    return "; ".join(map(_raw, value)) if isinstance(value, list | tuple) else str(value)
