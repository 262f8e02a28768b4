"""Sweeps: the closed form, and reading the rate of sweeps that others made."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.dsp import exponential_sweep, sweep_timing
from umbo.errors import RecordingError

RATE_HZ = 48000


def test_sweep_follows_the_closed_form_between_its_fades():
    sweep = exponential_sweep(100.0, 10000.0, 1.0, RATE_HZ, 0.25, amplitude=0.7)
    rate_s = 1.0 / np.log(100.0)
    time_s = np.arange(RATE_HZ) / RATE_HZ
    plain = 0.7 * np.sin(2 * np.pi * 100.0 * rate_s * (np.exp(time_s / rate_s) - 1))
    inner = slice(960, RATE_HZ - 96)
    assert sweep.size == 60000
    assert np.array_equal(sweep[RATE_HZ:], np.zeros(12000))
    np.testing.assert_allclose(sweep[inner], plain[inner], atol=1e-10)
    assert abs(sweep[0]) < 1e-3
    assert abs(sweep[RATE_HZ - 1]) < 1e-3 * 0.7


@settings(max_examples=15, deadline=None)
@given(
    start_hz=st.floats(20.0, 200.0),
    stop_hz=st.floats(8000.0, 21000.0),
    duration_s=st.floats(0.5, 4.0),
    tail_s=st.sampled_from([0.0, 0.25]),
    lead=st.sampled_from([0, 480, 4800]),
)
def test_rate_is_read_from_the_file(start_hz, stop_hz, duration_s, tail_s, lead):
    sweep = exponential_sweep(start_hz, stop_hz, duration_s, RATE_HZ, tail_s)
    stimulus = np.concatenate([np.zeros(lead), sweep])
    timing = sweep_timing(stimulus, RATE_HZ, start_hz, stop_hz)
    rate_s = duration_s / np.log(stop_hz / start_hz)
    assert timing.rate_s == pytest.approx(rate_s, rel=4e-3)
    assert timing.start_s == pytest.approx(lead / RATE_HZ, abs=4e-3)
    assert timing.duration_s == pytest.approx(duration_s, rel=4e-3)


def test_rate_of_a_sweep_with_other_phase_fades_and_level():
    duration_s, start_hz, stop_hz = 2.0, 50.0, 18000.0
    time_s = np.arange(int(duration_s * RATE_HZ)) / RATE_HZ
    rate_s = duration_s / np.log(stop_hz / start_hz)
    phase = 2 * np.pi * start_hz * rate_s * np.exp(time_s / rate_s)
    level = 10 ** (-np.linspace(0, 20, time_s.size) / 20)  # falls by 20 dB
    stimulus = np.concatenate([np.cos(phase + 1.0) * level, np.zeros(5000)])
    assert sweep_timing(stimulus, RATE_HZ, start_hz, stop_hz).rate_s == pytest.approx(rate_s, rel=2e-3)


def test_a_sweep_wider_than_declared_is_accepted_in_the_declared_range():
    sweep = exponential_sweep(20.0, 20000.0, 2.0, RATE_HZ, 0.2)
    timing = sweep_timing(sweep, RATE_HZ, 200.0, 8000.0)
    rate_s = 2.0 / np.log(1000.0)
    assert timing.rate_s == pytest.approx(rate_s, rel=2e-3)
    assert timing.start_s == pytest.approx(rate_s * np.log(10.0), abs=2e-3)


def _not_sweeps():
    time_s = np.arange(RATE_HZ) / RATE_HZ
    yield "linear", np.sin(2 * np.pi * (100 * time_s + 9950 * time_s**2))
    yield "reversed", exponential_sweep(100.0, 20000.0, 1.0, RATE_HZ, 0.2)[::-1].copy()
    yield "noise", np.random.default_rng(1).standard_normal(RATE_HZ)
    yield "narrower", exponential_sweep(1000.0, 4000.0, 1.0, RATE_HZ, 0.2)
    yield "silence", np.zeros(RATE_HZ)
    yield "short", np.zeros(50)


@pytest.mark.parametrize(("name", "stimulus"), list(_not_sweeps()))
def test_what_is_not_an_exponential_sweep_is_refused(name, stimulus):
    with pytest.raises(RecordingError, match="is not an exponential sweep from 100 Hz to 20000 Hz"):
        sweep_timing(stimulus, RATE_HZ, 100.0, 20000.0)


@pytest.mark.parametrize(
    "arguments", [(0.0, 1000.0, 1.0), (100.0, 30000.0, 1.0), (1000.0, 100.0, 1.0), (100.0, 1000.0, 0.01)]
)
def test_impossible_sweeps_are_refused(arguments):
    with pytest.raises(RecordingError, match="make an exponential sweep"):
        exponential_sweep(*arguments, RATE_HZ, 0.1)


@pytest.mark.peer
@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_a_peers_sweep_is_read():
    pyfar = pytest.importorskip("pyfar", reason="pyfar is an optional test dependency")
    sweep = pyfar.signals.exponential_sweep_time(2**16, [50, 20000], sampling_rate=RATE_HZ).time[0]
    timing = sweep_timing(np.asarray(sweep), RATE_HZ, 50.0, 20000.0)
    assert timing.rate_s == pytest.approx(2**16 / RATE_HZ / np.log(400.0), rel=2e-3)
