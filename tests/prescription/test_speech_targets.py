"""Targets for speech by every open prescription, and what an ear must hold for them."""

import numpy as np
import pytest
from ears_to_fit import AUDIOGRAM_HZ, ear_to_fit, ear_with_range, on_the_dial
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.core import Bandwidth, Ear, Plane, PointState, Severity, Statistic
from umbo.ear import field_to_eardrum
from umbo.errors import GridMismatchError, InputError, OutOfRangeError
from umbo.prescription import (
    METHODS,
    NAL_R_HZ,
    POGO_HZ,
    EarToFit,
    fig6_insertion_gain,
    nal_r_insertion_gain,
    speech_in_field,
    speech_targets,
)

HZ = np.array(NAL_R_HZ)
INSERTION_GAIN = [key for key, entry in METHODS.items() if entry.is_insertion_gain]
LINEAR = [key for key, entry in METHODS.items() if entry.prescribes == "insertion_gain"]
losses = st.lists(st.floats(-10.0, 110.0), min_size=HZ.size, max_size=HZ.size)


def unaided(hz, overall):
    hz = np.array(hz)
    return speech_in_field(hz, overall, ear=Ear.RIGHT).level_db + field_to_eardrum(hz, ear=Ear.RIGHT).level_db


def test_no_loss_asks_for_unaided_speech_and_never_for_less():
    (found,) = speech_targets("nal_r", ear_to_fit([0.0] * HZ.size), (65.0,))
    gain = np.maximum(nal_r_insertion_gain(HZ, np.zeros(HZ.size)), 0.0)
    assert found.level.level_db == pytest.approx(unaided(HZ, 65.0) + gain)
    assert found.level.plane == Plane.eardrum()
    assert found.level.grid.bandwidth is Bandwidth.THIRD_OCTAVE
    assert found.level.tags.statistic is Statistic.TARGET


@pytest.mark.parametrize("key", LINEAR)
@settings(max_examples=25)
@given(level=losses, overall=st.floats(45.0, 85.0))
def test_a_linear_target_follows_the_input_decibel_for_decibel(key, level, overall):
    one, other = speech_targets(key, ear_to_fit(level), (overall, 65.0))
    difference = one.level.level_db - other.level.level_db
    assert difference == pytest.approx(np.full(difference.size, overall - 65.0), abs=1e-9)


def test_a_compressive_target_uses_the_gain_of_its_input():
    level = np.linspace(20.0, 80.0, HZ.size)
    for target in speech_targets("fig6", ear_to_fit(level.tolist())):
        expected = unaided(HZ, target.input_db_spl) + fig6_insertion_gain(HZ, level, target.input_db_spl)
        assert target.level.level_db == pytest.approx(expected)


def test_inputs_are_soft_average_and_loud():
    found = speech_targets("pogo", ear_to_fit([40.0] * HZ.size))
    assert [target.input_db_spl for target in found] == [55.0, 65.0, 75.0]
    assert [target.level.tags.stimulus for target in found] == ["speech 55", "speech 65", "speech 75"]
    assert tuple(found[0].level.frequency_hz) == POGO_HZ


def test_the_sum_says_where_the_gain_comes_from():
    (found,) = speech_targets("pogo", ear_to_fit([40.0] * HZ.size), (65.0,))
    told = found.level.explain(at=1000)
    assert "POGO insertion gain" in told
    assert "McCandless & Lyregaard 1983, constants from memory" in told
    assert "table ltass/byrne-1994" in told


@pytest.mark.parametrize("key", INSERTION_GAIN)
@pytest.mark.parametrize(("age_months", "warned"), [(83.9, True), (84.0, False), (None, False)])
def test_child_and_insertion_gain(key, age_months, warned):
    (found,) = speech_targets(key, ear_to_fit([40.0] * HZ.size, age_months=age_months), (65.0,))
    said = [f for f in found.findings if f.code == "insertion_gain_for_child"]
    assert len(said) == warned
    assert all(f.severity is Severity.WARN and METHODS[key].name in f.text for f in said)


