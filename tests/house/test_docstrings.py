"""A docstring says what the signature says, and every number has a unit."""

import importlib
from collections.abc import Callable

import pytest
from house_docstrings import documented_parameters, parameters, public_functions, violations
from test_doors import public_modules


def every_violation() -> list[str]:
    modules = [importlib.import_module(name) for name in public_modules()]
    return sorted(
        {
            sentence
            for module in modules
            if hasattr(module, "__all__")
            for name, value, given, strict in public_functions(module)
            for sentence in violations(name, value, given, strict=strict)
        }
    )


def test_docstrings_agree_with_signatures() -> None:
    if found := every_violation():
        pytest.fail("\n".join(["docstrings that disagree with their signatures:", *found]), pytrace=False)


def good(level_db: float, ear: str) -> None:
    """Do it.

    Parameters
    ----------
    level_db : float
        How loud, see [1]_. [dB]
    ear : str
        Side.
    """


def without_unit(level_db: float) -> None:
    """Do it.

    Parameters
    ----------
    level_db : float
        How loud, see [1]_.
    """


def with_another_name(level_db: float) -> None:
    """Do it.

    Parameters
    ----------
    level : float
        How loud. [dB]
    """


def without_list(level_db: float) -> None:
    """Do it."""


@pytest.mark.parametrize(
    ("function", "expected"),
    [
        (good, []),
        (without_unit, ["f: level_db has no [unit]"]),
        (with_another_name, ["f: documents (level), takes (level_db)"]),
        (without_list, ["f: documents (), takes (level_db)"]),
    ],
)
def test_violations_are_found(function: Callable[..., None], expected: list[str]) -> None:
    assert list(violations("f", function, parameters(function), strict=True)) == expected


def test_short_methods_may_do_without_a_list() -> None:
    assert list(violations("f", without_list, parameters(without_list), strict=False)) == []


class Outer:
    """Base.

    Parameters
    ----------
    ear : str
        Side.
    """

    def __init__(self, ear: str) -> None:
        self.ear = ear


class Inner(Outer):
    """Derived.

    Parameters
    ----------
    level_db : float
        How loud. [dB]
    """

    def __init__(self, ear: str, level_db: float) -> None:
        super().__init__(ear)
        self.level_db = level_db


def test_a_class_may_leave_parameters_to_its_base(monkeypatch: pytest.MonkeyPatch) -> None:
    for value in (Outer, Inner):
        monkeypatch.setattr(value, "__module__", "umbo.example")
    assert list(violations("f", Inner, parameters(Inner), strict=True)) == []


def test_shared_lines_are_taken_apart() -> None:
    doc = "Do it.\n\nParameters\n----------\nstart, end : Plane\n    From where to where.\n"
    assert list(documented_parameters(doc)) == ["start", "end"]
