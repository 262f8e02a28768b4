"""Speech against target and threshold, maximum output against the limit: sentences and refusals."""

import numpy as np
import pytest
from eardrum_levels import HZ, level

from umbo.core import Ear, Outcome, PointState
from umbo.errors import EarMismatchError, GridMismatchError
from umbo.verdict import audible_speech, match_to_target, maximum_output, no_maximum_output


def target(values=0.0, **more):
    return level(values, cause="target", **more)


def test_tolerance_widens_above_2_khz():
    _, judgement = match_to_target(level([5.0, 5, 5, 5, 8, 8]), target(), "65")
    assert judgement.outcome is Outcome.PASS
    assert judgement.sentence == "Speech at 65 dB meets the target within tolerance at 6 frequencies."
    assert [p.tolerance_db for p in judgement.points] == [5, 5, 5, 5, 8, 8]
    _, over = match_to_target(level([0.0, 0, 0, 5.1, 0, 8.1]), target(), "65")
    assert over.sentence.startswith("Speech at 65 dB misses the target at 2000, 6000 Hz: at 2000 Hz +5.1 dB is outside")
    assert over.action == "Bring it towards the target as far as the maximum output allows, then measure again."


def test_a_deviation_inside_its_own_uncertainty_cannot_be_told():
    _, judgement = match_to_target(level([6.0, 0, 0, 0, 0, 0], u_db=1.0), target(), "55")
    assert judgement.outcome is Outcome.CANNOT_TELL
    assert judgement.criterion == "match_55"
    assert judgement.sentence.startswith("Speech at 55 dB cannot be judged at 250 Hz")
    assert judgement.action.startswith("Reduce the uncertainty")


def test_other_ear_or_grid_is_refused():
    with pytest.raises(EarMismatchError):
        match_to_target(level(0.0), target(ear=Ear.LEFT), "65")
    with pytest.raises(GridMismatchError):
        match_to_target(level(0.0), target(hz=HZ[:5]), "65")


def test_audible_counts_what_can_be_told():
    threshold = level([50.0, 50, 50, 50, 50, 50], cause="t").marked(
        PointState.WITHDRAWN, np.array(HZ) >= 4000, "no response"
    )
    sensation, judgement = audible_speech(level([60.0, 60, 40, 60, 99, 99]), threshold, "65")
    assert judgement.sentence == (
        "Average speech at 65 dB is above threshold at 3 of 4 frequencies that can be told; at 2 more it "
        "cannot be told."
    )
    _, all_told = audible_speech(level(60.0), level(50.0, cause="t"), "65")
    assert all_told.sentence.endswith("at 6 of 6 frequencies that can be told.")
    assert judgement.outcome is Outcome.PASS
    assert sensation.value_at(250) == 10.0
    _, nothing = audible_speech(level(0.0), threshold.marked(PointState.WITHDRAWN, np.ones(6, dtype=bool), "x"), "65")
    assert nothing.outcome is Outcome.CANNOT_TELL


def test_maximum_output_sentences():
    limit = target(110.0)
    _, over = maximum_output(level([100.0, 113, 100, 100, 100, 100], u_db=1.0), limit, is_child=False, limit_source="x")
    assert over.outcome is Outcome.FAIL
    assert over.sentence == (
        "The maximum output exceeds the discomfort limit at 500 Hz: at 500 Hz 3.0 dB above the limit, more than twice "
        "its uncertainty of 1.0 dB."
    )
    assert over.action.startswith("Lower the maximum output in these bands")
    _, near = maximum_output(level(109.0, u_db=1.0), limit, is_child=True, limit_source="x")
    assert near.outcome is Outcome.CANNOT_TELL
    assert near.sentence.startswith("The maximum output may exceed the discomfort limit at 250, 500")
    _, low = maximum_output(level(100.0, u_db=1.0), limit, is_child=True, limit_source="x")
    assert low.sentence == (
        "The maximum output stays below the discomfort limit at 6 frequencies, upper edge of its band included."
    )


def test_maximum_output_that_was_not_measured_is_not_called_too_high():
    deaf = level(100.0).marked(PointState.CLIPPED, np.array(HZ) == 1000, "the recorder clipped")
    _, judgement = maximum_output(deaf, target(110.0), is_child=False, limit_source="x")
    assert judgement.outcome is Outcome.CANNOT_TELL
    assert judgement.sentence == (
        "The maximum output cannot be judged at 1000 Hz: at 1000 Hz clipped: the recorder clipped."
    )
    assert judgement.action == "Repeat the loud sweep so that these bands can be used."


def test_no_maximum_output_cannot_be_told():
    judgement = no_maximum_output("There is none.", "Run one.")
    assert (judgement.criterion, judgement.outcome) == ("maximum_output", Outcome.CANNOT_TELL)
