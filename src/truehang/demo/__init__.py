"""Which invented jobs come with Truehang? Job files for trying it out, for tests and for docs."""

from __future__ import annotations

from importlib import resources
from importlib.resources.abc import Traversable

__all__ = ["UnknownDemo", "files", "names"]


class UnknownDemo(ValueError):
    """No demo has this name. The message lists those there are."""


def names() -> tuple[str, ...]:
    """The demos: one job each, but for the 24 of tannery-lofts."""
    return tuple(sorted(entry.name.removesuffix(".yaml") for entry in _data().iterdir()))


def files(name: str) -> tuple[tuple[str, str], ...]:
    """File name and text of every job file of a demo. Raises UnknownDemo."""
    if name not in names():
        raise UnknownDemo(f"no demo {name!r}; there are {', '.join(names())}")
    single = _data() / f"{name}.yaml"
    if single.is_file():
        return ((single.name, single.read_text(encoding="utf-8")),)
    folder = sorted((_data() / name).iterdir(), key=lambda entry: entry.name)
    return tuple((entry.name, entry.read_text(encoding="utf-8")) for entry in folder)


def _data() -> Traversable:
    return resources.files(__package__) / "data"
