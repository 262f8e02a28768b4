"""The error tree is the one drawn, and every error is one sentence of three parts."""

import ast
import inspect
import pickle
import re

import pytest
from house_sources import code_files, name, tree

import umbo.errors
from umbo.errors import UmboError

ERRORS = [value for value in vars(umbo.errors).values() if inspect.isclass(value) and issubclass(value, Exception)]
BRANCH = re.compile(r"^(?P<stem>[ │├└─]*)(?P<name>[A-Z]\w+Error)\b")


def drawn_tree(text: str) -> dict[str, str | None]:
    """Each class in the drawing with the class it hangs from."""
    above: list[tuple[int, str]] = []
    drawn: dict[str, str | None] = {}
    for match in filter(None, (BRANCH.match(line) for line in text.splitlines())):
        depth = len(match["stem"])
        above = [(d, n) for d, n in above if d < depth]
        drawn[match["name"]] = above[-1][1] if above else None
        above.append((depth, match["name"]))
    return drawn


def test_drawing_is_the_tree() -> None:
    real = {e.__name__: e.__base__.__name__ if e is not UmboError else None for e in ERRORS}
    assert drawn_tree(inspect.getdoc(umbo.errors) or "") == real


def test_drawing_is_read_with_its_branches() -> None:
    text = "UmboError\n├── OneError  words\n│   └── InnerError\n└── TwoError"
    assert drawn_tree(text) == {
        "UmboError": None,
        "OneError": "UmboError",
        "InnerError": "OneError",
        "TwoError": "UmboError",
    }


@pytest.mark.parametrize("error", ERRORS)
def test_one_sentence_of_three_parts(error: type[UmboError]) -> None:
    raised = error("add an RECD to a coupler level", "one is 0.4 cc, the other 2 cc", "measure both in one coupler")
    assert str(raised) == (
        "add an RECD to a coupler level: one is 0.4 cc, the other 2 cc; measure both in one coupler."
    )
    assert (raised.asked, raised.disagrees) == (
        "add an RECD to a coupler level",
        "one is 0.4 cc, the other 2 cc",
    )
    assert raised.do == "measure both in one coupler"
    assert str(pickle.loads(pickle.dumps(raised))) == str(raised)  # noqa: S301 - our own bytes


@pytest.mark.parametrize("error", ERRORS)
def test_exit_status(error: type[UmboError]) -> None:
    assert error.exit_status == (3 if issubclass(error, umbo.errors.NotPossibleHereError) else 2)


def ending(node: ast.expr) -> str:
    """The last characters of a text written in the source, as far as they are fixed."""
    if isinstance(node, ast.JoinedStr):
        return ending(node.values[-1])
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


def test_parts_leave_the_full_stop_to_the_sentence() -> None:
    known = {error.__name__ for error in ERRORS}
    stopped = [
        f"{name(path)}:{node.lineno}"
        for path in code_files("src")
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Call) and ast.unparse(node.func).rpartition(".")[2] in known
        for part in [*node.args, *(keyword.value for keyword in node.keywords)]
        if ending(part).rstrip().endswith((".", ";", ":"))
    ]
    assert stopped == []
