"""What is wrong with the docstring of a public function or class, as sentences."""

import inspect
import re
from collections.abc import Callable, Iterator
from types import ModuleType
from typing import Any

from numpydoc.docscrape import NumpyDocString

NUMERIC = re.compile(r"\b(?:int|float|complex|ArrayLike|NDArray|\w*(?<!Bool)(?<!Str)Array)\b")
NOT_NUMERIC = re.compile(r"\bbool(?:ean)?\b|np\.bool|\bstr\b")
UNIT = re.compile(r"(?<!\w)\[[^\[\]]+\](?!_)")
MOST_WITHOUT_LIST = 2
Documented = tuple[str, Any, list[inspect.Parameter], bool]


def documented_parameters(doc: str) -> dict[str, tuple[str, str]]:
    """Each parameter of a numpydoc docstring with type and description; shared lines are taken apart."""
    sections = NumpyDocString(doc)
    return {
        name.strip().lstrip("*"): (entry.type, " ".join(entry.desc))
        for entry in sections["Parameters"] or sections["Attributes"]
        for name in entry.name.split(",")
    }


def parameters(function: Callable[..., object]) -> list[inspect.Parameter]:
    """What a caller can give, without the object or class itself."""
    given = inspect.signature(function).parameters.values()
    return [p for p in given if p.name not in ("self", "cls") and not p.name.startswith("_")]


def public_functions(module: ModuleType) -> Iterator[Documented]:
    """Name, object, parameters and strictness of everything callable behind a door.

    Strict means that every parameter has to be listed: always in a class, in a function that takes numbers,
    and where there are more than two. Elsewhere a sentence may do, but a list that is there has to be right.
    """
    for public in module.__all__:
        value = getattr(module, public)
        name = f"{module.__name__}.{public}"
        if inspect.isroutine(value):
            given = parameters(value)
            numeric = any(is_numeric(p, "") for p in given)
            yield name, value, given, numeric or len(given) > MOST_WITHOUT_LIST
        elif inspect.isclass(value):
            yield from _of_class(name, value)


def _of_class(name: str, value: type) -> Iterator[Documented]:
    made_by_callers = not issubclass(value, Exception) and not getattr(value, "_is_protocol", False)
    if "__init__" in vars(value) and made_by_callers:
        yield name, value, parameters(value), True
    for attribute, member in list(vars(value).items()):  # a model that is looked at is built, which adds to it
        function = getattr(member, "__func__", member)
        if inspect.isfunction(function) and not attribute.startswith("_"):
            given = parameters(function)
            yield f"{name}.{attribute}", function, given, len(given) > MOST_WITHOUT_LIST


def documentation(value: object) -> str:
    """Docstrings that describe the parameters: those of a class and of the classes it derives from."""
    if not inspect.isclass(value):
        return inspect.getdoc(value) or ""
    own = [vars(base).get("__doc__") or "" for base in reversed(value.__mro__) if base.__module__.startswith("umbo")]
    return "\0".join(inspect.cleandoc(doc) for doc in own)


def is_numeric(parameter: inspect.Parameter, described_type: str) -> bool:
    """Whether a parameter takes numbers, by its annotation and by what its docstring calls it."""
    annotation = parameter.annotation
    text = annotation if isinstance(annotation, str) else getattr(annotation, "__name__", str(annotation))
    return bool(NUMERIC.search(text)) and not NOT_NUMERIC.search(described_type or text)


def violations(name: str, value: object, given: list[inspect.Parameter], *, strict: bool) -> Iterator[str]:
    """Every way in which one docstring disagrees with its signature."""
    doc = documentation(value)
    if not doc.rpartition("\0")[2]:
        yield f"{name}: has no docstring"
        return
    documented = {n: entry for part in doc.split("\0") for n, entry in documented_parameters(part).items()}
    names = [p.name for p in given]
    if not documented and not strict:
        return
    if list(documented) != names:
        yield f"{name}: documents ({', '.join(documented)}), takes ({', '.join(names)})"
    for parameter in given:
        described_type, description = documented.get(parameter.name, ("", None))
        if description is not None and is_numeric(parameter, described_type) and not UNIT.search(description):
            yield f"{name}: {parameter.name} has no [unit]"
