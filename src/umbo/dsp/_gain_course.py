"""How far one run lies below another over time, band by band: noise reduction and what else adapts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import RecordingError

if TYPE_CHECKING:
    from umbo.dsp._arrays import BoolArray, FloatArray

__all__ = ["GainCourse", "gain_course"]

#: Part of the final depth that a first-order change has reached after its time constant: 1 - 1/e. [1]
_TIME_CONSTANT_PART = 1 - np.exp(-1.0)
#: The scatter of the settled part is taken between blocks of this length, for frames are not independent. [s]
_BLOCK_S = 1.0
_FEWEST_BLOCKS = 3


@dataclass(frozen=True, slots=True, eq=False)
class GainCourse:
    """Reduction of band levels over time.

    Parameters
    ----------
    time_s : array (f,)
        Middles of the frames. [s]
    reduction_db : array (b, f)
        Level without minus level with the feature. [dB]
    depth_db, depth_u_db : array (b,)
        Mean reduction after the wait, and its standard uncertainty. [dB]
    depth_mean_db, depth_mean_u_db : float
        The same of the mean over the bands that count. [dB]
    time_63_s : array (b,)
        Time until 63 % of the depth is reached; 0 where it is not known. [s]
    time_known : array (b,), bool
        Whether that time is known: the depth has to stand out from the scatter of the frames.
    """

    time_s: FloatArray
    reduction_db: FloatArray
    depth_db: FloatArray
    depth_u_db: FloatArray
    depth_mean_db: float
    depth_mean_u_db: float
    time_63_s: FloatArray
    time_known: BoolArray


def gain_course(
    without_power: FloatArray, with_power: FloatArray, time_s: FloatArray, *, wait_s: float, counted: BoolArray
) -> GainCourse:
    """Compare frame powers of two runs with the same sound, without and with a feature.

    Parameters
    ----------
    without_power, with_power : array (b, f)
        Mean squares of bands in frames, from the onset of the sound. [any, the same]
    time_s : array (f,)
        Middles of the frames from the onset. [s]
    wait_s : float
        The depth is read after this time. [s]
    counted : array (b,), bool
        Bands that count for the mean.

    Returns
    -------
    GainCourse
        Course, depth, and time.

    Raises
    ------
    RecordingError
        If the runs differ in size, less than three seconds are left after the wait, or no band counts.

    Notes
    -----
    The same sound in both runs: its fluctuation cancels in the difference, and what scatters is noise and adaptation.
    The uncertainty is the scatter between blocks of 1 s over the root of their number (JCGM 100 clause 4.2.3).
    """
    if without_power.shape != with_power.shape or without_power.shape[-1] != time_s.size:
        raise RecordingError(
            "compare two runs band by band",
            f"they have {without_power.shape} and {with_power.shape} bands and frames, and {time_s.size} times",
            "record the same sound for the same time in both",
        )
    after = time_s >= wait_s
    hop_s = float(time_s[1] - time_s[0]) if time_s.size > 1 else 0.0
    size = max(round(_BLOCK_S / hop_s), 1) if hop_s else 1
    blocks = int(after.sum()) // size
    if blocks < _FEWEST_BLOCKS or not counted.any():
        raise RecordingError(
            f"read the reduction after {wait_s:g} s",
            f"{after.sum() * hop_s:.1f} s are left after it, and {int(counted.sum())} bands count",
            f"record at least {wait_s + _FEWEST_BLOCKS * _BLOCK_S:g} s, well above the noise",
        )
    course = 10 * (np.log10(np.maximum(without_power, 1e-30)) - np.log10(np.maximum(with_power, 1e-30)))
    settled = course[:, after][:, : blocks * size].reshape(course.shape[0], blocks, size).mean(axis=-1)
    depth = settled.mean(axis=-1)
    mean = settled[counted].mean(axis=0)
    root = np.sqrt(blocks)
    times, known = _times(course, depth, course[:, after].std(axis=-1), time_s)
    return GainCourse(
        time_s=time_s,
        reduction_db=course,
        depth_db=depth,
        depth_u_db=settled.std(axis=-1, ddof=1) / root,
        depth_mean_db=float(mean.mean()),
        depth_mean_u_db=float(mean.std(ddof=1) / root),
        time_63_s=times,
        time_known=known,
    )


def _times(
    course: FloatArray, depth: FloatArray, scatter: FloatArray, time_s: FloatArray
) -> tuple[FloatArray, BoolArray]:
    """First crossing of 63 % of the depth, between frames by a straight line."""
    times, known = np.zeros(depth.size), np.zeros(depth.size, dtype=np.bool_)
    for band in range(depth.size):
        part = course[band] / depth[band] if abs(depth[band]) > max(4 * scatter[band], 1e-6) else None
        if part is None:
            continue
        reached = np.flatnonzero(part >= _TIME_CONSTANT_PART)
        first = int(reached[0]) if reached.size else 0
        if first == 0:  # there from the first frame on
            times[band], known[band] = float(time_s[0]), bool(reached.size)
            continue
        here, before = part[first], part[first - 1]
        share = (_TIME_CONSTANT_PART - before) / (here - before)
        times[band] = float(time_s[first - 1] + share * (time_s[first] - time_s[first - 1]))
        known[band] = True
    return times, known
