"""Aid and direct sound together: power sum, the interval of all phases, and its uncertainty against plain averages."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import spence

from umbo.core import Bandwidth, Ear, Grid, Level, Plane, Statistic, Tags
from umbo.ear import Vent, direct_sound, phase_bounds_db, phase_u_db, two_paths, vent_effect, vent_transmission
from umbo.ear._two_paths import dilogarithm
from umbo.errors import OutOfRangeError, StatisticMismatchError

HZ = np.array([250.0, 500.0, 1000.0, 2000.0, 4000.0])
levels = st.lists(st.floats(-20, 130), min_size=5, max_size=5)


def level(values, *, plane=None, statistic=Statistic.RMS, bandwidth=Bandwidth.THIRD_OCTAVE, hz=HZ):
    tags = Tags(quantity="speech", ear=Ear.RIGHT, stimulus="speech 65", statistic=statistic, coupling=None, source=None)
    plane = Plane.eardrum() if plane is None else plane
    return Level.given(Grid(hz, bandwidth), values, plane=plane, tags=tags, source="invented")


def both(one, other, delay_s=None, **kinds):
    return two_paths(level(one, **kinds), level(other, **kinds), delay_s=delay_s, quantity="both")


@given(one=levels, other=levels, delay=st.one_of(st.none(), st.floats(0, 0.02)))
def test_the_sum_is_never_below_either_path_and_lies_in_its_interval(one, other, delay):
    found = both(one, other, delay)
    assert np.all(found.total.level_db >= np.maximum(one, other) - 1e-9)
    assert np.all(found.low_db <= found.total.level_db + 1e-9)
    assert np.all(found.high_db >= found.total.level_db - 1e-9)
    # pressures in phase: at most 6 dB over the louder
    assert np.all(found.high_db <= np.maximum(one, other) + 20 * np.log10(2) + 1e-9)


@pytest.mark.parametrize("apart_db", [0.5, 3.0, 6.0, 10.0, 20.0])
@pytest.mark.parametrize("coherence", [1.0, 0.5])
def test_interval_and_uncertainty_against_every_phase_one_by_one(apart_db, coherence):
    phase = np.linspace(0, 2 * np.pi, 20001)[:-1]
    r = 10 ** (-apart_db / 20)
    power = (1 + r**2 + 2 * coherence * r * np.cos(phase)) / (1 + r**2)
    deviation = 10 * np.log10(power)
    low, high = phase_bounds_db(np.array([apart_db]), coherence)
    assert (low[0], high[0]) == pytest.approx((deviation.min(), deviation.max()), abs=1e-4)
    assert phase_u_db(np.array([apart_db]), coherence)[0] == pytest.approx(np.sqrt(np.mean(deviation**2)), rel=1e-3)


def test_the_dilogarithm_is_that_of_scipy():
    x = np.concatenate([[0.0, 1e-12, 0.5, 1 - 1e-12, 1.0], np.linspace(0, 1, 1001)])
    np.testing.assert_allclose(dilogarithm(x), spence(1 - x), rtol=1e-12, atol=1e-15)


def test_two_equal_sounds():
    low, high = phase_bounds_db(np.array([0.0]))
    assert high[0] == pytest.approx(20 * np.log10(2) - 10 * np.log10(2))
    assert low[0] == -40.0  # they may cancel altogether
    # variance of ln|2 cos(phi/2)| over all phases is pi^2/12, its mean 0
    expected = 20 / np.log(10) * np.sqrt(np.pi**2 / 12 + (np.log(2) / 2) ** 2)
    assert phase_u_db(np.array([0.0]))[0] == pytest.approx(expected)


def test_a_delay_makes_bands_incoherent_and_leaves_tones_coherent():
    # 5 ms and a third-octave at 1 kHz: B tau = 231.6 Hz x 5 ms = 1.158, |sin(3.638)/3.638| = 0.131
    found = both([60.0] * 5, [60.0] * 5, 0.005)
    assert found.high_db[2] - found.total.level_db[2] == pytest.approx(10 * np.log10(1.131), abs=0.01)
    tones = both([60.0] * 5, [60.0] * 5, 0.005, bandwidth=Bandwidth.TONE)
    assert tones.high_db - tones.total.level_db == pytest.approx([10 * np.log10(2)] * 5)
    assert np.all(found.total.u_db[2:] < tones.total.u_db[2:])


def test_the_phase_is_a_component_of_its_own():
    found = both([60.0] * 5, [50.0] * 5)
    labels = [component.label for component in found.total.uncertainty.components]
    assert labels == ["phase between the aid's sound and the direct sound"]


@given(diameter=st.floats(1e-5, 1e-4))
def test_a_vent_that_closes_gives_the_closed_result(diameter):
    vent, closed = Vent(diameter, 20e-3), level([70.0] * 5)
    aided = closed + vent_effect(closed.grid, vent, ear=Ear.RIGHT, age_months=None)
    field = level([65.0] * 5, plane=Plane.free_field())
    entered = direct_sound(field, vent_transmission(closed.grid, vent, ear=Ear.RIGHT, age_months=None))
    total = two_paths(aided, entered, delay_s=None, quantity="both").total
    assert total.level_db == pytest.approx(closed.level_db, abs=0.2)
    assert total.level_db[1:] == pytest.approx(closed.level_db[1:], abs=0.05)


def test_a_vent_that_opens_leaves_the_field():
    vent, grid = Vent(10e-3, 1e-3), Grid(np.array([125.0, 250.0]), Bandwidth.THIRD_OCTAVE)
    hz = grid.frequency_hz
    aided = level([70.0, 70.0], hz=hz) + vent_effect(grid, vent, ear=Ear.RIGHT, age_months=None)
    field = level([65.0, 65.0], plane=Plane.free_field(), hz=hz)
    entered = direct_sound(field, vent_transmission(grid, vent, ear=Ear.RIGHT, age_months=None))
    total = two_paths(aided, entered, delay_s=None, quantity="both").total
    assert total.level_db == pytest.approx([65.0, 65.0], abs=0.2)


def test_percentiles_do_not_add_and_a_delay_is_not_negative():
    with pytest.raises(StatisticMismatchError):
        both([60.0] * 5, [60.0] * 5, statistic=Statistic.P99)
    with pytest.raises(OutOfRangeError, match="a delay is not negative"):
        both([60.0] * 5, [60.0] * 5, -0.001)
