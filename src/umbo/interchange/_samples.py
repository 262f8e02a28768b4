"""Checks of samples that need no acoustics: a recording must hold something, and not only its own ceiling."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import RecordingError

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["flat_share", "refuse_clipped", "refuse_silent"]

# Limits below are engineering judgement, no published source.

#: A sample this large in either direction stands at digital full scale. [FS]
FULL_SCALE = 0.9999
#: Largest share of flat samples at digital full scale, and below it (an analogue stage that limits). [1]
MOST_FLAT_AT_FULL_SCALE, MOST_FLAT = 0.002, 0.01
#: Below this peak, the steps of 16-bit samples can look flat by themselves. [FS]
LOWEST_CEILING = 0.1
#: Samples beyond this were never divided by full scale. [FS]
LARGEST_SAMPLE = 1000.0


def refuse_silent(samples_fs: FloatArray, called: str, asked: str, do: str) -> None:
    """Refuse samples that are all alike, or far beyond any full scale.

    Parameters
    ----------
    samples_fs : array (n,)
        Samples. [FS]
    called, asked : str
        What messages call the file, and the first part of the sentence.
    do : str
        What to do about silence.

    Raises
    ------
    RecordingError
        If there is no signal, or none in full scale.
    """
    low, high = float(samples_fs.min()), float(samples_fs.max())
    if low == high:
        raise RecordingError(
            asked,
            f"{called} is silent: all its {samples_fs.size} samples are {low:g}",
            do,
        )
    largest = max(-low, high)
    if largest > LARGEST_SAMPLE:
        raise RecordingError(
            asked,
            f"{called} reaches {largest:g}, but a sample of 1.0 is full scale",
            "export it in full scale",
        )


def refuse_clipped(samples_fs: FloatArray, called: str, asked: str) -> None:
    """Refuse a recording that spent a good part of its time at its ceiling.

    A few clipped samples are left to the analysis, which marks the frequencies they spoil.

    Parameters
    ----------
    samples_fs : array (n,)
        Samples. [FS]
    called, asked : str
        What messages call the file, and the first part of the sentence.

    Raises
    ------
    RecordingError
        If more samples are flat at the top than a recording can have.
    """
    peak = float(np.abs(samples_fs).max())
    if peak < LOWEST_CEILING:
        return
    most = MOST_FLAT_AT_FULL_SCALE if FULL_SCALE <= peak <= 1.0 else MOST_FLAT
    share = flat_share(samples_fs)
    if share > most:
        raise RecordingError(
            asked,
            f"{called} is clipped: {100 * share:.1f} % of its samples stand flat at its peak of "
            f"{peak:.3g} FS, and at most {100 * most:g} % may",
            "lower the input gain and record it again",
        )


def flat_share(samples_fs: FloatArray) -> float:
    """Find the share of samples that equal the largest or the smallest one in runs of three or more. [1]

    Parameters
    ----------
    samples_fs : array (n,)
        Samples. [FS]
    """
    flat = np.zeros(samples_fs.size, dtype=np.bool_)
    for level in (samples_fs.max(), samples_fs.min()):
        at = samples_fs == level
        middle = at[:-2] & at[1:-1] & at[2:]  # the sample before, this one and the next
        flat[:-2] |= middle
        flat[1:-1] |= middle
        flat[2:] |= middle
    return float(flat.mean())
