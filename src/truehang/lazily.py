"""How does a package offer names whose modules are loaded only once somebody asks for them, and how
do modules list themselves?

A plan pays for the solvers of cutting and lining only where something is cut or lined (PEP 562).
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import import_module
from pkgutil import iter_modules
from typing import Any


def offered(package: str, **names: tuple[str, ...]) -> Callable[[str], Any]:
    """The `__getattr__` of a package: `module=("name", ...)` are the names that come out of that
    module of it when one is first asked for."""
    homes = {name: module for module, each in names.items() for name in each}

    def found(name: str) -> Any:
        if name not in homes:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        value = getattr(import_module(f"{package}.{homes[name]}"), name)
        setattr(sys.modules[package], name, value)
        return value

    return found


def listed(package: str, name: str) -> tuple[Any, ...]:
    """What the modules of a package say of themselves under this name, by the modules' names: so
    that whoever walks them need not know which there are. Those that begin with _ are left out."""
    places = import_module(package).__path__
    names = [found.name for found in iter_modules(places) if not found.name.startswith("_")]
    modules = [import_module(f"{package}.{each}") for each in names]
    return tuple(getattr(module, name) for module in modules if hasattr(module, name))
