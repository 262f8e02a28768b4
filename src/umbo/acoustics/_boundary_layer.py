"""What friction and heat exchange at the wall do to the air in a tube or slit."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._bessel import ratio_j1_j0

if TYPE_CHECKING:
    from umbo.acoustics._air import Air
    from umbo.acoustics._arrays import Complex, Real

ASYMPTOTIC_ABOVE = 18.0
"""Argument size above which the large-argument series replaces the Bessel functions (error below 1e-10)."""


def _ratio_coefficients(count: int) -> Complex:
    """Coefficients of J1(z)/J0(z) = sum c_k z^-k for arguments far above the real axis.

    The ratio R obeys R' = 1 - R/z + R²; with c_0 = j the powers of 1/z give the others in turn.
    """
    c = np.zeros(count, np.complex128)
    c[0] = 1j
    for k in range(1, count):
        known = c[1:k] @ c[k - 1 : 0 : -1] if k > 1 else 0.0
        # coefficient of z^-k: -(k-1) c_(k-1) = -c_(k-1) + 2 c_0 c_k + known
        c[k] = ((2 - k) * c[k - 1] - known) / (2.0 * c[0])
    return c


_COEFFICIENTS = _ratio_coefficients(12)


def wave_number_radius(frequency_hz: Real, size_m: Real, air: Air) -> Real:
    """Ratio of a tube radius (or half slit height) to the viscous boundary layer, r_v = a sqrt(ωρ/η)."""
    omega = 2.0 * np.pi * frequency_hz
    return np.asarray(size_m * np.sqrt(omega * (air.density_kg_m3 / air.viscosity_pa_s)))


def tube_function(stokes: Real) -> Complex:
    """Mean over a circular cross-section of the boundary-layer profile.

    F(r_v) = 2 J1(z) / (z J0(z)) with z = r_v sqrt(-j): 1 for a very narrow tube, 0 for a wide one. Exact
    Bessel form; beyond `ASYMPTOTIC_ABOVE` by the large-argument series of the same ratio.

    Parameters
    ----------
    stokes : Real
        Radius over boundary layer, r_v (viscous) or r_t (thermal), any shape, above 0.
    """
    # J0 and J1 are even and odd: z = r sqrt(-j) is mirrored into the upper half plane, where e^-jz rules
    z = stokes * np.exp(0.75j * np.pi)
    wide = stokes > ASYMPTOTIC_ABOVE
    if wide.all():
        return _wide(z)
    mean = np.empty(z.shape, np.complex128)
    mean[wide] = _wide(z[wide])
    narrow = z[~wide]
    mean[~wide] = 2.0 * ratio_j1_j0(narrow) / narrow
    return mean


def _wide(z: Complex) -> Complex:
    inverse = 1.0 / z
    ratio = np.full(z.shape, _COEFFICIENTS[-1])
    for coefficient in _COEFFICIENTS[-2::-1]:
        ratio *= inverse
        ratio += coefficient
    return np.asarray(2.0 * ratio * inverse)


def slit_function(stokes: Real) -> Complex:
    """Mean over a slit of the boundary-layer profile, tanh(z)/z with z = r_v sqrt(j), r_v by half height.

    Parameters
    ----------
    stokes : Real
        Half height over boundary layer, any shape, above 0.
    """
    z = stokes * np.exp(0.25j * np.pi)
    return np.asarray(np.tanh(z) / z)
