"""60 s of speech through an aid: gain by percentile, dynamic range and compression, against one bare transform."""

import time
from datetime import date

import numpy as np
import pytest
from scipy import fft as scipy_fft

from umbo.aid import Conditions, InputRoute, Settings, StimulusKind, Volume, speech_test
from umbo.calibration import Calibration, Recording
from umbo.core import Ear, Plane, Source, Statistic, Tags
from umbo.curves import Noticed, speech_input, speech_reading

RATE_HZ, PERIOD_S, REPEATS = 48000.0, 30.0, 2

#: The target of this benchmark: the analysis of a run over the transforms that a bare spectrum of it takes.
SLOWER_THAN_ONE_TRANSFORM = 4.0

PLANE = Plane.coupler("ha1")
TAGS = Tags(
    quantity="speech", ear=Ear.RIGHT, stimulus="speech", statistic=Statistic.RMS, coupling=None, source=Source.AID
)
CAL = Calibration(name="mic", pa_per_full_scale=20.0, u_db=0.2, date=date(2026, 1, 1), method="entered")


@pytest.fixture(scope="module")
def run():
    """A period of modulated noise, and 60 s of it through an aid with noise."""
    rng = np.random.default_rng(1)
    size = int(PERIOD_S * RATE_HZ)
    period = 0.1 * rng.standard_normal(size) * (1 + np.sin(2 * np.pi * 4 * np.arange(size) / RATE_HZ))
    out = 0.5 * np.tile(period, REPEATS) + 1e-3 * rng.standard_normal(REPEATS * size)
    return Recording("take", out, RATE_HZ), Recording("speech", period, RATE_HZ)


def analysed(run):
    take, stimulus = run
    conditions = Conditions(
        plane=PLANE, ear=Ear.RIGHT, stimulus=StimulusKind.SPEECH, input_db_spl=65.0,
        settings=Settings("fitted", Volume.AS_FITTED, {}), route=InputRoute.ACOUSTIC, box="box", input_u_db=0.2,
    )  # fmt: skip
    reading = speech_reading(
        take, stimulus, CAL, repeats=REPEATS, plane=PLANE, tags=TAGS, noticed=Noticed(clipped=False, findings=()),
        input_db_spl=65.0,
    )  # fmt: skip
    heard = speech_input(stimulus, 65.0, tags=TAGS, box="box", u_db=0.2)
    return speech_test(reading, heard, conditions)


def one_transform(run):
    return scipy_fft.rfft(run[0].samples_fs)


@pytest.mark.benchmark(group="60 s of speech through an aid")
def test_ours(benchmark, run):
    assert set(benchmark(analysed, run).percentile_gain) == {30, 65, 99}


@pytest.mark.benchmark(group="60 s of speech through an aid")
def test_one_transform(benchmark, run):
    benchmark(one_transform, run)


def test_ratio_to_one_transform(run):
    least = dict.fromkeys((analysed, one_transform), np.inf)
    for _ in range(8):
        for function in (analysed, one_transform):
            start = time.process_time()
            function(run)
            least[function] = min(least[function], time.process_time() - start)
    ratio = least[analysed] / least[one_transform]
    print(f"ours {1e3 * least[analysed]:.0f} ms = {ratio:.2f} × one transform of {1e3 * least[one_transform]:.0f} ms")
    assert ratio < SLOWER_THAN_ONE_TRANSFORM
