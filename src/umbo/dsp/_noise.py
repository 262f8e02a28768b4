"""Taking noise out of a measured power, with what that does to its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from umbo.dsp._arrays import BoolArray, FloatArray

__all__ = ["NoiseCorrected", "subtract_noise_power"]

_DB = 10 / np.log(10)
#: Fewest degrees of freedom for which the widening ν/(ν - 2) is taken as it stands.
_FEWEST_DOF = 3.0
_TINY = float(np.finfo(np.float64).tiny)


@dataclass(frozen=True, slots=True, eq=False)
class NoiseCorrected:
    """A power from which noise has been subtracted.

    Parameters
    ----------
    power : array
        Measured power less noise power; where nothing is left above its own standard uncertainty, that
        uncertainty instead: a bound below which a signal cannot be told from noise. Always above zero.
        [as measured]
    u_db : array
        Standard uncertainty of ``power`` as a level. [dB]
    over_noise_db : array
        Measured power over noise power, not corrected: 3 dB means that half of the reading is noise. Some
        thousand decibels, but finite, where the noise is zero. [dB]
    signal_to_noise_db : array
        ``power`` over noise power. [dB]
    detected : array of bool
        Whether ``power`` is an estimate (true) or the bound (false).
    """

    power: FloatArray
    u_db: FloatArray
    over_noise_db: FloatArray
    signal_to_noise_db: FloatArray
    detected: BoolArray


def subtract_noise_power(
    measured_power: ArrayLike,
    noise_power: ArrayLike,
    *,
    independent_bins: ArrayLike,
    noise_dof: ArrayLike,
) -> NoiseCorrected:
    r"""Subtract noise from a band's mean power.

    .. math::

        \hat S = P - \hat N, \qquad
        u^2(\hat S) = \frac{\nu}{\nu - 2}
        \left(\frac{\hat N^2 + 2 \hat S \hat N}{K} + \frac{2 \hat N^2}{\nu}\right)

    Parameters
    ----------
    measured_power : array
        Mean of \|signal + noise\|² over the band, noise being what is left in the average of repeats. [any]
    noise_power : array
        Estimate of the noise power in it. [as measured]
    independent_bins : array
        Number K of independent complex bins in the band: bandwidth × effective duration. [1]
    noise_dof : array
        Degrees of freedom ν of ``noise_power``: 2 K (R - 1) from R repeats. [1]

    Returns
    -------
    NoiseCorrected
        Power without noise, its uncertainty, and the signal-to-noise ratio; never NaN.

    Raises
    ------
    OutOfRangeError
        If a power is negative or a count is not above zero.

    Notes
    -----
    Signal fixed, noise complex Gaussian of power N. Each bin's \|s + n\|² has mean s² + N and variance N²
    + 2 s² N (a scaled non-central chi-square with 2 degrees of freedom); averaging K independent bins
    divides the variance by K. The estimate of N is N χ²_ν/ν with variance 2 N²/ν, and independent of the
    mean. As a level, u_db = (10/ln 10) u/Ŝ: first order; it stays below 12 dB at the bound.

    The factor ν/(ν - 2), ν taken as at least 3 in it, is the variance of Student's t: the noise power in the
    formula is itself an estimate (JCGM 101:2008, 6.4.9).

    Where P - N̂ <= u(S = 0) = N̂ √(1/K + 2/ν), the power is set to that value and marked as not detected.
    """
    measured, noise, bins, dof = np.broadcast_arrays(
        *(np.asarray(value, dtype=np.float64) for value in (measured_power, noise_power, independent_bins, noise_dof))
    )
    _check(measured, noise, bins, dof)
    bound = np.maximum(noise * np.sqrt(1 / bins + 2 / dof), _TINY)
    detected = measured - noise > bound
    power = np.where(detected, measured - noise, bound)
    widen = dof / (np.maximum(dof, _FEWEST_DOF) - 2)
    u = np.sqrt(widen * ((noise**2 + 2 * power * noise) / bins + 2 * noise**2 / dof))
    floor = np.maximum(noise, _TINY)
    return NoiseCorrected(
        power=power,
        u_db=_DB * u / power,
        over_noise_db=_DB * (np.log(np.maximum(measured, _TINY)) - np.log(floor)),
        signal_to_noise_db=_DB * (np.log(power) - np.log(floor)),
        detected=detected,
    )


def _check(measured: FloatArray, noise: FloatArray, bins: FloatArray, dof: FloatArray) -> None:
    finite = np.isfinite(measured) & np.isfinite(noise) & (measured >= 0) & (noise >= 0)
    if not (np.all(finite) and np.all(bins > 0) and np.all(dof > 0)):
        raise OutOfRangeError(
            "subtract noise from a measured power",
            "a power is negative or not finite, or a number of bins or degrees of freedom is not above zero",
            "give powers of at least zero, and counts above zero",
        )
