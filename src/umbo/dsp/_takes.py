"""What can be wrong with one take by itself: clipping, dropouts, offset, silence, length."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from umbo.dsp._arrays import BoolArray, FloatArray

__all__ = ["TakeCheck", "check_clipping", "check_dropouts", "check_length", "check_offset", "check_silence"]

#: Equal samples in a row at the extreme that count as clipping; assumed. [samples]
_CLIPPED_RUN = 3
#: A clipped plateau is entered by a step of more than this many quantiser steps; a rounded peak is not;
#: assumed.
_CLIPPED_STEP = 4.0
#: Shortest run of exact zeros inside a take that counts as a dropout; assumed. [s]
_ZERO_RUN_S = 0.001
#: Buffer sizes whose repetition is looked for. [samples]
_BUFFERS = (64, 128, 256, 512, 1024, 2048, 4096)
#: Offset power above this part of the total counts as found: -20 dB; assumed. [1]
_OFFSET_PART = 0.01
#: Quietest take: -90 dB re full scale, a few steps of 16 bits; assumed. [dB]
_SILENCE_DB = -90.0


@dataclass(frozen=True, slots=True)
class TakeCheck:
    """One check of a take: what was found, in numbers.

    Parameters
    ----------
    code : str
        Which check: clipping, dropout, offset, silence, length, disagreement, drift, outlier, clock.
    found : bool
        Whether what the check looks for is there.
    text : str
        One sentence with the numbers.
    numbers : mapping of str to float
        The numbers; each name ends in its unit.
    spans_s : tuple of (float, float)
        Where, from and to, at most the first twenty places. [s]
    """

    code: str
    found: bool
    text: str
    numbers: Mapping[str, float]
    spans_s: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "numbers", MappingProxyType(dict(self.numbers)))


def runs_of(flags: BoolArray) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Find the runs of true values: where each starts and how long it is."""
    change = np.flatnonzero(flags[1:] != flags[:-1]) + 1
    ends = [0] if flags.size and flags[0] else [], [flags.size] if flags.size and flags[-1] else []
    change = np.concatenate([np.array(ends[0], np.intp), change, np.array(ends[1], np.intp)])
    return change[::2], change[1::2] - change[::2]


def spans(
    starts: NDArray[np.intp], lengths: NDArray[np.intp], sampling_rate_hz: float
) -> tuple[tuple[float, float], ...]:
    """Convert runs of samples to spans of time, the first twenty. [s]"""
    pairs = zip(starts[:20], lengths[:20], strict=True)
    return tuple((float(a / sampling_rate_hz), float((a + n) / sampling_rate_hz)) for a, n in pairs)


def check_clipping(samples: FloatArray, sampling_rate_hz: float) -> TakeCheck:
    """Look for runs of equal samples at the take's own extremes.

    Parameters
    ----------
    samples : array (n,)
        Take, full scale = 1. [1]
    sampling_rate_hz : float
        Sampling rate. [Hz]

    Returns
    -------
    TakeCheck
        Found if at least three equal samples in a row sit at the highest or lowest value and are reached
        by a step of more than four quantiser steps (the smallest difference in the take): a rounded peak
        of a soft low tone also repeats its highest code, but is approached in single steps. Works for
        clipping anywhere below full scale.
    """
    starts_all, lengths_all = [], []
    for extreme in (samples.max(), samples.min()):
        starts, lengths = runs_of(samples == extreme)
        long = lengths >= _CLIPPED_RUN
        starts, lengths = starts[long], lengths[long]
        hard = _reached_by_a_step(samples, starts, lengths) if starts.size else np.zeros(0, dtype=np.bool_)
        starts_all.append(starts[hard])
        lengths_all.append(lengths[hard])
    starts, lengths = np.concatenate(starts_all), np.concatenate(lengths_all)
    order = np.argsort(starts)
    clipped = int(lengths.sum())
    peak = float(np.abs(samples).max())
    text = f"{clipped} samples in {starts.size} runs sit at the extreme of {peak:.3f} of full scale"
    numbers = {"peak_fs": peak, "clipped_samples": float(clipped), "runs_count": float(starts.size)}
    return TakeCheck("clipping", clipped > 0, text, numbers, spans(starts[order], lengths[order], sampling_rate_hz))


def _reached_by_a_step(samples: FloatArray, starts: NDArray[np.intp], lengths: NDArray[np.intp]) -> BoolArray:
    """Which runs are reached or left by a step of more than four quantiser steps."""
    step = np.abs(np.diff(samples))
    moving = step[step > 0]
    if not moving.size:
        return np.zeros(starts.size, dtype=np.bool_)
    before = np.where(starts > 0, step[np.maximum(starts - 1, 0)], np.inf)
    stop = starts + lengths
    after = np.where(stop < samples.size, step[np.minimum(stop - 1, step.size - 1)], np.inf)
    reached: BoolArray = np.maximum(before, after) > _CLIPPED_STEP * float(moving.min())
    return reached


