"""Checks of samples: flat tops are found, and what only looks flat is left alone."""

from __future__ import annotations

import numpy as np
import pytest
from case_builder import RATE_HZ, recording, sweep
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from umbo.errors import RecordingError
from umbo.interchange._samples import flat_share, refuse_clipped, refuse_silent


def _plain_flat_share(samples):
    """The definition, typed out: members of runs of three or more at the largest or the smallest value."""
    count, start = set(), 0
    for i in range(1, len(samples) + 1):
        if i == len(samples) or samples[i] != samples[start]:
            if i - start >= 3 and samples[start] in (min(samples), max(samples)):
                count.update(range(start, i))
            start = i
    return len(count) / len(samples)


@given(arrays(np.float64, st.integers(1, 40), elements=st.sampled_from([-1.0, 0.0, 0.5, 1.0])))
def test_flat_share_is_what_it_says(samples):
    assert flat_share(samples) == pytest.approx(_plain_flat_share(samples.tolist()), abs=1e-12)


def _in_steps(samples, bits):
    return np.round(samples * 2 ** (bits - 1)) / 2 ** (bits - 1)


@pytest.mark.parametrize(
    "samples",
    [
        2 * sweep(),  # full scale, not clipped
        _in_steps(0.9999 * np.sin(2 * np.pi * 80 * np.arange(RATE_HZ) / RATE_HZ), 16),
        np.sin(2 * np.pi * 1000 * np.arange(RATE_HZ) / RATE_HZ),
        _in_steps(3e-5 * np.random.default_rng(1).standard_normal(RATE_HZ), 16),  # one step of noise
        recording(0.4, 2),
    ],
    ids=["sweep", "low-tone-16-bit", "tone", "faint-noise", "recording"],
)
def test_what_is_not_clipped_passes(samples):
    refuse_clipped(samples, "'it'", "use it")


@pytest.mark.parametrize("ceiling", [1.0, 0.4, 0.12])
def test_a_ceiling_is_found_wherever_it_is(ceiling):
    samples = np.clip(recording(4 * ceiling, 2), -ceiling, ceiling)
    with pytest.raises(RecordingError, match="clipped"):
        refuse_clipped(samples, "'it'", "use it")


def test_a_ceiling_on_one_side_is_found():
    with pytest.raises(RecordingError, match="clipped"):
        refuse_clipped(np.minimum(recording(1.5, 2), 0.5), "'it'", "use it")


def test_a_few_clipped_samples_are_left_to_the_analysis():
    samples = recording(0.5, 2)
    samples[5000:5010] = 1.0
    refuse_clipped(samples, "'it'", "use it")


def test_silence_with_an_offset_is_silence():
    with pytest.raises(RecordingError, match="silent"):
        refuse_silent(np.full(100, -0.01), "'it'", "use it", "record again")


def test_pascals_with_a_factor_of_one_pass():
    refuse_silent(np.array([0.0, 28.3, -28.3]), "'it'", "use it", "record again")
