"""Two visits of an invented client: what has changed, and what to do about it."""

import json
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from fitted_case import RECD, fitted_case

from umbo.core import Ear, Grid, PointState
from umbo.errors import InputError
from umbo.interchange import open_case
from umbo.record import VerifyAnswer, earlier_visit, verify_answer
from umbo.session import run
from umbo.verdict import Watched

GROWN = tuple(r - 4 for r in RECD)
#: Ears grow from May to November; every number of the second visit but the RECD is that of the first.
MAY, NOVEMBER = "2026-05-04", "2026-11-02"


def visit(folder, measured, *, age_months=3, grid=None, ears=None, earlier=None, **own):
    case = open_case(fitted_case(folder, ears or {"right": own}, age_months=age_months, measured=measured))
    return run(case.plan, case, grid=grid, earlier=earlier)


@pytest.fixture
def first(tmp_path):
    """The first visit as a stored answer tells it."""
    answer = verify_answer(visit(tmp_path / "may", MAY))
    return earlier_visit(VerifyAnswer.model_validate_json(answer.model_dump_json(by_alias=True)))


def change_of(result, watched, side=Ear.RIGHT):
    return next(c for c in result.ears[side].changes if c.watched is watched)


def test_a_growing_ear(tmp_path, first):
    """The RECD 4 dB lower everywhere: the same reading in the coupler is 4 dB less at the eardrum."""
    now = visit(tmp_path / "november", NOVEMBER, age_months=9, recd=GROWN, earlier=first)
    recd = change_of(now, Watched.RECD)
    usable = recd.contrast.is_usable
    assert recd.contrast.frequency_hz[usable].tolist() == [500, 750, 1000, 1500, 2000, 3000, 4000]
    assert recd.contrast.difference_db[usable] == pytest.approx([-4] * 7, abs=0.05)
    assert recd.is_significant.any()
    assert recd.calls_for_action.tolist() == usable.tolist()
    (finding,) = recd.findings
    assert "as in a growing ear" in finding.text
    assert "carry targets and limits to the coupler anew" in finding.action
    for watched in (Watched.AIDED_LEVEL, Watched.MAXIMUM_OUTPUT):
        change = change_of(now, watched)
        assert change.contrast.difference_db == pytest.approx([-4] * change.contrast.frequency_hz.size, abs=0.05)
    heard = change_of(now, Watched.THRESHOLD)
    assert heard.contrast.difference_db == pytest.approx([-4] * 4, abs=0.05)  # below the 10 dB that call for action
    assert not heard.calls_for_action.any()
    codes = [f.code for f in now.ears[Ear.RIGHT].findings]
    assert {"recd_changed", "aided_level_changed", "maximum_output_changed"} <= set(codes)
    assert "threshold_changed" not in codes


def test_uncertainties_of_both_visits_add(tmp_path, first):
    now = visit(tmp_path / "same", NOVEMBER, age_months=9, earlier=first)
    recd = change_of(now, Watched.RECD)
    here = now.ears[Ear.RIGHT].recd.curve
    u = here.u_db[[here.grid.index(hz) for hz in (500, 1000, 2000, 4000)]]
    at = [recd.contrast.frequency_hz.tolist().index(hz) for hz in (500, 1000, 2000, 4000)]
    assert recd.contrast.u_db[at] == pytest.approx(np.sqrt(2) * u, rel=1e-3)
    assert recd.contrast.difference_db == pytest.approx(np.zeros(17), abs=1e-3)
    assert not recd.is_significant.any()
    assert recd.findings == ()


@pytest.mark.parametrize("grid", [Grid.third_octave(), Grid.audiometric()])
def test_answers_on_different_grids_are_compared(tmp_path, first, grid):
    now = visit(tmp_path / "other", NOVEMBER, age_months=9, grid=grid, earlier=first)
    for watched in (Watched.RECD, Watched.MAXIMUM_OUTPUT):
        change = change_of(now, watched)
        at = [change.contrast.frequency_hz.tolist().index(hz) for hz in (500, 1000, 2000, 4000)]
        assert change.contrast.difference_db[at] == pytest.approx(np.zeros(4), abs=0.05)


def test_what_one_visit_lacks_is_not_compared(tmp_path, first):
    ear = first.ears[Ear.RIGHT]
    bare = replace(first, ears={Ear.RIGHT: replace(ear, recds=(), thresholds=None, maximum={85.0: ear.maximum[90.0]})})
    now = visit(tmp_path / "now", NOVEMBER, earlier=bare)
    assert [c.watched for c in now.ears[Ear.RIGHT].changes] == [Watched.AIDED_LEVEL]
    (told,) = verify_answer(now).since.ears.values()
    assert told.not_compared == ["RECD", "threshold", "maximum output"]


