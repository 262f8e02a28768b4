"""The canal as three short cones, cheap enough for thousands of parameter sets."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from umbo.acoustics import EAR_AIR, INFANT_WALL

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["ComplexArray", "carried_outwards"]

ComplexArray = NDArray[np.complex128]

#: A shorter cone is taken as this long, so that nothing is divided by zero: it changes nothing that can be seen. [m]
_SHORTEST_M = 1e-7


def carried_outwards(
    frequency_hz: FloatArray,
    end: tuple[ComplexArray, ComplexArray],
    length_m: FloatArray,
    radius_m: tuple[FloatArray, FloatArray],
    wall_modulus_pa: FloatArray,
) -> tuple[ComplexArray, ComplexArray]:
    r"""Pressure and flow at the outer end of a cone from those at its inner end.

    The cone of :func:`umbo.acoustics.cone`, :math:`r_1` outside and :math:`r_2` inside, with losses to first order in
    the boundary layer over the radius:

    .. math:: \Gamma = \mathrm{j}k\,(1 + \delta_+), \quad Z_c = \frac{\rho c}{\pi r_m^2}(1 + \delta_-), \quad
        \delta_\pm = \frac{1 - \mathrm{j}}{\sqrt2\,r_v}\left(1 \pm \frac{\gamma - 1}{\sqrt{Pr}}\right) \qquad (1)

    .. math:: r_v = r_m \sqrt{\omega\rho/\eta}, \quad r_m = \tfrac12(r_1 + r_2) \qquad (2)

    A soft wall adds its compliance, and where it gives way its mass and damping, to that of the air.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies. [Hz]
    end : tuple of array (rows, n)
        Pressure and flow towards the drum at the inner end, up to one common factor. [Pa], [m³/s]
    length_m : array (rows,)
        Length of the cone; zero does nothing. [m]
    radius_m : tuple of array (rows,)
        Outer and inner radius. [m]
    wall_modulus_pa : array (rows,)
        Young's modulus of the wall, infinite for a rigid one. [Pa]

    Returns
    -------
    tuple of array (rows, n)
        Pressure and flow at the outer end.

    Notes
    -----
    Against the exact Bessel form the loss errs by less than a fifth of itself for canals of 1.5 mm radius and more
    from 125 Hz, from 500 Hz by a tenth; input impedance and pressure ratio err by less than 0.02 dB, with a soft wall
    by 0.15 dB (tested).

    References
    ----------
    Benade (1968), J. Acoust. Soc. Am. 44, 616; Keefe (1984), J. Acoust. Soc. Am. 75, 58 (first terms of the expansion).
    """
    outer, inner = radius_m[0][:, np.newaxis], radius_m[1][:, np.newaxis]
    length = np.maximum(length_m, _SHORTEST_M)[:, np.newaxis]
    mean = 0.5 * (outer + inner)
    k = 2 * np.pi * frequency_hz / EAR_AIR.sound_speed_m_s
    layer = np.sqrt(EAR_AIR.viscosity_pa_s / (4 * np.pi * frequency_hz * EAR_AIR.density_kg_m3))
    first = layer / mean  # 1/(√2 r_v), Eq. (1)
    heat = (EAR_AIR.heat_capacity_ratio - 1) / np.sqrt(EAR_AIR.prandtl_number)
    lossy = (1 + heat) * first
    along = k * length * (lossy + 1j * (1 + lossy))  # Γl, Eq. (1)
    impedance = EAR_AIR.characteristic_impedance_pa_s_m / (np.pi * mean**2) * (1 + (1 - heat) * (1 - 1j) * first)
    if np.isfinite(wall_modulus_pa).any():
        softer = np.sqrt(1 + _wall_compliance(frequency_hz, mean, wall_modulus_pa))
        along, impedance = along * softer, impedance / softer
    impedance = impedance * (mean / outer) ** 2
    cosh, sinh = _hyperbolic(along)
    ratio = inner / outer
    inverse = 1 / along
    over = sinh * inverse  # sinh(Γl)/Γl
    slope = (ratio - 1) * over  # ε sinh(Γl)/Γ with ε = (r2 - r1)/(r1 l)
    curved = (ratio - 1) ** 2 * (cosh - over) * inverse  # ε² [l cosh(Γl)/Γ - sinh(Γl)/Γ²]
    pressure, flow = end
    return (
        (ratio * cosh - slope) * pressure + impedance * sinh / ratio * flow,
        (ratio * sinh + curved) / impedance * pressure + (cosh + slope) / ratio * flow,
    )


def _hyperbolic(along: ComplexArray) -> tuple[ComplexArray, ComplexArray]:
    """Hyperbolic cosine and sine of a complex argument, by real functions: three times as fast."""
    cosine, sine = np.cos(along.imag), np.sin(along.imag)
    grow = np.exp(along.real)
    even, odd = 0.5 * (grow + 1 / grow), 0.5 * (grow - 1 / grow)
    cosh, sinh = np.empty_like(along), np.empty_like(along)
    cosh.real, cosh.imag = even * cosine, odd * sine
    sinh.real, sinh.imag = odd * cosine, even * sine
    return cosh, sinh


def _wall_compliance(frequency_hz: FloatArray, radius_m: FloatArray, modulus_pa: FloatArray) -> ComplexArray:
    """Compliance of the wall over that of the air, shape (rows, n); zero for a rigid wall. [1]"""
    omega = 2 * np.pi * frequency_hz
    mass = INFANT_WALL.density_kg_m3 * INFANT_WALL.thickness_m
    modulus = np.where(np.isfinite(modulus_pa), modulus_pa, 1.0)[:, np.newaxis]
    stiffness = modulus * INFANT_WALL.thickness_m / radius_m**2
    resistance = 2 * INFANT_WALL.damping_ratio * np.sqrt(mass * stiffness)
    wall = 2 / radius_m / (stiffness + 1j * omega * resistance - omega**2 * mass)
    return np.asarray(np.where(np.isfinite(modulus_pa)[:, np.newaxis], EAR_AIR.bulk_modulus_pa * wall, 0))
