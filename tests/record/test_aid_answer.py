"""The answer about an aid by itself: published schema, units in the keys, round trip, an earlier answer as measures."""

import json

import jsonschema
import numpy as np
import pytest
from aid_port import FULL_ON, AidCase
from pydantic import ValidationError

from umbo.aid import DataSheet, Item
from umbo.core import CouplerKind, Ear, Plane
from umbo.record import AID_CAUTIONS, AidAnswer, aid_answer, earlier_measures
from umbo.session import AidTestPlan, EnteredReadings, run_aid


def case(gain_db=30.0, **how):
    sheet = DataSheet(
        name="sheet",
        plane=Plane.coupler("ha1"),
        standard="ANSI S3.22",
        nominal={Item.HFA_OSPL90: 112.0, Item.BATTERY_CURRENT: 1.4, Item.RELEASE: 0.08},
    )
    entered = {Ear.RIGHT: EnteredReadings(battery_current_ma=1.5, battery_current_u_ma=None, settings=FULL_ON)}
    made = AidCase(AidTestPlan(data_sheet=sheet, entered=entered, box="small box", box_u_db=0.5))
    for coupler, more_db in ((CouplerKind.HA1, 0.0), (CouplerKind.CC04, 14.0)):
        made.swept("output_90", 90.0, gain_db + more_db, set_to=FULL_ON, coupler=coupler, **how)
        made.swept("full_on_gain", 50.0, gain_db + more_db, set_to=FULL_ON, coupler=coupler, **how)
        made.swept("reference_response", 60.0, gain_db + more_db, coupler=coupler, **how)
    made.swept("reference_response", 60.0, gain_db, ear=Ear.LEFT)
    made.sounded("front", 30.0).sounded("back", 30.0).sounded("remote_microphone", 20.0)
    made.sounded("speech", 25.0, kind="speech", level_db_spl=55.0).sounded("speech", 20.0, kind="speech")
    made.swept("check_source", 70.0, 0.0, set_to=None, run="earlier").swept("check_source", 70.0, 1.4, set_to=None)
    return made.quiet(60.0)


@pytest.fixture(scope="module")
def answer():
    made = case()
    return aid_answer(run_aid(made.plan(), made))


@pytest.fixture(scope="module")
def right(answer):
    return answer.ears["right"][0]


def test_it_follows_its_schema_and_comes_back_the_same(answer):
    text = answer.model_dump_json(by_alias=True)
    jsonschema.validate(json.loads(text), AidAnswer.model_json_schema(by_alias=True))
    assert AidAnswer.model_validate_json(text) == answer
    with pytest.raises(ValidationError):
        AidAnswer.model_validate(json.loads(text) | {"more": 1})


def test_keys_end_in_their_units(right):
    units = {"db_spl": "dB SPL", "db": "dB", "hz": "Hz", "percent": "%", "ms": "ms", "ma": "mA"}
    for measure in right.measures:
        ending = next(words for words in ("db_spl", "db", "hz", "percent", "ms", "ma") if measure.key.endswith(words))
        assert units[ending] == measure.unit
    values = {measure.key: measure.value for measure in right.measures}
    assert values["hfa_ospl90_db_spl"] == pytest.approx(120.0, abs=0.1)
    assert values["battery_current_ma"] == 1.5


def test_the_sheet_with_what_is_allowed_and_why_the_rest_is_not_judged(answer, right):
    items = {item.key: item for item in right.sheet.items}
    hfa = items["hfa_ospl90_db_spl"]
    assert (hfa.nominal, hfa.lowest_deviation, hfa.highest_deviation, hfa.outcome) == (112.0, -4.0, 4.0, "fail")
    assert hfa.deviation == pytest.approx(8.0, abs=0.1)
    assert "from memory" in hfa.tolerance_source
    current = items["battery_current_ma"]
    assert (current.lowest_deviation, current.highest_deviation) == (None, pytest.approx(0.28))
    assert any(why.startswith("release time") for why in right.sheet.not_judged)
    assert answer.ears["right"][1].sheet is None
    assert (answer.outcome, right.outcome) == ("fail", "fail")


def test_what_concerns_the_case(answer):
    assert (answer.box, answer.box_u_db, answer.since) == ("small box", 0.5, None)
    (check,) = answer.check_source
    assert check.change_db == pytest.approx(1.4, abs=0.05)
    assert len(answer.between_couplers["right"]) == 1
    assert [curve.quantity for curve in answer.between_ears] == ["response, left re right"]
    assert answer.cautions == list(AID_CAUTIONS)
    assert any("hearing_aid_test" in entry for entry in answer.tables)


def test_features_speech_and_what_is_missing(right):
    (check,) = right.checks
    assert (check.check, check.outcome, check.settings) == ("directional", "pass", ["reference"])
    assert right.level_compression.ratio[10] == pytest.approx(2.0, abs=0.1)
    assert [test.level_db_spl for test in right.speech] == [55.0, 65.0]
    assert any(one.what == "remote microphone" for one in right.unmeasured)


def test_an_earlier_answer_is_compared_and_counts_shared_causes_twice(answer):
    made = case(gain_db=27.0)
    result = run_aid(made.plan(), made, earlier=earlier_measures(answer))
    now = aid_answer(result, since=answer)
    changes = {(change.key, change.coupler): change for change in now.changes["right"]}
    hfa = changes["hfa_ospl90_db_spl", "ha1"]
    assert (hfa.earlier, hfa.now) == (pytest.approx(120.0, abs=0.1), pytest.approx(117.0, abs=0.1))
    assert hfa.change == pytest.approx(-3.0, abs=0.05)
    assert hfa.u == pytest.approx(0.3 * np.sqrt(2), abs=0.01)
    assert hfa.is_significant
    assert now.since == "2026-11-25, case memory"
    assert not changes["battery_current_ma", "ha1"].is_significant


def test_times_are_milliseconds_and_come_back_as_seconds(answer):
    measures = earlier_measures(answer)
    assert {m.conditions.run for m in measures} == {"earlier"}
    record = answer.ears["right"][0].measures[0]
    one = next(m for m in measures if m.item is Item.MAXIMUM_OSPL90 and m.conditions.plane == Plane.coupler("ha1"))
    assert (one.value, one.u) == (record.value, record.u)
    assert one.conditions.settings.same_features(FULL_ON)
