"""Insertion gains imported with a case: a level at an adult's eardrum, nothing at a child's."""

from dataclasses import replace

import pytest

from umbo.core import Ear, Statistic, Transducer
from umbo.ear import UNAIDED_SOURCE, unaided_gain
from umbo.prescription import speech_in_field
from umbo.session import Client, EarPlan, TargetSet, ThresholdSet
from umbo.session._hearing import hearing_at_eardrum
from umbo.session._imported import imported_targets
from umbo.session._judging import targets_of

HZ = (500.0, 1000.0, 2000.0, 4000.0)
GAIN_DB = (5.0, 17.0, 20.0, 24.0)
ENTRY = TargetSet(
    name="invented",
    method="invented method",
    version="1",
    options="",
    kind="insertion_gain",
    level_db_spl=65.0,
    frequency_hz=HZ,
    level_db=GAIN_DB,
)
THRESHOLDS = ThresholdSet(
    scale="HL",
    transducer=Transducer.SUPRA_AURAL,
    coupler=None,
    coupling=None,
    frequency_hz=HZ,
    level_db=(25.0, 35.0, 50.0, 65.0),
    no_response=(False,) * 4,
)
EAR = EarPlan(ear=Ear.RIGHT, middle_ear="normal", tip_to_drum_mm=None, thresholds=THRESHOLDS, discomfort=None)


def test_an_adults_insertion_gain_becomes_a_level_at_the_eardrum():
    targets, refused = imported_targets(replace(EAR, targets=(ENTRY,)), 800.0)
    (target,) = targets
    hz = target.level.frequency_hz
    unaided = unaided_gain(hz, 800.0, ear=Ear.RIGHT, field="free", source=UNAIDED_SOURCE)
    speech = speech_in_field(hz, 65.0, ear=Ear.RIGHT)
    assert refused == ()
    assert target.input_db_spl == 65.0
    assert target.level.level_db == pytest.approx(speech.level_db + unaided.level_db + GAIN_DB, abs=1e-9)
    assert str(target.method) == "invented method, 1"


@pytest.mark.parametrize("age_months", [27.0, None])
def test_a_childs_is_refused_with_its_reason(age_months):
    targets, (finding,) = imported_targets(replace(EAR, targets=(ENTRY,)), age_months)
    assert targets == ()
    assert finding.code == "imported_target_not_used"
    assert "'invented' is not used" in finding.text


@pytest.mark.parametrize(
    ("age_months", "chosen", "prescribed"), [(27.0, True, True), (27.0, False, False), (800.0, False, True)]
)
def test_no_prescription_stands_in_silently_for_a_child(age_months, chosen, prescribed):
    ear = replace(EAR, is_prescription_chosen=chosen)
    heard = hearing_at_eardrum(THRESHOLDS, ear, (), Statistic.THRESHOLD, age_months=age_months)
    targets, findings = targets_of(ear, heard, None, Client(code="K", age_months=age_months))
    assert bool(targets) is prescribed
    assert any("no method was chosen" in finding.text for finding in findings) is not prescribed