def check_dropouts(samples: FloatArray, sampling_rate_hz: float) -> TakeCheck:
    """Look for runs of exact zeros inside a take, and for buffers that were written twice.

    Parameters
    ----------
    samples : array (n,)
        Take. [1]
    sampling_rate_hz : float
        Sampling rate. [Hz]

    Returns
    -------
    TakeCheck
        Found if exact zeros last at least 1 ms inside the take (a live microphone is never exactly zero),
        or if 64 to 4096 samples (a power of two) equal the ones before them once. A signal that repeats
        by itself does so for longer.
    """
    inside = np.flatnonzero(samples != 0)
    starts, lengths = runs_of(samples == 0)
    if inside.size:
        within = (starts > inside[0]) & (starts < inside[-1]) & (lengths >= _ZERO_RUN_S * sampling_rate_hz)
    else:
        within = np.zeros(starts.size, dtype=np.bool_)
    zero_starts, zero_lengths = starts[within], lengths[within]
    again = [_repeated_buffers(samples, buffer) for buffer in _BUFFERS if 2 * buffer <= samples.size]
    doubled = np.concatenate([starts for starts, _ in again]) if again else np.zeros(0, dtype=np.intp)
    sizes = np.concatenate([lengths for _, lengths in again]) if again else np.zeros(0, dtype=np.intp)
    all_starts = np.concatenate([zero_starts, doubled])
    order = np.argsort(all_starts)
    all_lengths = np.concatenate([zero_lengths, sizes])
    text = f"{zero_starts.size} runs of exact zeros and {doubled.size} doubled buffers"
    numbers = {
        "zero_runs_count": float(zero_starts.size),
        "doubled_buffers_count": float(doubled.size),
        "lost_s": float(all_lengths.sum() / sampling_rate_hz),
    }
    return TakeCheck(
        "dropout",
        all_starts.size > 0,
        text,
        numbers,
        spans(all_starts[order], all_lengths[order], sampling_rate_hz),
    )


def _repeated_buffers(samples: FloatArray, buffer: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Where a buffer equals the one before it, once."""
    equal = samples[buffer:] == samples[:-buffer]
    if not equal[::buffer].any():  # a run of a whole buffer holds a multiple of its length
        return np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.intp)
    starts, lengths = runs_of(equal)
    once = (lengths >= buffer) & (lengths < 1.5 * buffer)
    varied = np.array(
        [np.ptp(samples[a : a + n]) > 0 for a, n in zip(starts[once], lengths[once], strict=True)], np.bool_
    )
    return starts[once][varied] + buffer, lengths[once][varied]


def check_offset(samples: FloatArray) -> TakeCheck:
    """Look for a constant offset whose power exceeds -20 dB of the take's.

    Parameters
    ----------
    samples : array (n,)
        Take. [1]

    Returns
    -------
    TakeCheck
        Offset in full scale and re total power.
    """
    offset, power = float(samples.mean()), float(np.mean(samples**2))
    part = offset**2 / power if power > 0 else 0.0
    level_db = 10 * float(np.log10(max(part, 1e-30)))
    text = f"an offset of {offset:+.2e} of full scale, {level_db:.0f} dB re the whole take"
    return TakeCheck("offset", part > _OFFSET_PART, text, {"offset_fs": offset, "offset_re_total_db": level_db})


def check_silence(samples: FloatArray) -> TakeCheck:
    """Look for a take whose rms, offset removed, lies below -90 dB re full scale.

    Parameters
    ----------
    samples : array (n,)
        Take, full scale = 1. [1]

    Returns
    -------
    TakeCheck
        Rms level re full scale (a square wave of 1 is 0 dB).
    """
    rms_db = 10 * float(np.log10(max(float(np.var(samples)), 1e-30)))
    return TakeCheck("silence", rms_db < _SILENCE_DB, f"an rms of {rms_db:.0f} dB re full scale", {"rms_db_fs": rms_db})


def check_length(length: int, period: int, repeats: int, sampling_rate_hz: float) -> TakeCheck:
    """Compare a take's length with repeats × period.

    Parameters
    ----------
    length, period : int
        Samples of the take and of one period. [samples]
    repeats : int
        Declared number of periods. [1]
    sampling_rate_hz : float
        Sampling rate. [Hz]

    Returns
    -------
    TakeCheck
        Found if the length differs; the text says by how much and how many whole periods are there.
    """
    surplus = length - repeats * period
    numbers = {
        "surplus_samples": float(surplus),
        "surplus_s": surplus / sampling_rate_hz,
        "whole_periods_count": float(length // period),
    }
    if surplus == 0:
        return TakeCheck("length", found=False, text=f"{repeats} × {period} samples, as declared", numbers=numbers)
    kind = "too short" if surplus < 0 else "too long"
    text = f"{abs(surplus)} samples {kind} for {repeats} × {period}; {length // period} whole periods are there"
    return TakeCheck("length", found=True, text=text, numbers=numbers)
