"""Loop gain of acoustic feedback, from the ripple it leaves on a response."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from umbo.dsp._arrays import FloatArray

__all__ = ["LoopGain", "loop_gain"]

#: Ripple counts if its delay lies in this range: an aid's processing and the way back (engineering judgement). [s]
_DELAY_S = (0.003, 0.020)
#: Stretch of the axis that is looked at, and the step to the next one (engineering judgement). [Hz]
_STRETCH_HZ, _STEP_HZ = 1500.0, 500.0


@dataclass(frozen=True, slots=True)
class LoopGain:
    """What the ripple of a response says about feedback.

    Parameters
    ----------
    magnitude : float
        Largest loop gain found. [1]
    margin_db : float
        How much the gain may rise before it whistles: -20 lg of the magnitude. [dB]
    frequency_hz : float
        Middle of the stretch where it is. [Hz]
    delay_s : float
        Delay of the loop, from the spacing of the ripple. [s]
    floor : float
        What the method finds without feedback: the mean of the other delays. [1]
    """

    magnitude: float
    margin_db: float
    frequency_hz: float
    delay_s: float
    floor: float


def loop_gain(frequency_hz: FloatArray, power: FloatArray) -> LoopGain:
    r"""Estimate the loop gain from the ripple of a response on an even grid.

    .. math:: |H| = \frac{|G|}{|1 - L e^{-2 \pi j f \tau}|}, \qquad
       \ln|H| = \ln|G| + \sum_n \frac{L^n}{n} \cos(2 \pi n f \tau) \qquad (1)

    The first term of the sum is a ripple over frequency with the amplitude L and the spacing 1/τ: a windowed Fourier
    transform of ln|H| over stretches of 1.5 kHz shows it.

    Parameters
    ----------
    frequency_hz : array (n,)
        Evenly spaced frequencies that cover at least 1.5 kHz, 25 Hz apart or less. [Hz]
    power : array (n,)
        Squared magnitude of the response. [any]

    Returns
    -------
    LoopGain
        The stretch with the largest ripple.

    Raises
    ------
    OutOfRangeError
        If the frequencies are too few or too far apart.

    Notes
    -----
    Equation 1 is the series of ln(1/(1-z)), valid for L < 1. It is a hint: resonances narrower than 50 Hz would look
    alike, and an aid whose canceller works shows what is left of the loop.
    """
    step = float(frequency_hz[1] - frequency_hz[0]) if frequency_hz.size > 1 else np.inf
    size = round(_STRETCH_HZ / step)
    if not step <= 0.5 / _DELAY_S[1] or frequency_hz.size < size:
        raise OutOfRangeError(
            "look for feedback in a response",
            f"it has {frequency_hz.size} frequencies, {step:g} Hz apart",
            "give an even grid over 1.5 kHz or more, 25 Hz apart or less",
        )
    log = 0.5 * np.log(np.maximum(power, 1e-300))
    window = np.hanning(size + 2)[1:-1]
    delay = np.fft.rfftfreq(8 * size, step)
    wanted = (delay >= _DELAY_S[0]) & (delay <= _DELAY_S[1])
    axis = np.linspace(-1, 1, size)
    found = []
    for first in range(0, frequency_hz.size - size + 1, max(round(_STEP_HZ / step), 1)):
        part = log[first : first + size]
        part = part - np.polynomial.Polynomial.fit(axis, part, 5)(axis)
        line = 2 * np.abs(np.fft.rfft(part * window, 8 * size))[wanted] / window.sum()
        top = int(np.argmax(line))
        found.append((float(line[top]), first + size // 2, float(delay[wanted][top]), float(np.median(line))))
    magnitude, middle, delay_s, floor = max(found)
    magnitude = min(magnitude, 1.0)
    return LoopGain(magnitude, float(-20 * np.log10(max(magnitude, 1e-9))), float(frequency_hz[middle]), delay_s, floor)
