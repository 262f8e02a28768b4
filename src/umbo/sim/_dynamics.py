"""Level detectors and gains of the virtual hearing aid, frame by frame and without a loop."""

from __future__ import annotations

import numpy as np
from scipy import fft, ndimage, signal

from umbo.core import FloatArray
from umbo.sim._filtering import ComplexArray

__all__ = ["FRAME_S", "analytic_frame_peaks", "detect_level_db", "frame_gain_to_samples", "limiter_gain"]

#: Step of the aid's level detectors and gains. [s]
FRAME_S = 0.001

_HOLD_FRAMES = 12
_RELEASE_DB_PER_NEPER = 20.0 / np.log(10.0)


def analytic_frame_peaks(spectrum: ComplexArray, first_bin: int, frames: int, size: int) -> FloatArray:
    """Largest envelope of a band in every frame, from the bins of the band alone.

    The inverse transform of the positive-frequency bins, at any rate that holds them, is the analytic signal of the
    band at that rate: its magnitude is the exact envelope at those instants, whatever the centre frequency.

    Parameters
    ----------
    spectrum : array (m,)
        Bins of a real transform from ``first_bin`` on.
    first_bin : int
        Index of the first bin; a band that starts at zero loses nothing but its constant.
    frames : int
        Number of frames.
    size : int
        Length of the signal.

    Returns
    -------
    array (frames,)
        Largest envelope of each frame, in the unit of the signal.
    """
    kept = spectrum[1:] if first_bin == 0 else spectrum
    points = max(2, -(-3 * kept.size // (2 * frames)))  # a frame's samples: half as many again as the band needs
    envelope = np.abs(fft.ifft(kept, n=points * frames))
    return np.asarray(envelope.reshape(frames, points).max(axis=1) * (2.0 * points * frames / size))


def detect_level_db(level_db: FloatArray, *, attack_s: float, release_s: float) -> FloatArray:
    """Smoothed level of a detector with instant hold, exponential release and a one-pole attack.

    The decoupled peak detector: y1[n] = max(x[n], y1[n-1] e^(-T/release)), followed by a one-pole filter with the
    attack time, here on decibels so that both steps vectorise: the release is a straight fall in decibels.

    Parameters
    ----------
    level_db : array (..., frames)
        Momentary levels. [dB]
    attack_s, release_s : float
        Time constants. [s]

    Returns
    -------
    array (..., frames)
        Detected levels. [dB]

    References
    ----------
    Giannoulis, D., Massberg, M., Reiss, J. D. (2012). Digital dynamic range compressor design. J Audio Eng Soc
    60:399-408 (the smooth decoupled detector, from memory).
    """
    fall_db = _RELEASE_DB_PER_NEPER * FRAME_S / release_s * np.arange(level_db.shape[-1])
    held = np.maximum.accumulate(level_db + fall_db, axis=-1) - fall_db
    keep = np.exp(-FRAME_S / attack_s)
    smooth, _ = signal.lfilter([1.0 - keep], [1.0, -keep], held, axis=-1, zi=keep * held[..., :1])
    return np.asarray(smooth)


def limiter_gain(envelope: FloatArray, *, ceiling: float, release_s: float) -> FloatArray:
    """Gain at the start of every frame that keeps a signal under a ceiling (one frame of look-ahead, 12 ms of hold).

    Parameters
    ----------
    envelope : array (frames,)
        Largest envelope of each frame.
    ceiling : float
        Largest amplitude let through, in the unit of the envelope.
    release_s : float
        Time constant after the hold. [s]

    Returns
    -------
    array (frames,)
        Gains up to 1, to be joined by straight lines. [1]
    """
    # a window of frames k-12 to k; the node at the start of frame k also serves frame k-1
    held = ndimage.maximum_filter1d(envelope, _HOLD_FRAMES + 1, origin=_HOLD_FRAMES // 2, mode="wrap")
    excess_db = 20.0 * np.log10(np.maximum(held / ceiling, 1.0))
    fall_db = _RELEASE_DB_PER_NEPER * FRAME_S / release_s * np.arange(envelope.size)
    falling_db = np.maximum.accumulate(excess_db + fall_db) - fall_db
    return np.asarray(10.0 ** (-falling_db / 20.0))


def frame_gain_to_samples(gain: FloatArray, step: int) -> FloatArray:
    """Gains of frames joined by straight lines; the last frame keeps its gain.

    Parameters
    ----------
    gain : array (frames,)
        Gain at the start of each frame.
    step : int
        Samples a frame.

    Returns
    -------
    array (frames * step,)
        Gain of each sample.
    """
    following = np.append(gain[1:], gain[-1])
    fraction = np.arange(step) / step
    return np.asarray((gain[:, None] + (following - gain)[:, None] * fraction).reshape(-1))
