"""Two ways of one sound to the eardrum: through the aid, and past it."""

from __future__ import annotations

from dataclasses import dataclass
from math import log
from typing import TYPE_CHECKING

import numpy as np

from umbo.core import Bandwidth, Component, power_sum
from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from umbo.core import FloatArray, Grid, Level, Transfer

__all__ = ["TwoPaths", "direct_sound", "phase_bounds_db", "phase_u_db", "two_paths"]

_NEPERS = log(10) / 10

#: Lowest bound that is given: two equal sounds in opposite phase would cancel altogether. [dB]
_LOWEST_DB = -40.0

#: Share of a centre frequency that a band covers: 2^(1/2n) - 2^(-1/2n). [1]
_RELATIVE_WIDTH = {
    Bandwidth.THIRD_OCTAVE: 2 ** (1 / 6) - 2 ** (-1 / 6),
    Bandwidth.TWELFTH_OCTAVE: 2 ** (1 / 24) - 2 ** (-1 / 24),
}


@dataclass(frozen=True, slots=True, eq=False)
class TwoPaths:
    """One sound that reaches the eardrum through the aid and past it.

    Parameters
    ----------
    aided, direct : Level
        Each by itself, at the eardrum. [dB SPL]
    total : Level
        Sum of their powers; that their phase is not known is one of its components. [dB SPL]
    low_db, high_db : array (n,)
        Sum of pressures in opposite phase and in phase: the total lies between. [dB SPL]
    """

    aided: Level
    direct: Level
    total: Level
    low_db: FloatArray
    high_db: FloatArray


def direct_sound(field: Level, transmission: Transfer) -> Level:
    """Sound of the field at the eardrum of a fitted ear, without what the aid adds.

    Parameters
    ----------
    field : Level
        Sound in the field. [dB SPL]
    transmission : Transfer
        From the field to the eardrum: a measured REOG where there is one; :func:`~umbo.ear.vent_transmission` for a
        vent; the unaided gain for an open fitting, as the limit of what passes. [dB]

    Returns
    -------
    Level
        At the eardrum. [dB SPL]
    """
    return (field + transmission).named("direct sound")


def two_paths(aided: Level, direct: Level, *, delay_s: float | None, quantity: str) -> TwoPaths:
    r"""Level of the aid's sound and the direct sound together.

    .. math:: L = 10 \lg\left(10^{L_a/10} + 10^{L_d/10}\right) \qquad (1)

    Parameters
    ----------
    aided, direct : Level
        Levels at the eardrum, rms, on one grid, of one ear. [dB SPL]
    delay_s : float or None
        By how much the aid is later than the direct sound. None, not known, counts as none: the widest interval. [s]
    quantity : str
        What the sum is called.

    Returns
    -------
    TwoPaths
        With the interval of all phases.

    Raises
    ------
    CombinationError
        As :func:`umbo.core.power_sum`.
    OutOfRangeError
        For a negative delay.

    Notes
    -----
    The two sounds are one and the same, so pressures add. Over a band of width B a delay τ turns the phase by 2πBτ,
    and what is left of their coherence is

    .. math:: \gamma = \left|\frac{\sin \pi B \tau}{\pi B \tau}\right| \qquad (2)

    Third-octaves above about 1 kHz are incoherent for the 5 ms of a digital aid; a tone is coherent whatever the delay.
    """
    total = power_sum(aided, direct, quantity=quantity)
    apart_db = aided.level_db - direct.level_db
    coherence = _coherence(aided.grid, delay_s)
    low, high = phase_bounds_db(apart_db, coherence)
    phase = Component(
        id=f"phase:{aided.tags.ear}:{aided.tags.stimulus}",
        label="phase between the aid's sound and the direct sound",
        contribution_db=phase_u_db(apart_db, coherence),
        across="none",
        evaluation="B",
        source="every phase as likely as any other (computed)",
    )
    return TwoPaths(aided, direct, total.with_uncertainty(phase), total.level_db + low, total.level_db + high)


