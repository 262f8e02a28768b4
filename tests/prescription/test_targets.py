"""Targets: the open rule's algebra, what it refuses, and imported numbers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from umbo.core import Bandwidth, Coupling, Ear, Plane, PointState, Severity, Statistic, Transducer
from umbo.ear import field_to_eardrum, hearing_level
from umbo.errors import InputError, OutOfRangeError
from umbo.prescription import (
    NAL_R_HZ,
    Method,
    imported_target,
    nal_r_constants,
    nal_r_insertion_gain,
    nal_r_target,
    speech_in_field,
)

HZ = np.array(NAL_R_HZ)
losses = st.lists(st.floats(-10.0, 110.0), min_size=HZ.size, max_size=HZ.size)


def thresholds(level_db, hz=HZ, no_response=None):
    return hearing_level(
        hz,
        level_db,
        ear=Ear.RIGHT,
        transducer=Transducer.INSERT,
        coupling=Coupling.FOAM_TIP,
        statistic=Statistic.THRESHOLD,
        no_response=[False] * len(hz) if no_response is None else no_response,
        source="invented",
    )


def target(level_db, overall=65.0, age_months=480.0, **more):
    reug = field_to_eardrum(HZ, ear=Ear.RIGHT)
    return nal_r_target(thresholds(level_db, **more), overall, reug, ear=Ear.RIGHT, age_months=age_months)


def test_constants_come_from_the_table():
    k, source = nal_r_constants()
    assert tuple(k) == NAL_R_HZ
    assert source.startswith("table nal_r/byrne-dillon-1986 (")
    assert "from memory" in source


def test_flat_loss_by_hand():
    """50 dB everywhere: X = 7.5, IG = 7.5 + 15.5 + k."""
    found = dict(zip(NAL_R_HZ, nal_r_insertion_gain(HZ, np.full(HZ.size, 50.0)), strict=True))
    assert found[250.0] == pytest.approx(6.0)
    assert found[1000.0] == pytest.approx(24.0)
    assert found[4000.0] == pytest.approx(21.0)


@given(level=losses, shift=st.floats(0.0, 10.0))
def test_gain_is_linear_in_loss(level, shift):
    low = nal_r_insertion_gain(HZ, np.array(level))
    high = nal_r_insertion_gain(HZ, np.array(level) + shift)
    assert high - low == pytest.approx(np.full(HZ.size, (0.15 + 0.31) * shift), abs=1e-9)


def test_leading_axes():
    many = np.full((3, 2, HZ.size), 40.0)
    assert nal_r_insertion_gain(HZ, many).shape == many.shape


@pytest.mark.parametrize(
    ("hz", "level", "sentence"),
    [
        ([500.0, 1000.0, 2000.0, 8000.0], [40] * 4, "prescribe NAL-R gain at 8000 Hz"),
        ([500.0, 1000.0], [40] * 2, "the threshold at 2000 Hz is missing"),
        ([500.0, 1000.0, 2000.0], [40, 40, 131], "outside -20 to 130 dB HL"),
    ],
)
def test_gain_refuses(hz, level, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        nal_r_insertion_gain(np.array(hz), np.array(level, dtype=float))


def test_no_loss_asks_for_unaided_speech():
    found = target([0.0] * HZ.size)
    expected = speech_in_field(HZ, 65.0, ear=Ear.RIGHT).level_db + field_to_eardrum(HZ, ear=Ear.RIGHT).level_db
    gain = np.maximum(nal_r_insertion_gain(HZ, np.zeros(HZ.size)), 0.0)
    assert found.level.level_db == pytest.approx(expected + gain)
    assert found.level.plane == Plane.eardrum()
    assert found.level.grid.bandwidth is Bandwidth.THIRD_OCTAVE


@given(level=losses, overall=st.floats(45.0, 85.0))
def test_target_follows_the_input_decibel_for_decibel(level, overall):
    difference = target(level, overall).level.level_db - target(level, 65.0).level.level_db
    assert difference == pytest.approx(np.full(HZ.size, overall - 65.0), abs=1e-9)


@pytest.mark.parametrize(("age_months", "warned"), [(83.0, True), (84.0, False), (None, False)])
def test_child_and_insertion_gain(age_months, warned):
    findings = target([40.0] * HZ.size, age_months=age_months).findings
    assert [f.code for f in findings] == (["insertion_gain_for_child"] if warned else [])
    assert all(f.severity is Severity.WARN for f in findings)


def test_speech_spectrum_has_its_overall_level():
    """Third-octave levels from 125 Hz to 16 kHz add up to the overall level within the bands left out."""
    hz = np.array(
        [125.0, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000]
    )
    level = speech_in_field(hz, 65.0, ear=None)
    assert 10 * np.log10(np.sum(10 ** (level.level_db / 10))) == pytest.approx(65.0, abs=0.3)
    assert level.states.is_ok.all()
    between = speech_in_field(np.array([1100.0]), 65.0, ear=None)
    assert between.state_at(1100) is PointState.INTERPOLATED


def test_imported_target_keeps_its_method():
    method = Method("invented rule", "2.1", "quiet")
    speech = imported_target([500, 1000], [70, 72], method=method, ear=Ear.LEFT, input_db_spl=65.0)
    assert speech.level.tags.statistic is Statistic.TARGET
    assert "imported: invented rule, 2.1, quiet" in speech.level.explain(at=500)
    limit = imported_target([500, 1000], [110, 112], method=method, ear=Ear.LEFT, input_db_spl=None)
    assert limit.level.tags.statistic is Statistic.LIMIT
    assert limit.level.grid.bandwidth is Bandwidth.TONE


def test_imported_numbers_have_to_fit():
    with pytest.raises(InputError, match="give one of each per point"):
        imported_target([500, 1000], [70], method=Method("x", "", ""), ear=Ear.LEFT, input_db_spl=65.0)
