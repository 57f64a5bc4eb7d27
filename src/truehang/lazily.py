"""How does a package offer names whose modules are loaded only once somebody asks for them?

A plan pays for the solvers of cutting and lining only where something is cut or lined (PEP 562).
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import import_module
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
