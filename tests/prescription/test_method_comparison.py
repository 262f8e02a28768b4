"""Prescriptions side by side: median, differences, and what could not be computed."""

import statistics

import pytest
from ears_to_fit import AUDIOGRAM_HZ, ear_to_fit, ear_with_range

from umbo.core import PointState
from umbo.errors import InputError
from umbo.prescription import METHODS, compare_methods, speech_targets

FLAT = [50.0] * len(AUDIOGRAM_HZ)


def test_three_rules_at_one_kilohertz_by_hand():
    """50 dB flat at 1 kHz: half-gain 25, NAL-R 7.5 + 15.5 + 1 = 24, a third 16.667; the median is NAL-R."""
    found = compare_methods(ear_to_fit(FLAT), ("half_gain", "nal_r", "libby"), input_db_spl=65.0)
    at = {entry.key: entry.frequency_hz.index(1000.0) for entry in found.methods}
    gains = {entry.key: entry.insertion_gain_db[at[entry.key]] for entry in found.methods}
    assert gains == pytest.approx({"half_gain": 25.0, "nal_r": 24.0, "libby": 50 / 3}, abs=1e-4)
    off = {entry.key: entry.from_median_db[at[entry.key]] for entry in found.methods}
    assert off == pytest.approx({"half_gain": 1.0, "nal_r": 0.0, "libby": 50 / 3 - 24.0}, abs=1e-4)
    index = found.frequency_hz.index(1000.0)
    assert found.n_methods[index] == 3
    assert found.spread_db[index] == pytest.approx(25.0 - 50 / 3, abs=1e-4)
    # speech 53.7 - 5 dB and REUG 2.6 dB at 1 kHz
    assert found.median_db_spl[index] == pytest.approx(53.7 - 5 + 2.6 + 24.0)


def test_all_methods_for_an_ear_with_everything_known():
    ear = ear_with_range([60.0] * 9, [110.0] * 9)
    found = compare_methods(ear, input_db_spl=65.0)
    assert [entry.key for entry in found.methods] == list(METHODS)
    assert found.refused == {}
    for entry in found.computed:
        (target,) = speech_targets(entry.key, ear, (65.0,))
        assert entry.aided_db_spl == tuple(target.level.level_db)
        assert entry.findings == target.findings
        assert entry.state == tuple(target.level.states.at(i) for i in range(len(entry.frequency_hz)))
    for index, hz in enumerate(found.frequency_hz):
        levels = [e.aided_db_spl[e.frequency_hz.index(hz)] for e in found.computed if hz in e.frequency_hz]
        assert found.median_db_spl[index] == pytest.approx(statistics.median(levels))
        assert found.n_methods[index] == len(levels)


def test_what_could_not_be_computed_says_why():
    heard = ear_to_fit(FLAT, no_response=[f in (2000.0, 4000.0) for f in AUDIOGRAM_HZ])
    found = compare_methods(heard, ("nal_r", "pogo", "dsl_io_1995"), input_db_spl=65.0)
    assert set(found.refused) == {"nal_r", "dsl_io_1995"}
    assert "the threshold at 2000 Hz is not known" in found.refused["nal_r"]
    assert "no threshold is known at the eardrum" in found.refused["dsl_io_1995"]
    (pogo,) = found.computed
    at = pogo.frequency_hz.index(2000.0)
    assert (pogo.state[at], pogo.from_median_db[at]) == (PointState.WITHDRAWN, None)
    assert 2000.0 not in found.frequency_hz
    refused = found.methods[0]
    assert (refused.frequency_hz, refused.aided_db_spl, refused.insertion_gain_db) == ((), (), None)
    assert "NAL-R" in str(refused.method)


@pytest.mark.parametrize("age_months", [36.0, None])
def test_a_child_gets_aided_levels_and_no_insertion_gain(age_months):
    found = compare_methods(ear_to_fit(FLAT, age_months=age_months), ("nal_r", "pogo"), input_db_spl=65.0)
    for entry in found.computed:
        assert entry.insertion_gain_db is None
        assert len(entry.aided_gain_db) == len(entry.frequency_hz)


def test_an_input_outside_one_method_leaves_the_others():
    found = compare_methods(ear_to_fit(FLAT), ("fig6", "pogo"), input_db_spl=30.0)
    assert list(found.refused) == ["fig6"]
    assert "stated from 40 to 95 dB SPL" in found.refused["fig6"]


def test_an_unknown_method_is_an_error():
    with pytest.raises(InputError, match="'pogo_iii'"):
        compare_methods(ear_to_fit(FLAT), ("pogo_iii",), input_db_spl=65.0)
