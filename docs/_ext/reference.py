"""Write the API reference: one page per package, every public name on it, from the docstrings."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from pathlib import Path
from typing import TYPE_CHECKING

import umbo

if TYPE_CHECKING:
    from types import ModuleType

    from sphinx.application import Sphinx


def public_modules() -> list[ModuleType]:
    """Every package and module of umbo that has a public name, in alphabetical order."""
    names = [found.name for found in pkgutil.iter_modules(umbo.__path__, "umbo.")]
    modules = [importlib.import_module(name) for name in names if not name.rpartition(".")[2].startswith("_")]
    return [module for module in modules if getattr(module, "__all__", None)]


def directive(value: object) -> str:
    """Name of the autodoc directive that documents this value."""
    if inspect.isclass(value):
        return "autoexception" if issubclass(value, BaseException) else "autoclass"
    return "autofunction" if inspect.isroutine(value) else "autodata"


def page(module: ModuleType) -> str:
    """Text of the page of one package."""
    lines = [module.__name__, "=" * len(module.__name__), "", f".. automodule:: {module.__name__}"]
    lines += ["   :no-members:", "", f".. currentmodule:: {module.__name__}", ""]
    for name in module.__all__:
        kind = directive(getattr(module, name))
        lines += [name, "-" * len(name), "", f".. {kind}:: {name}"]
        lines += ["   :no-value:", ""] if kind == "autodata" else [""]
    return "\n".join(lines)


def index(modules: list[ModuleType]) -> str:
    """Text of the page that lists the packages."""
    lines = ["Reference", "=========", "", "Every public name, package by package, from its own docstring.", ""]
    lines += [".. toctree::", "   :maxdepth: 1", ""]
    return "\n".join([*lines, *(f"   {module.__name__}" for module in modules), ""])


def write_pages(app: Sphinx) -> None:
    """Write the pages, touching only those that changed, and remove those of packages that are gone."""
    modules = public_modules()
    wanted = {"index": index(modules), **{module.__name__: page(module) for module in modules}}
    folder = Path(app.srcdir) / "reference"
    folder.mkdir(exist_ok=True)
    for old in folder.glob("*.rst"):
        if old.stem not in wanted:
            old.unlink()
    for name, text in wanted.items():
        target = folder / f"{name}.rst"
        if not target.exists() or target.read_text(encoding="utf-8") != text:
            target.write_text(text, encoding="utf-8")


def setup(app: Sphinx) -> dict[str, bool]:
    app.connect("builder-inited", write_pages)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
