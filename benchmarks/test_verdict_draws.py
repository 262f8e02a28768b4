"""10 000 draws of a full verdict: ours, a general library's joint normal draws, and a plain loop over draws.

Three speech levels (match, rms, slope, audible frequencies) and a maximum output, with shared and separate causes.
The peers get the covariance for nothing; the plain loop is timed on a hundredth of the draws.
"""

import time
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from umbo.core import Bandwidth, Component, Ear, Grid, Level, Plane, Statistic, Tags
from umbo.verdict import SpeechToDraw, draw_verdicts, guidance, joint_factor

DRAWS = 10_000
THIRDS = 1000.0 * 10.0 ** (np.arange(-6, 9) / 10.0)
TONES = np.array([250.0, 500.0, 750.0, 1000.0, 1500.0, 2000.0, 3000.0, 4000.0, 6000.0])
RMS_AT, SLOPE_AT = [3, 6, 9, 12], [0, 3, 6, 9, 12]
OCTAVES = np.diff(np.log2(THIRDS[SLOPE_AT]))
CHOSEN = replace(guidance("project"), slope_db_per_octave=5.0)  # every criterion there is

#: The targets of this benchmark: processor time of ours, and how much slower the others are.
MOST_MS, FASTER_THAN_LOOP, FASTER_THAN_LIBRARY = 150.0, 20.0, 1.2


def level(hz, value_db, full, none, bandwidth):
    tags = Tags(quantity="x", ear=Ear.RIGHT, stimulus="s", statistic=Statistic.RMS, coupling=None, source=None)
    causes = [Component(i, i, np.full(len(hz), 0.6), "full", "B", "x") for i in full]
    causes += [Component(i, i, np.full(len(hz), 0.5), "none", "A", "x") for i in none]
    values = np.full(len(hz), float(value_db))
    return Level.given(
        Grid(hz, bandwidth), values, plane=Plane.eardrum(), tags=tags, source="x", components=causes
    )  # fmt: skip


@pytest.fixture(scope="module")
def levels():
    chain = ["coupler microphone", "probe microphone", "recd", "microphone location", "coupler volume"]
    band = Bandwidth.THIRD_OCTAVE
    threshold = level(THIRDS, 50.0, ["recd", "retspl", "dial"], ["retest of thresholds"], band)
    speech = []
    for name, target_db in (("55", 70.0), ("65", 80.0), ("75", 88.0)):
        aided = level(THIRDS, target_db + 2.0, chain, [f"noise {name}", "retest"], band)
        speech.append((name, aided, level(THIRDS, target_db, ["dial", "unaided"], [], band), threshold))
    output = level(TONES, 110.0, chain, ["retest"], Bandwidth.TONE)
    return speech, output, level(TONES, 113.0, ["recd", "retspl", "discomfort"], [], Bandwidth.TONE)


def compared(levels):
    speech, output, limit = levels
    return [SpeechToDraw.of(*one) for one in speech], output.above(limit, quantity="excess")


def ours(levels):
    speech, excess = compared(levels)
    draws = draw_verdicts(speech, excess, guidance=CHOSEN, seed=1, n=DRAWS)
    return draws.whole.share


def stacked(levels):
    """Means and covariance of all points, for the peers."""
    speech, excess = compared(levels)
    curves = [c for one in speech for c in (one.deviation, one.sensation)] + [excess]
    factor = joint_factor(curves)
    return np.concatenate([c.level_db for c in curves]), factor.T @ factor


def judged(row, tolerance):
    """One draw, judged in plain steps."""
    n, kept = len(THIRDS), True
    for k in range(3):
        d = row[2 * k * n : (2 * k + 1) * n]
        kept &= bool((np.abs(d) <= tolerance).all())
        kept &= float(np.sqrt(np.mean(d[RMS_AT] ** 2))) <= CHOSEN.rms_db
        kept &= bool((np.abs(np.diff(d[SLOPE_AT])) <= CHOSEN.slope_db_per_octave * OCTAVES).all())
        np.sum(row[(2 * k + 1) * n : (2 * k + 2) * n] > 0)
    return kept and bool((row[6 * n :] <= 0).all())


def plain_loop(levels, draws=DRAWS // 100):
    mean, covariance = stacked(levels)
    rng, tolerance = np.random.default_rng(1), CHOSEN.tolerance_at(THIRDS)
    factor = np.linalg.cholesky(covariance + 1e-9 * np.eye(len(mean)))
    return np.mean([judged(mean + factor @ rng.standard_normal(len(mean)), tolerance) for _ in range(draws)])


def library(levels):
    """A general library's draws, judged all at once."""
    mean, covariance = stacked(levels)
    drawn = stats.multivariate_normal(mean, covariance, allow_singular=True, seed=1).rvs(DRAWS)
    n, kept, tolerance = len(THIRDS), np.ones(DRAWS, dtype=bool), CHOSEN.tolerance_at(THIRDS)
    for k in range(3):
        d = drawn[:, 2 * k * n : (2 * k + 1) * n]
        kept &= (np.abs(d) <= tolerance).all(axis=1) & (np.sqrt(np.mean(d[:, RMS_AT] ** 2, axis=1)) <= CHOSEN.rms_db)
        kept &= (np.abs(np.diff(d[:, SLOPE_AT], axis=1)) <= CHOSEN.slope_db_per_octave * OCTAVES).all(axis=1)
        np.sum(drawn[:, (2 * k + 1) * n : (2 * k + 2) * n] > 0, axis=1)
    return (kept & (drawn[:, 6 * n :] <= 0).all(axis=1)).mean()


@pytest.mark.benchmark(group="10000 draws of a verdict")
def test_ours(benchmark, levels):
    assert 0 < benchmark(ours, levels) < 1


@pytest.mark.benchmark(group="10000 draws of a verdict")
def test_library(benchmark, levels):
    benchmark(library, levels)


@pytest.mark.benchmark(group="100 draws of a verdict")
def test_plain_loop(benchmark, levels):
    benchmark(plain_loop, levels)


def test_all_three_agree(levels):
    """The same share by three ways, within the standard error of the draws."""
    expected = ours(levels)
    assert library(levels) == pytest.approx(expected, abs=0.03)
    assert plain_loop(levels, 2000) == pytest.approx(expected, abs=0.05)


def _least_ms(function, levels, rounds):
    least = np.inf
    for _ in range(rounds):
        start = time.process_time()
        function(levels)
        least = min(least, time.process_time() - start)
    return 1e3 * least


def test_time(levels):
    mine, theirs, loop = (_least_ms(f, levels, r) for f, r in ((ours, 8), (library, 8), (plain_loop, 4)))
    print(f"ours {mine:.0f} ms, library {theirs:.0f} ms, plain loop {100 * loop:.0f} ms")
    assert mine < MOST_MS
    assert theirs / mine > FASTER_THAN_LIBRARY
    assert 100 * loop / mine > FASTER_THAN_LOOP
