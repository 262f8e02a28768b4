"""The standing wave in front of the drum: what a probe hears a few millimetres away."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._air import EAR_AIR, Air
from umbo.acoustics._arrays import Complex, Real, checked_not_negative, leading
from umbo.acoustics._tubes import LineConstants, line_constants
from umbo.acoustics._two_port import RIGID

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


def pressure_ratio_at(
    distance_from_drum_m: ArrayLike,
    constants: LineConstants,
    drum_impedance: ArrayLike = RIGID,
) -> Complex:
    r"""Pressure at a plane in front of the drum over the pressure at the drum.

    .. math:: \frac{p(x)}{p_d} = \cosh\Gamma x + \frac{Z_c}{Z_d}\sinh\Gamma x

    which without losses is :math:`\cos kx + \mathrm{j}(Z_c/Z_d)\sin kx`.

    Parameters
    ----------
    distance_from_drum_m : ArrayLike
        Distance from the drum, shape (...). [m]
    constants : LineConstants
        Of the canal near the drum, from `line_constants` (its radius, its air), shape (..., n).
    drum_impedance : ArrayLike
        Drum impedance, broadcastable to (..., n); infinite is a rigid drum. [Pa s/m³]

    Returns
    -------
    Complex
        Shape (..., n).
    """
    along = constants.propagation * leading(checked_not_negative("distance", distance_from_drum_m, "m"))
    grow = np.exp(along)
    shrink = 1.0 / grow
    z = np.asarray(drum_impedance)
    yielding = constants.characteristic_impedance / z if np.isfinite(z).all() else _yielding(constants, z)
    return np.asarray(0.5 * ((1.0 + yielding) * grow + (1.0 - yielding) * shrink))


def _yielding(constants: LineConstants, z: Complex) -> Complex:
    finite = np.isfinite(z)
    return np.where(finite, constants.characteristic_impedance / np.where(finite, z, 1.0), 0.0)


def rigid_drum_error_db(frequency_hz: ArrayLike, distance_from_drum_m: ArrayLike, sound_speed_m_s: float) -> Real:
    r"""Level at a plane in front of a rigid drum over the level at the drum, without losses.

    .. math:: \Delta L = 20 \lg \left| \cos \frac{2 \pi f d}{c} \right|

    The worst case of a probe at distance d (F12).

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    distance_from_drum_m : ArrayLike
        Distance from the drum, shape (...). [m]
    sound_speed_m_s : float
        Speed of sound. [m/s]

    Returns
    -------
    Real
        Shape (..., n), minus infinity at the null. [dB]
    """
    k = 2.0 * np.pi * np.asarray(frequency_hz, dtype=np.float64) / sound_speed_m_s
    with np.errstate(divide="ignore"):
        return np.asarray(20.0 * np.log10(np.abs(np.cos(k * leading(distance_from_drum_m)))))


def drum_from_probe(
    frequency_hz: ArrayLike,
    distance_from_drum_m: ArrayLike,
    radius_m: ArrayLike,
    drum_impedance: ArrayLike = RIGID,
    air: Air = EAR_AIR,
) -> Real:
    """Level to add to a probe reading to have the level at the drum, shape (..., n). [dB]

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    distance_from_drum_m : ArrayLike
        Distance from probe tip to drum, shape (...). [m]
    radius_m : ArrayLike
        Canal radius near the drum, shape (...). [m]
    drum_impedance : ArrayLike
        Drum impedance, broadcastable to (..., n). [Pa s/m³]
    air : Air
        The air in the canal.
    """
    constants = line_constants(frequency_hz, radius_m, air)
    ratio = pressure_ratio_at(distance_from_drum_m, constants, drum_impedance)
    return np.asarray(-20.0 * np.log10(np.abs(ratio)))
