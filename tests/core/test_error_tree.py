"""The error tree: one sentence in three parts, the parts as attributes, and the tree as it is drawn."""

import inspect
import pickle
import re

import pytest

from umbo import errors

KINDS = [getattr(errors, name) for name in errors.__all__]


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_a_message_is_one_sentence_in_three_parts(kind):
    error = kind("add a to b", "a is here and b is there", "carry a to b first")
    assert str(error) == "add a to b: a is here and b is there; carry a to b first."
    assert (error.asked, error.disagrees, error.do) == (
        "add a to b",
        "a is here and b is there",
        "carry a to b first",
    )
    assert str(pickle.loads(pickle.dumps(error))) == str(error)  # noqa: S301  (our own bytes)


def test_every_error_is_public():
    found = {name for name, thing in vars(errors).items() if inspect.isclass(thing)}
    assert found == set(errors.__all__)


def drawn():
    """(name, parent) of every line of the tree in the module's docstring."""
    above = []
    for line in inspect.getdoc(errors).splitlines():
        match = re.match(r"^( *(?:[│├└─]+ *)*)(\w+Error)\b", line)
        if match:
            depth = len(match.group(1))
            above = [(at, name) for at, name in above if at < depth]
            yield match.group(2), above[-1][1] if above else "Exception"
            above.append((depth, match.group(2)))


def test_the_tree_is_drawn_as_it_is():
    tree = dict(drawn())
    assert tree == {kind.__name__: kind.__base__.__name__ for kind in KINDS}


def test_exit_statuses():
    statuses = {kind.__name__: kind.exit_status for kind in KINDS}
    assert statuses.pop("NotPossibleHereError") == 3
    assert set(statuses.values()) == {2}
