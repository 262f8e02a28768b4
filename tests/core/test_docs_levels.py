"""The page on levels and transfers: each of its examples runs and prints what the page shows."""

import doctest
import re
from pathlib import Path

import pytest

PAGE = Path(__file__).resolve().parents[2] / "docs" / "explanation" / "levels-and-transfers.md"
BLOCK = re.compile(r"^```pycon\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@pytest.fixture(scope="module")
def text():
    return PAGE.read_text(encoding="utf-8")


def test_every_example_prints_what_the_page_shows(text):
    """One after the other with shared names; errors are compared with their full sentence."""
    parser, runner = doctest.DocTestParser(), doctest.DocTestRunner(verbose=False)
    names: dict[str, object] = {}
    for block in BLOCK.finditer(text):
        line = text[: block.start(1)].count("\n")
        test = parser.get_doctest(block.group(1), names, PAGE.name, str(PAGE), line)
        printed: list[str] = []
        runner.run(test, out=printed.append, clear_globs=False)
        names.update(test.globs)
        assert not printed, "".join(printed)
    assert runner.tries > 40


def test_no_example_escapes(text):
    assert text.count(">>>") == sum(block.group(1).count(">>>") for block in BLOCK.finditer(text))


def test_the_page_shows_each_kind_of_refusal(text):
    shown = set(re.findall(r"umbo\.errors\.(\w+)", text))
    assert shown >= {
        "PlaneMismatchError",
        "EarMismatchError",
        "CouplingMismatchError",
        "GridMismatchError",
        "LevelSumError",
        "CombinationError",
    }
