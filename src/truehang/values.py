"""How is a frozen dataclass made without paying at start-up for what nobody calls?

The standard library compiles six functions for each frozen dataclass when its module is loaded,
which for the house's hundreds of them costs more than a plan. Here `dataclass` makes the same
class, with the same fields and the same meaning, but `__init__`, `__eq__` and `__hash__` are
compiled when first called, and what is alike in all of them is one function for all.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import MISSING, FrozenInstanceError, fields
from reprlib import recursive_repr
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(cls=None, /, *, frozen=False, slots=False, order=False, kw_only=False):
        """`dataclasses.dataclass`; what is frozen and slotted gets its functions when called."""
        if not (frozen and slots) or order:
            return dataclasses.dataclass(
                cls, frozen=frozen, slots=slots, order=order, kw_only=kw_only
            )
        if cls is None:
            return lambda cls: _value(cls, kw_only)
        return _value(cls, kw_only)


__all__ = ["dataclass"]


def _value(cls: type, kw_only: bool) -> type:
    """The frozen and slotted dataclass."""
    own = set(vars(cls)) - ({"__hash__"} if vars(cls).get("__hash__", 0) is None else set())
    made: type = dataclasses.dataclass(
        cls, init=False, repr=False, eq=False, slots=True, kw_only=kw_only
    )
    for name, value in {
        "__init__": _when_called(made, "__init__", _init),
        "__eq__": _when_called(made, "__eq__", _eq),
        "__hash__": _when_called(made, "__hash__", _hash),
        "__repr__": _shown,
        "__setattr__": _no_change,
        "__delattr__": _no_change,
        "__getstate__": _state,
        "__setstate__": _set_state,
    }.items():
        if name not in own:
            setattr(made, name, value)
    return made


def _when_called(cls: type, name: str, text: Callable[[type, dict[str, Any]], str]) -> Any:
    """A function that puts the compiled one in its place when it is first called."""

    def first(*args: Any, **kwargs: Any) -> Any:
        names: dict[str, Any] = {"cls": cls}
        exec(text(cls, names), names)
        made = names[name]
        made.__qualname__ = f"{cls.__qualname__}.{name}"
        made.__module__ = cls.__module__
        setattr(cls, name, made)
        return made(*args, **kwargs)

    return first


def _init(cls: type, names: dict[str, Any]) -> str:
    """The text of `__init__`; every field is set through its slot, past the frozen class."""
    takes: list[str] = []
    named: list[str] = []
    body: list[str] = []
    for field in fields(cls):
        name = value = field.name
        default = ""
        names[f"_set_{name}"] = getattr(cls, name).__set__
        if field.default_factory is not MISSING:
            names[f"_make_{name}"], names["_none"] = field.default_factory, MISSING
            value, default = f"_make_{name}() if {name} is _none else {name}", "=_none"
        elif field.default is not MISSING:
            names[f"_default_{name}"] = field.default
            default = f"=_default_{name}"
        if field.init:
            (named if field.kw_only else takes).append(f"{name}{default}")
        elif default:
            value = f"_make_{name}()" if default == "=_none" else f"_default_{name}"
        else:
            continue
        body.append(f" _set_{name}(self, {value})\n")
    if hasattr(cls, "__post_init__"):
        body.append(" self.__post_init__()\n")
    given = ", ".join(["self", *takes, *(["*", *named] if named else [])])
    return f"def __init__({given}):\n{''.join(body) or ' pass'}"


def _eq(cls: type, names: dict[str, Any]) -> str:
    """The text of `__eq__`: field by field, between two of the very same class."""
    compared = [field.name for field in fields(cls) if field.compare]
    ours = "".join(f"self.{name}, " for name in compared)
    theirs = "".join(f"other.{name}, " for name in compared)
    return (
        "def __eq__(self, other):\n"
        " if other.__class__ is not self.__class__:\n  return NotImplemented\n"
        f" return ({ours}) == ({theirs})"
    )


def _hash(cls: type, names: dict[str, Any]) -> str:
    """The text of `__hash__`, from the fields that are compared."""
    hashed = [f.name for f in fields(cls) if (f.compare if f.hash is None else f.hash)]
    return f"def __hash__(self):\n return hash(({''.join(f'self.{name}, ' for name in hashed)}))"


def _no_change(self: Any, name: str, value: object = None) -> None:
    raise FrozenInstanceError(f"cannot change field {name!r}")


def _state(self: Any) -> list[Any]:
    return [getattr(self, field.name) for field in fields(self)]


def _set_state(self: Any, state: list[Any]) -> None:
    for field, value in zip(fields(self), state, strict=True):
        object.__setattr__(self, field.name, value)


@recursive_repr("...")
def _shown(self: Any) -> str:
    told = ", ".join(f"{f.name}={getattr(self, f.name)!r}" for f in fields(self) if f.repr)
    return f"{type(self).__qualname__}({told})"
