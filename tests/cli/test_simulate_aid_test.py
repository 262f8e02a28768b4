"""``umbo simulate --aid-test``: which case is asked of the bench."""

import json

import pytest

from umbo.cli import _simulate
from umbo.core import Ear
from umbo.sim import AidFault


@pytest.fixture
def asked(monkeypatch):
    """What the bench was asked to write; the bench itself has tests of its own."""
    scenarios = []
    monkeypatch.setattr(_simulate, "write_aid_case", lambda folder, scenario: scenarios.append((folder, scenario)))
    return scenarios


def test_two_aids_of_one_model_with_a_fault_on_one(umbo, asked, tmp_path):
    status, out, _ = umbo(
        "simulate",
        tmp_path / "x",
        "--aid-test",
        "--seed",
        3,
        "--ears",
        "both",
        "--fault",
        "left:swapped_ports",
        "--json",
    )
    assert status == 0
    ((folder, scenario),) = asked
    assert json.loads(out)["folder"] == str(folder)
    assert scenario.name == "invented-aid-3"
    right, left = scenario.ears
    assert (right.side, left.side) == (Ear.RIGHT, Ear.LEFT)
    assert right.aid == left.aid
    assert (right.faults, left.faults) == ((), (AidFault.SWAPPED_PORTS,))
    assert scenario.with_data_sheet


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--aid", "--aid-test"), "two kinds of case"),
        (("--aid-test", "--fault", "leak"), "weak_receiver"),
        (("--fault", "weak_receiver"), "leak"),
        (("--aid-test", "--fault", "left:weak_receiver"), "has the right ear"),
    ],
)
def test_what_does_not_go_together_is_one_sentence(umbo, asked, tmp_path, arguments, words):
    status, out, err = umbo("simulate", tmp_path / "x", *arguments)
    assert (status, out, asked) == (2, "", [])
    assert words in err
    assert err.count("\n") == 1
