"""Write the API reference: one page per package, every public name on it, from the docstrings."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING

from sphinx.pycode import ModuleAnalyzer

import umbo
from umbo.refdata import describe_tables

if TYPE_CHECKING:
    from types import ModuleType

    from sphinx.application import Sphinx

SHORT = 200


def public_modules() -> list[ModuleType]:
    """Every package and module of umbo that has a public name, in alphabetical order."""
    names = [found.name for found in pkgutil.iter_modules(umbo.__path__, "umbo.")]
    modules = [importlib.import_module(name) for name in names if not name.rpartition(".")[2].startswith("_")]
    return [module for module in modules if getattr(module, "__all__", None)]


def comment(module: ModuleType, name: str) -> list[str]:
    """Lines of the ``#:`` comment at the definition of a constant, wherever in the package that is."""
    inner = [found.name for found in pkgutil.iter_modules(getattr(module, "__path__", []), f"{module.__name__}.")]
    for place in [module.__name__, *inner]:
        documented = ModuleAnalyzer.for_module(place).find_attr_docs()
        if ("", name) in documented:
            return list(documented["", name])
    return []


def entry(module: ModuleType, name: str) -> list[str]:
    """The directive that documents one public name."""
    value = getattr(module, name)
    if inspect.isclass(value):
        if issubclass(value, BaseException):
            return [f".. autoexception:: {name}", "   :show-inheritance:"]
        return [f".. autoclass:: {name}", *(["   :undoc-members:"] if issubclass(value, Enum) else [])]
    if inspect.isroutine(value):
        return [f".. autofunction:: {name}"]
    text = comment(module, name)
    if hasattr(value, "__origin__"):
        text += ["", f"Type alias of ``{value}``."]
    elif len(repr(value)) < SHORT and not isinstance(value, Path):  # a path is another one on every machine
        text += ["", f"Value: ``{value!r}``."]
    return [f".. py:data:: {name}", "", *(f"   {line}" for line in text)]


def page(module: ModuleType) -> str:
    """Text of the page of one package."""
    lines = [module.__name__, "=" * len(module.__name__), "", f".. automodule:: {module.__name__}"]
    lines += ["   :no-members:", "", f".. currentmodule:: {module.__name__}", ""]
    for name in module.__all__:
        lines += [name, "-" * len(name), "", *entry(module, name), ""]
    return "\n".join(lines)


def index(modules: list[ModuleType]) -> str:
    """Text of the page that lists the packages."""
    lines = [
        "Reference",
        "=========",
        "",
        "Every public name, package by package, from its own docstring.",
        "",
    ]
    lines += [".. toctree::", "   :maxdepth: 1", ""]
    return "\n".join([*lines, *(f"   {module.__name__}" for module in modules), "   tables", ""])


def write_pages(app: Sphinx) -> None:
    """Write the pages, touching only those that changed, and remove those of packages that are gone."""
    modules = public_modules()
    wanted = {"index.rst": index(modules), **{f"{module.__name__}.rst": page(module) for module in modules}}
    # the listing marks its references with HTML anchors; the documentation wants links to them as plain HTML too
    wanted["tables.md"] = re.sub(r"\[([^\]]+)\]\(#([\w-]+)\)", r'<a href="#\2">\1</a>', describe_tables())
    folder = Path(app.srcdir) / "reference"
    folder.mkdir(exist_ok=True)
    for old in folder.iterdir():
        if old.name not in wanted:
            old.unlink()
    for name, text in wanted.items():
        target = folder / name
        if not target.exists() or target.read_text(encoding="utf-8") != text:
            target.write_text(text, encoding="utf-8")


def setup(app: Sphinx) -> dict[str, bool]:
    app.connect("builder-inited", write_pages)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