def phase_bounds_db(apart_db: FloatArray, coherence: FloatArray | float = 1.0) -> tuple[FloatArray, FloatArray]:
    r"""Sum of two pressures in opposite phase and in phase, against the sum of their powers.

    .. math:: s = \frac{\gamma}{\cosh(\tfrac{\ln 10}{20}\,\Delta L)}, \qquad 10 \lg (1 \mp s) \qquad (3)

    Parameters
    ----------
    apart_db : array (n,)
        Level of one less level of the other. [dB]
    coherence : array (n,) or float
        Share γ of the two that is coherent. [1], 0 to 1

    Returns
    -------
    tuple of array (n,)
        Lowest and highest deviation from the sum of powers; not below −40 dB. [dB]
    """
    s = coherence / np.cosh(0.5 * _NEPERS * np.asarray(apart_db))
    low = np.maximum(10 * np.log10(np.maximum(1 - s, 1e-12)), _LOWEST_DB)
    return np.asarray(low), np.asarray(10 * np.log10(1 + s))  # Eq. (3)


def phase_u_db(apart_db: FloatArray, coherence: FloatArray | float = 1.0) -> FloatArray:
    r"""Standard uncertainty of the sum of powers where the phase is not known.

    With :math:`\rho` from :math:`2\rho/(1+\rho^2) = s` of Eq. (3), the level over all phases has

    .. math:: u = \frac{20}{\ln 10}\sqrt{\tfrac12 \mathrm{Li}_2(\rho^2) + \tfrac14 \ln^2(1+\rho^2)} \qquad (4)

    Parameters
    ----------
    apart_db : array (n,)
        Level of one less level of the other. [dB]
    coherence : array (n,) or float
        Share γ of the two that is coherent. [1], 0 to 1

    Returns
    -------
    array (n,)
        Root mean square deviation from the sum of powers, 8.4 dB for two equal coherent sounds. [dB]

    Notes
    -----
    From :math:`\ln|1+\rho e^{\mathrm{j}\varphi}| = \sum_k (-1)^{k+1} \rho^k \cos(k\varphi)/k`: its mean is 0 and its
    variance half the dilogarithm of ρ². The second term is the square of the distance of that mean from the sum of
    powers.
    """
    s = np.minimum(coherence / np.cosh(0.5 * _NEPERS * np.asarray(apart_db)), 1.0)
    rho = s / (1 + np.sqrt(1 - s**2))
    variance = 0.5 * dilogarithm(rho**2) + 0.25 * np.log1p(rho**2) ** 2
    return np.asarray(2 / _NEPERS * np.sqrt(variance))  # Eq. (4)


def dilogarithm(x: FloatArray) -> FloatArray:
    r"""Dilogarithm of numbers from 0 to 1.

    .. math:: \mathrm{Li}_2(x) = \sum_{k=1}^{\infty} \frac{x^k}{k^2} = \frac{\pi^2}{6} - \ln x \ln(1-x)
        - \mathrm{Li}_2(1-x) \qquad (5)

    Parameters
    ----------
    x : array (n,)
        Arguments. [1], 0 to 1

    References
    ----------
    Euler's reflection formula (classical).
    """
    small = np.minimum(x, 1 - x)
    k = np.arange(1, 55)
    series = (small[..., np.newaxis] ** k / k**2).sum(axis=-1)
    product = np.log(np.maximum(x, 1e-300)) * np.log(np.maximum(1 - x, 1e-300))
    return np.asarray(np.where(x <= 0.5, series, np.pi**2 / 6 - product - series))  # Eq. (5)


def _coherence(grid: Grid, delay_s: float | None) -> FloatArray:
    """Equation (2). Shape (n,). [1]."""
    if delay_s is None:
        return np.ones(grid.size)
    if not delay_s >= 0:
        raise OutOfRangeError(
            f"add two sounds {1e3 * delay_s:g} ms apart", "a delay is not negative", "give it in seconds"
        )
    width_hz = _RELATIVE_WIDTH.get(grid.bandwidth, 0.0) * grid.frequency_hz
    return np.asarray(np.abs(np.sinc(width_hz * delay_s)))  # Eq. (2)
