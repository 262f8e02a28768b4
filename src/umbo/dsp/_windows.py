"""Where the impulse responses of a sweep's harmonics lie, and the time windows that cut them out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.dsp._sweeps import SweepTiming, half_cosine
from umbo.errors import RecordingError

if TYPE_CHECKING:
    from umbo.dsp._arrays import FloatArray

__all__ = ["HarmonicWindow", "harmonic_windows"]

#: Part of the gap before an impulse response that belongs to its window; the rest is the previous one's
#: decay.
_LEAD_PART = 0.3
#: Longest lead: enough for the ringing of the band's lower edge at 20 Hz; assumed. [s]
_LONGEST_LEAD_S = 0.1
#: Parts of the lead and of the trail that are tapered by half a cosine.
_LEAD_TAPER, _TRAIL_TAPER = 0.8, 0.2
#: Shortest trail that still resolves a harmonic from its neighbour; assumed. [s]
_SHORTEST_TRAIL_S = 0.01


@dataclass(frozen=True, slots=True)
class HarmonicWindow:
    """One time window on the deconvolved response.

    Parameters
    ----------
    start : int
        First sample, relative to the sample that is time zero of the deconvolution (may be negative).
        [samples]
    weight : array (n,)
        Weights, 1 in the middle, tapered at both ends. [1]
    effective_s : float
        (Σw²)² / Σw⁴ as a duration: the number of independent spectral bins per hertz that the window
        leaves. [s]
    """

    start: int
    weight: FloatArray
    effective_s: float


def harmonic_windows(
    timing: SweepTiming,
    period: int,
    delay: int,
    sampling_rate_hz: float,
    n_harmonics: int,
    window_s: float,
) -> tuple[HarmonicWindow, ...]:
    """Lay one window around the linear impulse response and one around each harmonic's.

    Parameters
    ----------
    timing : SweepTiming
        The sweep, with its rate constant L.
    period : int
        Length of one period. [samples]
    delay : int
        Place of the linear impulse response. [samples]
    sampling_rate_hz : float
        Sampling rate. [Hz]
    n_harmonics : int
        Highest harmonic, 1 for the linear response alone. [1]
    window_s : float
        Wanted length of every window after its impulse response. [s]

    Returns
    -------
    tuple of HarmonicWindow
        Element 0 is the linear response, element n - 1 harmonic n. Harmonics none of which can lie within the
        sweep's range (n > stop / start) are left out.

    Raises
    ------
    RecordingError
        If the period is too short for the windows to lie side by side.

    Notes
    -----
    The impulse response of harmonic n lies L ln n before the linear one (Farina 2000). Its window begins
    in the last 30 % of the gap to harmonic n + 1 (at most 100 ms) and ends where the window of harmonic n
    - 1 begins, at most ``window_s`` after its impulse response. The linear window ends at most where the
    first harmonic left out comes round again in the circular response.
    """
    possible = int(timing.stop_hz / timing.start_hz)
    highest = max(min(n_harmonics, possible), 1)
    place_s = -timing.rate_s * np.log(np.arange(1, highest + 2))
    lead_s = np.minimum(_LEAD_PART * -np.diff(place_s), _LONGEST_LEAD_S)
    begin_s = place_s[:-1] - lead_s
    around_s = (place_s[-1] if highest < possible else 0.0) - lead_s[-1] + period / sampling_rate_hz
    trail_s = np.minimum(window_s, np.concatenate([[around_s], begin_s[:-1]]) - place_s[:-1])
    if trail_s.min() < _SHORTEST_TRAIL_S:
        short = int(np.argmin(trail_s)) + 1
        raise RecordingError(
            f"separate the harmonics of a sweep up to the {highest}th",
            f"a sweep rate of {timing.rate_s:.3g} s leaves harmonic {short} a window of {1e3 * trail_s.min():.1f} ms",
            "use a longer sweep, more silence after it, or fewer harmonics",
        )
    return tuple(
        _window(place, lead, trail, delay, sampling_rate_hz)
        for place, lead, trail in zip(place_s[:-1], lead_s, trail_s, strict=True)
    )


def _window(place_s: float, lead_s: float, trail_s: float, delay: int, sampling_rate_hz: float) -> HarmonicWindow:
    lead, trail = round(lead_s * sampling_rate_hz), round(trail_s * sampling_rate_hz)
    weight = np.ones(lead + trail)
    rise, fall = half_cosine(int(_LEAD_TAPER * lead)), half_cosine(int(_TRAIL_TAPER * trail))[::-1]
    weight[: rise.size] = rise
    weight[weight.size - fall.size :] = fall
    power = weight * weight
    effective_s = float(power.sum() ** 2 / np.square(power).sum() / sampling_rate_hz)
    return HarmonicWindow(delay + round(place_s * sampling_rate_hz) - lead, weight, effective_s)
