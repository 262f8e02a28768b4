"""Insertion gain, aided gain, aided level: F8 in both directions, and who it is refused for."""

import numpy as np
import pytest
from ears_to_fit import AUDIOGRAM_HZ, ear_to_fit, ear_with_range
from hypothesis import given
from hypothesis import strategies as st

from umbo.core import Ear, Plane
from umbo.ear import field_to_eardrum
from umbo.errors import CombinationError, InputError, NotPossibleHereError
from umbo.prescription import (
    Method,
    aided_gain_of,
    aided_level_of,
    imported_target,
    insertion_gain_of,
    nal_r_insertion_gain,
    speech_in_field,
    speech_targets,
)

HZ = np.array(AUDIOGRAM_HZ)
REUG = field_to_eardrum(HZ, ear=Ear.RIGHT)
SPEECH = speech_in_field(HZ, 65.0, ear=Ear.RIGHT)


@given(level=st.lists(st.floats(20.0, 100.0), min_size=HZ.size, max_size=HZ.size))
def test_the_gain_of_a_target_is_the_gain_that_was_prescribed(level):
    (target,) = speech_targets("nal_r", ear_to_fit(level), (65.0,))
    gain = insertion_gain_of(target, SPEECH, REUG, age_months=480.0)
    assert gain.level_db == pytest.approx(np.maximum(nal_r_insertion_gain(HZ, np.array(level)), 0.0), abs=1e-9)
    assert (gain.start, gain.end) == (Plane.eardrum(), Plane.eardrum())
    assert gain.u_db == pytest.approx(np.zeros(HZ.size), abs=1e-12)  # the unaided gain cancels


def test_the_way_back_gives_the_target():
    (target,) = speech_targets("dsl_io_1995", ear_with_range([60.0] * HZ.size, [110.0] * HZ.size), (65.0,))
    gain = insertion_gain_of(target, SPEECH, REUG, age_months=480.0)
    again = aided_level_of(gain, SPEECH, REUG)
    assert again.level_db == pytest.approx(target.level.level_db)
    assert again.plane == Plane.eardrum()
    assert again.u_db == pytest.approx(target.level.u_db)


def test_aided_minus_unaided_gain_is_insertion_gain():
    """F8: REIG = REAG - REUG, and REAG = REAR - input."""
    target = imported_target(
        [500, 1000, 2000], [80.0, 82.0, 90.0], method=Method("x", "1", ""), ear=Ear.RIGHT, input_db_spl=65.0
    )
    speech = speech_in_field(np.array([500.0, 1000.0, 2000.0]), 65.0, ear=Ear.RIGHT)
    reag = aided_gain_of(target, SPEECH)
    assert reag.level_db == pytest.approx(np.array([80.0, 82.0, 90.0]) - speech.level_db)
    reig = insertion_gain_of(target, SPEECH, REUG, age_months=84.0)
    # REUG 1.8, 2.6 and 12 dB at 0.5, 1 and 2 kHz (ANSI S3.5-1997 as transcribed)
    assert reag.level_db - reig.level_db == pytest.approx([1.8, 2.6, 12.0])


@pytest.mark.parametrize(
    ("age_months", "sentence"),
    [
        (0.0, "the client is 0 months old, and below 84 months the open ear's resonance is not an adult's"),
        (83.9, "not an adult's"),
        (None, "the client's age is not known"),
    ],
)
def test_a_child_is_judged_by_the_aided_level(age_months, sentence):
    (target,) = speech_targets("nal_r", ear_to_fit([40.0] * HZ.size), (65.0,))
    with pytest.raises(NotPossibleHereError, match=sentence):
        insertion_gain_of(target, SPEECH, REUG, age_months=age_months)


def test_a_limit_has_no_gain():
    limit = imported_target([500, 1000], [110, 112], method=Method("x", "1", ""), ear=Ear.RIGHT, input_db_spl=None)
    with pytest.raises(InputError, match="the limit of maximum output belongs to no input level"):
        aided_gain_of(limit, SPEECH)


def test_speech_of_another_level_is_refused():
    (target,) = speech_targets("nal_r", ear_to_fit([40.0] * HZ.size), (55.0,))
    with pytest.raises(CombinationError, match="speech 55"):
        aided_gain_of(target, SPEECH)
