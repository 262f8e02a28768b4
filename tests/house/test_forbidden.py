"""Constructs that have no place in this code."""

import ast
from collections.abc import Iterator

import pytest
from house_sources import code_files, name, tree

LOCAL_GENERATORS = {
    "default_rng",
    "Generator",
    "BitGenerator",
    "SeedSequence",
    "PCG64",
    "PCG64DXSM",
    "Philox",
    "SFC64",
    "MT19937",
}


def global_random(module: ast.Module) -> Iterator[str]:
    """Uses of a random state that every caller shares, and generators without a seed."""
    for node in ast.walk(module):
        written = ast.unparse(node) if isinstance(node, ast.Attribute) else ""
        owner, _, attribute = written.rpartition(".")
        if owner in ("np.random", "numpy.random") and attribute not in LOCAL_GENERATORS:
            yield f"{node.lineno}: {written}"
        if owner == "random" and attribute != "Random":
            yield f"{node.lineno}: {written}"
        if isinstance(node, ast.ImportFrom) and node.module in ("numpy.random", "random"):
            for alias in node.names:
                if alias.name not in LOCAL_GENERATORS | {"Random"}:
                    yield f"{node.lineno}: from {node.module} import {alias.name}"
        if (
            isinstance(node, ast.Call)
            and ast.unparse(node.func).endswith("default_rng")
            and not node.args + node.keywords
        ):
            yield f"{node.lineno}: default_rng() without a seed"


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("import numpy as np\nnp.random.seed(1)", 1),
        ("import numpy\nx = numpy.random.rand(3)", 1),
        ("from numpy.random import randn", 1),
        ("import random\nrandom.shuffle(x)", 1),
        ("rng = np.random.default_rng()", 1),
        ("rng = np.random.default_rng(7)\nrng.random(3)\nrandom.Random(3)", 0),
        ("def f(rng: np.random.Generator): ...", 0),
    ],
)
def test_global_random_is_recognised(text: str, count: int) -> None:
    assert len(list(global_random(ast.parse(text)))) == count


def test_no_global_random_state() -> None:
    assert [f"{name(path)}:{use}" for path in code_files() for use in global_random(tree(path))] == []


def test_no_assert_in_the_sources() -> None:
    """An assertion is no message to a user, and vanishes under ``python -O``."""
    found = [
        f"{name(path)}:{node.lineno}"
        for path in code_files("src")
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Assert)
    ]
    assert found == []