def test_an_aided_level_suits_a_child():
    (found,) = speech_targets("dsl_io_1995", ear_with_range([60.0] * 9, [110.0] * 9, age_months=12.0), (65.0,))
    assert [f.code for f in found.findings] == ["prescription_from_memory"]


def test_constants_from_memory_are_warned_about():
    for key, entry in METHODS.items():
        (found,) = speech_targets(key, ear_with_range([60.0] * 9, [110.0] * 9), (65.0,))
        codes = [f.code for f in found.findings]
        assert codes == (["prescription_from_memory"] if entry.is_from_memory else [])
        assert "from memory" in str(found.method)


def test_no_response_is_a_hole_in_the_target():
    heard = ear_to_fit([40.0] * 8 + [120.0], no_response=[False] * 8 + [True])
    for key in ("nal_r", "half_gain", "fig6"):
        (found,) = speech_targets(key, heard, (65.0,))
        assert found.level.state_at(6000) is PointState.WITHDRAWN
        assert "no response" in found.level.states.reasons(8)[0]
        assert found.level.states.is_usable[:8].all()


def test_a_bound_outside_the_range_of_the_rule_refuses_nothing():
    (found,) = speech_targets("nal_r", ear_to_fit([40.0] * 8 + [135.0], no_response=[False] * 8 + [True]), (65.0,))
    assert found.level.state_at(6000) is PointState.WITHDRAWN


@pytest.mark.parametrize("key", ["nal_r", "nal_rp"])
def test_a_mean_with_a_bound_in_it_is_refused(key):
    heard = ear_to_fit([40.0] * HZ.size, no_response=[f == 2000.0 for f in AUDIOGRAM_HZ])
    with pytest.raises(OutOfRangeError) as refused:
        speech_targets(key, heard)
    assert str(refused.value) == (
        f"prescribe {METHODS[key].name} gain: the threshold at 2000 Hz is not known (withdrawn: no response at this "
        "level: the threshold lies above it), and the method needs it; "
        "import a target of a method made for such losses."
    )
    assert speech_targets("pogo", heard, (65.0,))[0].level.state_at(2000) is PointState.WITHDRAWN


@pytest.mark.parametrize(
    ("ear", "sentence"),
    [
        (ear_to_fit([40.0] * 2, hz=(500.0, 1000.0)), "the threshold at 2000 Hz is missing"),
        (ear_to_fit([40.0, 40.0, 131.0], hz=(500.0, 1000.0, 2000.0)), "outside -20 to 130 dB HL"),
        (ear_to_fit([40.0], hz=(8000.0,)), "no threshold is known at any of its frequencies"),
    ],
)
def test_an_ear_that_does_not_hold_what_is_needed(ear, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        speech_targets("nal_r", ear)


def test_an_ear_that_answered_nowhere():
    with pytest.raises(OutOfRangeError, match="no threshold is known at any"):
        speech_targets("half_gain", ear_to_fit([110.0] * 9, no_response=[True] * 9))


def test_unaided_gain_has_to_reach_as_far():
    short = field_to_eardrum(np.array([500.0, 1000.0, 2000.0]), ear=Ear.RIGHT)
    with pytest.raises(GridMismatchError):
        speech_targets("nal_r", ear_to_fit([40.0] * 9, reug=short))


def test_thresholds_have_a_side():
    entered = on_the_dial([40.0] * 9)
    lost = type(entered).given(
        entered.grid,
        entered.level_db,
        plane=entered.plane,
        tags=type(entered.tags)(
            quantity="threshold", ear=None, stimulus=None, statistic=None, coupling=None, source=None
        ),
        source="invented",
    )
    with pytest.raises(InputError, match="belong to no side"):
        EarToFit(
            entered=lost,
            at_eardrum=None,
            discomfort=None,
            reug=field_to_eardrum(HZ, ear=None),
            age_months=None,
        )
