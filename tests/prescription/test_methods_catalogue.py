"""The catalogue: what it says of each prescription agrees with the tables, the case format and the session."""

import dataclasses
import typing

import pytest

from umbo import refdata
from umbo.errors import InputError
from umbo.interchange import case_schema
from umbo.prescription import METHODS, Constants, Method, method
from umbo.session import EarPlan

FROM_MEMORY_ONLY = {"half_gain", "pogo", "pogo_ii", "berger", "libby", "fig6", "dsl_io_1995"}


def test_a_case_and_a_plan_may_choose_every_prescription_or_none():
    field = case_schema()["$defs"]["FittingTable"]["properties"]["prescription"]
    words, nothing = field["anyOf"]
    assert set(words["enum"]) == {*METHODS, "none"}
    assert nothing == {"type": "null"}
    assert set(typing.get_args(typing.get_type_hints(EarPlan)["prescription"])) == {*METHODS, "none"}


@pytest.mark.parametrize("entry", METHODS.values(), ids=list(METHODS))
def test_entries_are_complete_and_their_tables_are_there(entry):
    assert method(entry.key) is entry
    assert set(entry.needed_hz) <= set(entry.frequency_hz)
    assert list(entry.frequency_hz) == sorted(entry.frequency_hz)
    assert entry.suits
    assert entry.not_for
    assert (entry.gain is not None) == entry.is_insertion_gain
    for part in entry.constants:
        assert all(refdata.is_status(status) for status in part.statuses().values())
        bibliography = refdata.table(part.quantity, source=part.source).sidecar.bibliography
        assert bibliography, part
    with pytest.raises(dataclasses.FrozenInstanceError):
        entry.name = "another"


def test_every_use_says_which_constants_are_from_memory():
    assert {key for key, entry in METHODS.items() if entry.is_from_memory} == FROM_MEMORY_ONLY
    for key in FROM_MEMORY_ONLY:
        assert str(METHODS[key].method).startswith(
            f"{METHODS[key].name}, {METHODS[key].version}, constants from memory; "
        )
    assert METHODS["nal_r"].status == "from memory: k at 750, 1500, 3000 Hz"
    assert METHODS["nal_rp"].status == (
        "from memory: k at 750, 1500, 3000 Hz, limits (profound from), profound correction"
    )


def test_a_prescription_whose_constants_were_read_says_nothing_of_memory():
    slopes = Constants("slopes", "prescription_constants", "byrne-dillon-1986", "value")
    entry = dataclasses.replace(METHODS["nal_r"], constants=(slopes,))
    assert (entry.status, entry.is_from_memory) == ("", False)
    assert entry.method == Method("NAL-R", "1986", "linear, no profound-loss correction")


def test_an_unknown_prescription_is_named_with_its_nearest():
    with pytest.raises(InputError, match=r"use the prescription 'nal_pr'.*use one of nal_r"):
        method("nal_pr")


def test_the_catalogue_cannot_be_changed():
    with pytest.raises(TypeError):
        METHODS["mine"] = METHODS["nal_r"]
