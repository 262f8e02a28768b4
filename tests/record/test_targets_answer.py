"""The answer of a comparison is plain data: it round-trips, refuses what it does not know, and drops nothing."""

import json

import pytest
from pydantic import ValidationError
from threshold_case import imported, threshold_case

from umbo import refdata
from umbo.core import Ear
from umbo.interchange import open_case
from umbo.prescription import METHODS
from umbo.record import TargetsAnswer, WantedLevels, targets_answer
from umbo.session import compare_prescriptions

SILENT = "no_response = [false, false, false, false, false, false, true]"


@pytest.fixture(scope="module")
def compared(tmp_path_factory):
    extra = imported((66, 71, 79, 82)) + imported((110,) * 4, at_db=None, name="limit")
    folder = threshold_case(
        tmp_path_factory.mktemp("targets") / "case", discomfort=(95, 100, 100, 105), keys=SILENT, extra=extra
    )
    case = open_case(folder, needs_measurement=False)
    return compare_prescriptions(case.plan, case, inputs_db_spl=(55.0, 65.0))


@pytest.fixture(scope="module")
def answer(compared):
    return targets_answer(compared)


def test_it_round_trips(answer):
    text = answer.model_dump_json(by_alias=True)
    again = TargetsAnswer.model_validate_json(text)
    assert again == answer
    assert again.model_dump_json(by_alias=True) == text


def test_unknown_keys_are_refused(answer):
    data = json.loads(answer.model_dump_json(by_alias=True))
    data["ears"]["right"]["inputs"][0]["opinion"] = "good"
    with pytest.raises(ValidationError, match="opinion"):
        TargetsAnswer.model_validate(data)


def test_every_point_is_recorded_with_its_state(answer, compared):
    for one, found in zip(answer.ears["right"].inputs, compared.ears[Ear.RIGHT].inputs, strict=True):
        assert [m.method for m in one.methods] == list(METHODS)
        for record, entry in zip(one.methods, found.methods.methods, strict=True):
            assert tuple(record.wanted.frequency_hz) == entry.frequency_hz
            assert record.wanted.aided_db_spl == pytest.approx(entry.aided_db_spl, abs=1e-4)
            assert record.wanted.insertion_gain_db == pytest.approx(entry.insertion_gain_db, abs=1e-4)
            assert record.wanted.u_db == pytest.approx(entry.u_db, abs=1e-4)
            assert record.wanted.state == [str(state) for state in entry.state]
            assert len(record.findings) == len(entry.findings)
    half_gain = answer.ears["right"].inputs[0].methods[2].wanted
    silent = half_gain.frequency_hz.index(6000.0)
    assert (half_gain.state[silent], half_gain.from_median_db[silent]) == ("withdrawn", None)


def test_constants_are_those_of_the_tables(answer):
    for key, record in answer.prescriptions.items():
        assert record.status == METHODS[key].status
        for part in record.constants:
            quantity, source = part.table.split("/")
            assert refdata.table(quantity, source=source).name == part.table
            assert part.table in " ".join(answer.tables)
            assert part.statuses
    k = next(part for part in answer.prescriptions["nal_r"].constants if part.label == "k")
    assert k.statuses["1500"] == "from memory"
    assert k.statuses["1000"] != "from memory"


def test_imported_targets_say_what_made_them(answer):
    soft, average = answer.ears["right"].inputs
    assert soft.imported == []
    (ours,) = average.imported
    assert (ours.name, ours.version, ours.options) == ("invented rule", "5.1", "adult, quiet")
    assert ours.wanted.aided_db_spl == [66, 71, 79, 82]
    (limit,) = answer.ears["right"].imported_limits
    assert (limit.input_db_spl, limit.at_eardrum.level_db) == (None, [110.0] * 4)


def test_lists_agree(answer):
    wanted = answer.ears["right"].inputs[0].methods[0].wanted.model_dump()
    WantedLevels(**wanted)
    for key in ("u_db", "insertion_gain_db", "from_median_db", "state"):
        with pytest.raises(ValidationError, match="as long as"):
            WantedLevels(**(wanted | {key: wanted[key][:-1]}))


def test_only_methods_that_were_asked_about_are_described(compared):
    assert list(targets_answer(compared, ("pogo", "libby")).prescriptions) == ["pogo", "libby"]
