"""10,000 draws of one speech intelligibility index: ours at once, against the sums of the standard in plain loops."""

import math
import time

import numpy as np
import pytest

from umbo.audibility import NO_NOISE_DB, Procedure, bands, importance, speech_intelligibility_index

THIRD = Procedure.THIRD_OCTAVE
N_DRAWS, N_LOOPED = 10_000, 100
FASTER_THAN_LOOPS = 15.0


@pytest.fixture(scope="module")
def levels():
    rng = np.random.default_rng(1)
    speech = bands(THIRD).normal_speech_db + 10.0 + rng.normal(0.0, 3.0, (N_DRAWS, 18))
    threshold = np.linspace(20.0, 60.0, 18) + rng.normal(0.0, 5.0, (N_DRAWS, 18))
    return speech, np.full(18, NO_NOISE_DB), threshold, importance(THIRD, material="average_speech")


def ours(speech, noise, threshold, weight):
    return speech_intelligibility_index(speech, noise, threshold, weight, THIRD)


def looped(speech, noise, threshold, weight):
    """Equations (5) to (14) for one condition, band by band."""
    band = bands(THIRD)
    hz, internal, normal = (a.tolist() for a in (band.frequency_hz, band.internal_noise_db, band.normal_speech_db))
    masker = [max(n, e - 24.0) for n, e in zip(noise, speech, strict=True)]
    slope = [-80.0 + 0.6 * (b + 10.0 * math.log10(f) - 6.353) for b, f in zip(masker, hz, strict=True)]
    total = 0.0
    for i, (e, n, t) in enumerate(zip(speech, noise, threshold, strict=True)):
        power = 10.0 ** (0.1 * n)
        for k in range(i):
            power += 10.0 ** (0.1 * (masker[k] + 3.32 * slope[k] * math.log10(0.89 * hz[i] / hz[k])))
        masking = masker[0] if i == 0 else 10.0 * math.log10(power)
        disturbance = max(masking, internal[i] + t)
        distortion = min(max(1.0 - (e - normal[i] - 10.0) / 160.0, 0.0), 1.0)
        total += weight[i] * distortion * min(max((e - disturbance + 15.0) / 30.0, 0.0), 1.0)
    return total


def all_looped(speech, noise, threshold, weight):
    rows = zip(speech[:N_LOOPED].tolist(), threshold[:N_LOOPED].tolist(), strict=True)
    return [looped(e, noise.tolist(), t, weight.tolist()) for e, t in rows]


def test_both_give_the_same(levels):
    assert ours(*levels)[:N_LOOPED] == pytest.approx(all_looped(*levels), abs=1e-9)


@pytest.mark.benchmark(group="10,000 draws of one index")
def test_ours(benchmark, levels):
    assert benchmark(ours, *levels).shape == (N_DRAWS,)


@pytest.mark.benchmark(group="10,000 draws of one index")
def test_loops_for_a_hundredth_of_the_draws(benchmark, levels):
    assert len(benchmark(all_looped, *levels)) == N_LOOPED


def test_ratio(levels):
    least = dict.fromkeys((ours, all_looped), np.inf)
    for _ in range(5):
        for function in least:
            start = time.process_time()
            function(*levels)
            least[function] = min(least[function], time.process_time() - start)
    loops = least[all_looped] * N_DRAWS / N_LOOPED
    print(f"ours {1e3 * least[ours]:.0f} ms, loops {loops:.1f} s: {loops / least[ours]:.0f} ×")
    assert loops / least[ours] > FASTER_THAN_LOOPS
