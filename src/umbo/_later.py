"""Doors that open late: names of a package that are imported when somebody asks for them (decision 10)."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any

__all__ = ["later"]


def later(package: str, modules: Mapping[str, tuple[str, ...]]) -> Callable[[str], Any]:
    """Make the ``__getattr__`` of a package (PEP 562) that imports names on demand.

    Parameters
    ----------
    package : str
        Full name of the package.
    modules : mapping of str to tuple of str
        Names by the private module of the package that has them; a test compares with what type checkers are told.

    Returns
    -------
    callable
        From a name to its value.
    """
    homes = {name: module for module, names in modules.items() for name in names}

    def found(name: str) -> Any:  # noqa: ANN401  (whatever the module has)
        if name not in homes:
            raise AttributeError(name, obj=package, name=name)
        return getattr(import_module(f"{package}.{homes[name]}"), name)

    return found