def test_an_rejected_recd_is_no_comparison(tmp_path, first):
    ear = first.ears[Ear.RIGHT]
    poor = replace(first, ears={Ear.RIGHT: replace(ear, recds=tuple(replace(r, grade="D") for r in ear.recds))})
    now = visit(tmp_path / "now", NOVEMBER, earlier=poor)
    assert Watched.RECD not in [c.watched for c in now.ears[Ear.RIGHT].changes]


def test_points_that_could_not_be_used_then_are_not_used_now(tmp_path, first):
    ear = first.ears[Ear.RIGHT]
    curve = ear.aided[65.0]
    spoilt = replace(curve, states=(PointState.BELOW_NOISE,) * len(curve.states))
    noisy = replace(first, ears={Ear.RIGHT: replace(ear, aided={65.0: spoilt})})
    change = change_of(visit(tmp_path / "now", NOVEMBER, earlier=noisy), Watched.AIDED_LEVEL)
    assert not change.contrast.is_usable.any()
    assert [f.code for f in change.findings] == ["aided_level_not_compared"]


def test_the_other_ear_alone_is_compared_with_nothing(tmp_path, first):
    now = visit(tmp_path / "left", NOVEMBER, ears={"left": {}}, earlier=first)
    assert now.ears[Ear.LEFT].changes == ()
    assert verify_answer(now).since.ears == {}


def test_a_middle_ear_in_another_state_is_said(tmp_path, first):
    now = visit(tmp_path / "tube", NOVEMBER, earlier=first, middle_ear="tube")
    (finding,) = [f for f in now.ears[Ear.RIGHT].findings if f.code == "middle_ear_changed"]
    assert "was 'normal' on 2026-05-04 and is 'tube' now" in finding.text


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"client": "C-2"}, "the earlier answer is of the client 'C-2' and this case of 'C-1'"),
        ({"measured_on": None}, "the earlier answer does not say when it was measured"),
        ({"measured_on": date(2026, 12, 1)}, "the earlier answer is of 2026-12-01 and this case of 2026-11-02"),
    ],
)
def test_visits_that_cannot_be_compared_are_refused(tmp_path, first, changed, said):
    with pytest.raises(InputError) as refused:
        visit(tmp_path / "now", NOVEMBER, earlier=replace(first, **changed))
    assert said in str(refused.value)


def test_a_case_without_a_date_is_refused(tmp_path, first):
    with pytest.raises(InputError, match="this case does not say when it was measured"):
        visit(tmp_path / "now", "", earlier=first)


def test_the_record_tells_the_changes_and_round_trips(tmp_path, first):
    answer = verify_answer(visit(tmp_path / "november", NOVEMBER, age_months=9, recd=GROWN, earlier=first))
    assert (answer.since.case, answer.since.measured) == ("two", MAY)
    told = answer.since.ears["right"]
    assert [c.watched for c in told.compared] == ["recd", "threshold", "aided_level", "maximum_output"]
    assert told.not_compared == []
    assert "counts twice" in answer.since.note
    text = answer.model_dump_json(by_alias=True)
    assert VerifyAnswer.model_validate_json(text) == answer
    assert json.loads(text)["since"]["ears"]["right"]["compared"][0]["change_db"][0] == pytest.approx(-4, abs=0.05)


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda d: d.update(measured="yesterday"), "its date 'yesterday' is none"),
        (lambda d: d["ears"]["right"]["recds"][0]["u_db"].pop(), "lists of different length"),
        (lambda d: d["ears"]["right"]["recds"][0].update(u_db=[-1.0] * 85), "an uncertainty below zero"),
        (lambda d: d["ears"]["right"]["recds"][0]["frequency_hz"].reverse(), "frequencies that do not ascend"),
        (
            lambda d: d["ears"]["right"]["recds"][0].update(frequency_hz=[], level_db=[], u_db=[], state=[]),
            "lists of different length",
        ),
        (lambda d: d["ears"]["right"]["speech"][0]["at_eardrum"].update(plane="moon"), "'moon' is none of"),
        (lambda d: d["ears"]["right"]["speech"][0]["at_eardrum"].update(bandwidth="wide"), "'wide' is no bandwidth"),
    ],
)
def test_a_spoilt_answer_is_no_visit(tmp_path, spoil, said):
    data = json.loads(verify_answer(visit(tmp_path / "may", MAY)).model_dump_json(by_alias=True))
    spoil(data)
    with pytest.raises(InputError) as refused:
        earlier_visit(VerifyAnswer.model_validate(data))
    assert said in str(refused.value)
