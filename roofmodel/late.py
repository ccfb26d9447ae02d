"""Packages whose names come from modules that are imported when first asked for (PEP 562): whoever
wants the type of a plane need not wait for everything that is worked out with planes."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from importlib import import_module


def late_names(package: str, where: Mapping[str, str]) -> Callable[[str], object]:
    """The `__getattr__` of a package; `where` holds, by module, the names that it gives.

    A name may not be that of a module of the package: Python would put the module in its place.
    """
    module_of = {name: module for module, names in where.items() for name in names.split()}

    def find(name: str) -> object:
        if name not in module_of:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        value: object = getattr(import_module(f"{package}.{module_of[name]}"), name)
        setattr(sys.modules[package], name, value)
        return value

    return find
