"""Harmonics cut out of a deconvolved sweep and carried to the frequencies that excite them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.dsp._arrays import running_mean
from umbo.dsp._repeats import noise_from_repeats

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from umbo.dsp._arrays import BoolArray, ComplexArray, FloatArray
    from umbo.dsp._windows import HarmonicWindow

__all__ = ["harmonic_powers", "passing_power", "squared", "windowed"]

#: Number of places on the frequency axis at which the stimulus's amplitude is read.
_PLACES = 2048


def squared(values: ComplexArray) -> FloatArray:
    """Squared magnitude, without the square root that abs takes."""
    power: FloatArray = values.real**2 + values.imag**2
    return power


def windowed(impulse: FloatArray, window: HarmonicWindow, size: int) -> ComplexArray:
    """Cut a window out of the circular response and transform it; time zero is the window's first sample."""
    places = np.mod(np.arange(window.start, window.start + window.weight.size), impulse.shape[1])
    part = impulse[:, places] * window.weight
    transformed: ComplexArray = np.fft.rfft(part, size)
    return transformed


def harmonic_powers(
    impulse: FloatArray,
    windows: tuple[HarmonicWindow, ...],
    bins: NDArray[np.intp],
    passing: FloatArray,
    used: BoolArray,
    n_harmonics: int,
) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Power and noise power of the harmonics at their exciting frequencies, and where they are known."""
    shape = (max(n_harmonics, 1) - 1, bins.size)
    power, noise, valid = np.zeros(shape), np.zeros(shape), np.zeros(shape, dtype=np.bool_)
    size = 2 * (passing.size - 1)
    for row, window in enumerate(windows[1:]):
        order = row + 2
        count = max(int(bins[-1]) // order - int(bins[0]) + 1, 0)
        to = slice(order * int(bins[0]), order * (int(bins[0]) + count - 1) + 1, order)
        values = windowed(impulse, window, size)[used, to]
        carried = passing[to] / passing[bins[0] : bins[0] + count] if count else np.zeros(0)
        valid[row, :count] = True
        power[row, :count] = squared(values.mean(axis=0)) * carried
        if values.shape[0] > 1:
            noise[row, :count] = noise_from_repeats(values) / values.shape[0] * carried
    return power, noise, valid


def passing_power(spectrum: ComplexArray, bins: NDArray[np.intp], fine: float, size: int) -> FloatArray:
    """Squared amplitude of the sweep as it passes each bin: f |X|², third-octave mean, any scale.

    ``fine`` is the number of bins of the stimulus spectrum in one bin of the result.
    """
    first, last = float(np.ceil(bins[0] * fine)), float(int(bins[-1] * fine))
    places = np.geomspace(first, last, _PLACES)
    near = np.round(places).astype(np.intp)
    third = max(1, round(_PLACES * np.log(10**0.1) / np.log(last / first)))
    smooth = running_mean(squared(spectrum[near]) * near, third)
    passing: FloatArray = np.interp(np.arange(size // 2 + 1) * fine, places, smooth)
    return passing
