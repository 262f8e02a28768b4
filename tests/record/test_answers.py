"""Answers are plain data: they follow their published schema, round-trip, and refuse what they do not know."""

import json
from dataclasses import replace

import jsonschema
import numpy as np
import pytest
from bench_port import recd_plan
from curve_case import s1_case
from heard_case import heard_case
from pydantic import ValidationError

from umbo.core import CouplerKind, Grid, PointState
from umbo.interchange import open_case
from umbo.record import AudibilityRecord, CurveRecord, IndexRecord, RecdAnswer, VerifyAnswer, recd_answer, verify_answer
from umbo.session import run, run_recds
from umbo.sim import random_ear, recd_takes


@pytest.fixture(scope="module")
def verified(tmp_path_factory):
    case = open_case(s1_case(tmp_path_factory.mktemp("record") / "s1"))
    return verify_answer(run(case.plan, case))


@pytest.fixture(scope="module")
def measured():
    rng = np.random.default_rng(12)
    takes = recd_takes(random_ear(rng, age_months=48.0), CouplerKind.CC04, rng)
    plan, port = recd_plan(takes, "cc04", age_months=48.0, declared_mm=3.0)
    return recd_answer("bench", run_recds(plan, port, Grid.twelfth_octave()))


@pytest.fixture(scope="module")
def silent(tmp_path_factory):
    """A corner audiogram: bounds, no percentiles."""
    case = open_case(heard_case(tmp_path_factory.mktemp("record") / "s6", silent=(2000, 4000)))
    return verify_answer(run(case.plan, case))


@pytest.fixture(scope="module")
def lowered(tmp_path_factory):
    folder = tmp_path_factory.mktemp("record") / "lowered"
    case = open_case(heard_case(folder, silent=(2000, 4000), fitting="frequency_lowering = true"))
    return verify_answer(run(case.plan, case))


@pytest.mark.parametrize("name", ["verified", "measured", "silent", "lowered"])
def test_answers_follow_their_schema(name, request):
    answer = request.getfixturevalue(name)
    schema = type(answer).model_json_schema(by_alias=True)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(json.loads(answer.model_dump_json(by_alias=True)), schema)


@pytest.mark.parametrize(
    ("name", "model"),
    [("verified", VerifyAnswer), ("measured", RecdAnswer), ("silent", VerifyAnswer), ("lowered", VerifyAnswer)],
)
def test_answers_round_trip(name, model, request):
    answer = request.getfixturevalue(name)
    text = answer.model_dump_json(by_alias=True)
    assert model.model_validate_json(text) == answer
    assert model.model_validate_json(text).model_dump_json(by_alias=True) == text


def test_unknown_keys_are_refused(verified):
    data = json.loads(verified.model_dump_json(by_alias=True))
    data["ears"]["right"]["opinion"] = "good"
    with pytest.raises(ValidationError, match="opinion"):
        VerifyAnswer.model_validate(data)


def test_the_recd_answer_has_the_fixed_keys(measured):
    one = json.loads(measured.model_dump_json(by_alias=True))["ears"]["right"][0]
    fixed = {
        "coupler", "source", "coupling", "from", "to", "frequency_hz", "level_db", "u_db", "state", "ear_curve_db",
        "coupler_curve_db", "coupler_noise_db", "ear_noise_db", "trusted_max_hz", "trusted_limit", "grade", "findings",
    }  # fmt: skip
    assert fixed <= set(one)
    assert one["from"] == "coupler:cc04"
    assert one["to"] == "eardrum"
    assert len(one["frequency_hz"]) == 85
    assert one["frequency_hz"][0] == pytest.approx(1000 * 10 ** (-36 / 40))
    assert set(one["state"]) <= {str(state) for state in PointState}
    assert one["grade"] in "ABCD"


