"""Reductions of steady sound, band by band: noise reduction, and a feedback canceller that attacks tones."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from scipy import signal

from umbo.core import FloatArray
from umbo.errors import InputError
from umbo.sim._dynamics import FRAME_S

__all__ = ["SteadyReduction", "noise_reduction", "tone_canceller"]

_BLOCK_FRAMES = 50
_INNER_PERCENT = (10.0, 90.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class SteadyReduction:
    r"""Takes gain away from bands in which the level has hardly moved for a while.

    Levels of 50 ms blocks are watched through a window that reaches back ``detection_s``. Where their inner 80 % spread
    by ``full_below_db`` or less the band counts as steady, by ``none_above_db`` or more as not, in between in
    part. A band with a block below ``gate_db_spl`` in the window is left alone: at the onset of a steady sound nothing
    happens for ``detection_s``, then the gain falls by the depth with the time constant,

    .. math:: G(t) = -D (1 - e^{-(t - t_d)/\tau}), \quad t > t_d

    and comes back in the same way. The model and its numbers are assumed.

    Attributes
    ----------
    depth_db : tuple of float, (bands,)
        Gain taken away in the end, 0 to 40. [dB]
    time_constant_s : float
        Time constant τ, 0.01 to 30. [s]
    detection_s : float
        Length of the window t_d, 0.1 to 10, a whole number of 50 ms blocks. [s]
    full_below_db, none_above_db : float
        Spreads of a steady and of an unsteady band. [dB]
    gate_db_spl : float
        Band level below which there is nothing to judge. [dB re 20 µPa]

    Raises
    ------
    InputError
        If a value lies outside its range.
    """

    depth_db: tuple[float, ...]
    time_constant_s: float
    detection_s: float
    full_below_db: float
    none_above_db: float
    gate_db_spl: float = 30.0

    def __post_init__(self) -> None:
        blocks = self.detection_s / (_BLOCK_FRAMES * FRAME_S)
        wrong = ""
        if not all(0.0 <= depth <= 40.0 for depth in self.depth_db):
            wrong = f"depths of {min(self.depth_db):g} to {max(self.depth_db):g} dB leave 0 to 40 dB"
        elif not 0.01 <= self.time_constant_s <= 30.0:
            wrong = f"a time constant of {self.time_constant_s:g} s leaves 0.01 to 30 s"
        elif not 0.1 <= self.detection_s <= 10.0 or abs(blocks - round(blocks)) > 1e-6:
            wrong = f"a window of {self.detection_s:g} s is no whole number of 50 ms blocks from 0.1 to 10 s"
        elif not 0.0 <= self.full_below_db < self.none_above_db:
            wrong = f"a steady spread of {self.full_below_db:g} dB is not below {self.none_above_db:g} dB"
        if wrong:
            raise InputError("build a reduction of steady sound", wrong, "choose values inside the stated ranges")

    def course_db(self, momentary_db: FloatArray) -> FloatArray:
        """Change of gain in every frame.

        Parameters
        ----------
        momentary_db : array (bands, frames)
            Momentary levels in frames of 1 ms. [dB re 20 µPa]

        Returns
        -------
        array (bands, frames)
            Changes, 0 or less. [dB]
        """
        frames = momentary_db.shape[-1]
        blocks = frames // _BLOCK_FRAMES
        target = np.zeros((momentary_db.shape[0], -(-frames // _BLOCK_FRAMES) + 1))
        window = round(self.detection_s / (_BLOCK_FRAMES * FRAME_S))
        if blocks >= window:
            shaped = momentary_db[:, : blocks * _BLOCK_FRAMES].reshape(-1, blocks, _BLOCK_FRAMES)
            level_db = 10.0 * np.log10(np.mean(10.0 ** (shaped / 10.0), axis=-1))
            seen = sliding_window_view(level_db, window, axis=-1)
            low, high = np.percentile(seen, _INNER_PERCENT, axis=-1)
            share = (self.none_above_db - (high - low)) / (self.none_above_db - self.full_below_db)
            share = np.where(seen.min(axis=-1) < self.gate_db_spl, 0.0, np.clip(share, 0.0, 1.0))
            target[:, window : blocks + 1] = -np.asarray(self.depth_db)[:, None] * share
            target[:, blocks + 1 :] = target[:, blocks : blocks + 1]
        steps = np.repeat(target, _BLOCK_FRAMES, axis=-1)[:, :frames]
        keep = np.exp(-FRAME_S / self.time_constant_s)
        # the frame at time t holds what the time constant has done by its start
        return np.asarray(signal.lfilter([0.0, 1.0 - keep], [1.0, -keep], steps, axis=-1))

    def onset_db(self, time_s: FloatArray, band: int) -> FloatArray:
        """Change of gain after the onset of a steady sound, in closed form.

        Parameters
        ----------
        time_s : array (n,)
            Times since the onset. [s]
        band : int
            Which band. [1]

        Returns
        -------
        array (n,)
            Changes. [dB]
        """
        since_s = np.maximum(np.asarray(time_s) - self.detection_s, 0.0)
        return np.asarray(-self.depth_db[band] * -np.expm1(-since_s / self.time_constant_s))


def noise_reduction(
    depth_db: tuple[float, ...], *, time_constant_s: float = 1.5, detection_s: float = 2.0
) -> SteadyReduction:
    """Noise reduction: acts where the level has spread by no more than 8 dB, not from 14 dB on (assumed).

    Parameters
    ----------
    depth_db : tuple of float, (bands,)
        Depth in each band. [dB]
    time_constant_s : float
        Time constant. [s]
    detection_s : float
        How long a sound has to be steady first. [s]

    Returns
    -------
    SteadyReduction
        Leaves running speech alone.
    """
    return SteadyReduction(
        depth_db=depth_db,
        time_constant_s=time_constant_s,
        detection_s=detection_s,
        full_below_db=8.0,
        none_above_db=14.0,
    )


def tone_canceller(
    depth_db: tuple[float, ...], *, time_constant_s: float = 0.2, detection_s: float = 0.5
) -> SteadyReduction:
    """Feedback canceller that attacks steady tones, which it cannot tell from feedback; noise moves too much for it.

    Parameters
    ----------
    depth_db : tuple of float, (bands,)
        What it takes from a tone in each band. [dB]
    time_constant_s : float
        Time constant. [s]
    detection_s : float
        How long the tone has to sound first. [s]

    Returns
    -------
    SteadyReduction
        Acts where the level has spread by no more than 0.1 dB, not from 0.4 dB on (assumed).
    """
    return SteadyReduction(
        depth_db=depth_db,
        time_constant_s=time_constant_s,
        detection_s=detection_s,
        full_below_db=0.1,
        none_above_db=0.4,
    )
