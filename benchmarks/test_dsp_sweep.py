"""A 10 s sweep: response and harmonics to the fifth against a peer's deconvolution without harmonics."""

import time

import numpy as np
import pytest

from umbo.dsp import exponential_sweep, sweep_response

RATE_HZ = 48000
RANGE_HZ = (80.0, 20000.0)
FASTER_THAN_PEER = 2.0


@pytest.fixture(scope="module")
def sweep():
    stimulus = exponential_sweep(*RANGE_HZ, 9.5, RATE_HZ, 0.5)
    noise = 1e-4 * np.random.default_rng(1).standard_normal(stimulus.size)
    return stimulus, stimulus + 0.01 * stimulus**2 + 0.02 * stimulus**3 + noise


def ours(stimulus, recorded):
    return sweep_response(recorded, stimulus, RATE_HZ, *RANGE_HZ, n_harmonics=5)


def peer(stimulus, recorded):
    """Regularised deconvolution to an impulse response; separating harmonics would come on top."""
    pyfar = pytest.importorskip("pyfar", reason="pyfar is an optional test dependency")
    response = pyfar.dsp.deconvolve(
        pyfar.Signal(recorded, RATE_HZ), pyfar.Signal(stimulus, RATE_HZ), frequency_range=RANGE_HZ
    )
    return response.time


@pytest.mark.benchmark(group="sweep of 10 s")
def test_ours(benchmark, sweep):
    assert benchmark(ours, *sweep).harmonic_power.shape[0] == 4


@pytest.mark.peer
@pytest.mark.filterwarnings("ignore")
@pytest.mark.benchmark(group="sweep of 10 s")
def test_peer(benchmark, sweep):
    benchmark(peer, *sweep)


@pytest.mark.peer
@pytest.mark.filterwarnings("ignore")
def test_ratio(sweep):
    least = {ours: np.inf, peer: np.inf}
    for _ in range(5):  # blocks in turns: neither inherits the other's memory layout at every call
        for function in (ours, peer):
            for _ in range(12):
                start = time.process_time()
                function(*sweep)
                least[function] = min(least[function], time.process_time() - start)
    print(f"ours {1e3 * least[ours]:.0f} ms, peer {1e3 * least[peer]:.0f} ms: {least[peer] / least[ours]:.1f} ×")
    assert least[peer] / least[ours] > FASTER_THAN_PEER