def test_two_couplers_on_one_ear_are_compared():
    rng = np.random.default_rng(12)
    ear = random_ear(rng, age_months=400.0)
    one, other = (recd_takes(ear, kind, rng) for kind in (CouplerKind.HA1, CouplerKind.CC04))
    plan, port = recd_plan(one, "ha1", age_months=400.0, declared_mm=3.0)
    port.samples["coupler cc04"] = other.coupler_fs
    second = replace(plan.takes[0], name="coupler cc04", coupler=CouplerKind.CC04)
    answer = recd_answer("bench", run_recds(replace(plan, takes=(second, *plan.takes)), port, Grid.third_octave()))
    (pair,) = answer.comparisons["right"]
    assert (pair.first.coupler, pair.second.coupler) == ("ha1", "cc04")
    assert pair.expected_difference_db == pytest.approx(13.98, abs=0.005)  # 20 lg 5
    difference = np.array(pair.second_minus_first_db)
    assert difference == pytest.approx(np.array(pair.first.recd_db) - np.array(pair.second.recd_db), abs=2e-4)
    # an insert earphone's levels in the two couplers, computed for such a source: 14.0 and 13.4 dB at 2 and 4 kHz
    at = [int(np.argmin(np.abs(np.log(np.array(pair.frequency_hz) / f)))) for f in (2000, 4000)]
    assert difference[at] == pytest.approx([14.0, 13.4], abs=1.0)


def test_audibility_of_a_corner_audiogram_in_the_record(silent):
    found = silent.ears["right"].speech[0].audibility
    index = found.index
    assert index.bounds[0] == index.sii <= index.bounds[1]
    assert index.interval[0] <= index.sii <= index.interval[1]
    assert np.sum(np.array(index.importance) * np.array(index.audibility)) == pytest.approx(index.sii, abs=2e-4)
    assert index.known.count("at_most") == 6
    assert [hz for hz, word in zip(index.frequency_hz, index.known, strict=True) if word == "not_known"] == (
        index.unknown_hz
    )
    assert (index.draws, index.seed) == (1000, 1997)
    assert found.bandwidth.peaks is None
    assert found.bandwidth.average.relation == "at_most"
    assert found.bandwidth.average.interval_hz[1] >= found.bandwidth.average.at_most_hz
    assert not any(character.isdigit() or character == "%" for character in found.words.sentence)
    assert found.why_not == {}


def test_no_index_in_the_record_of_lowered_speech(lowered):
    found = lowered.ears["right"].speech[0].audibility
    assert (found.index, found.unaided, found.bandwidth, found.words) == (None,) * 4
    assert set(found.why_not) == {"index", "unaided", "bandwidth", "words"}


def test_null_without_a_reason_is_refused(silent):
    found = silent.ears["right"].speech[0].audibility.model_dump()
    with pytest.raises(ValidationError, match="why_not must give a reason"):
        AudibilityRecord.model_validate(found | {"words": None})
    with pytest.raises(ValidationError, match="why_not must give a reason"):
        AudibilityRecord.model_validate(found | {"why_not": {"words": "there are some"}})
    with pytest.raises(ValidationError, match="equally long"):
        IndexRecord.model_validate(found["index"] | {"known": []})


def test_numbers_are_finite_and_lists_agree():
    with pytest.raises(ValidationError):
        CurveRecord(
            quantity="x", plane="eardrum", unit="dB SPL", bandwidth="tone", frequency_hz=[1.0], level_db=[float("nan")],
            u_db=[0.0], state=["ok"],
        )  # fmt: skip
    with pytest.raises(ValidationError, match="equally long"):
        CurveRecord(
            quantity="x", plane="eardrum", unit="dB SPL", bandwidth="tone", frequency_hz=[1.0, 2.0], level_db=[1.0],
            u_db=[0.0], state=["ok"],
        )  # fmt: skip


def test_explanations_add_up(verified):
    """The printed sum: each line that has terms below it equals their signed sum to the printed rounding."""
    lines = verified.ears["right"].speech[0].explain
    for i, line in enumerate(lines):
        below = []
        for later in lines[i + 1 :]:
            if later.depth <= line.depth:
                break
            if later.depth == line.depth + 1:
                below.append(later.sign * later.level_db)
        if below:
            assert line.level_db == pytest.approx(sum(below), abs=0.011 * len(below))
