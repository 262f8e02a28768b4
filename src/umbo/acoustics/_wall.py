"""Soft walls: the infant ear canal gives way to pressure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._arrays import Complex, checked_frequency, leading

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


@dataclass(frozen=True)
class Wall:
    r"""Locally reacting elastic wall of a round tube.

    The wall is a thin ring of tissue under pressure: hoop stiffness, mass and viscous damping per area

    .. math:: z_w = \mathrm{j}\omega\rho_w h + 2\zeta\sqrt{\rho_w h\,k_w} + \frac{k_w}{\mathrm{j}\omega},
        \quad k_w = \frac{E h}{r^2}

    Parameters
    ----------
    young_modulus_pa : float
        Young's modulus. [Pa]
    thickness_m : float
        Thickness of the tissue that moves. [m]
    density_kg_m3 : float
        Density. [kg/m³]
    damping_ratio : float
        Damping over critical damping of the ring. [1]

    Notes
    -----
    The four parameters of `INFANT_WALL` are those of Sankowsky-Rothe et al. (2022), read in the authors'
    published library; the thin-ring form above and the viscous reading of the damping ratio are assumed.
    """

    young_modulus_pa: float
    thickness_m: float
    density_kg_m3: float
    damping_ratio: float

    def specific_impedance(self, frequency_hz: ArrayLike, radius_m: ArrayLike) -> Complex:
        """Pressure over outward wall velocity, shape (..., n), for radii (...) [m]. [Pa s/m]"""
        omega = 2.0 * np.pi * checked_frequency(frequency_hz)
        mass = self.density_kg_m3 * self.thickness_m
        stiffness = self.young_modulus_pa * self.thickness_m / leading(radius_m) ** 2
        resistance = 2.0 * self.damping_ratio * np.sqrt(mass * stiffness)
        return np.asarray(1j * omega * mass + resistance + stiffness / (1j * omega))

    def admittance_per_length(self, frequency_hz: ArrayLike, radius_m: ArrayLike) -> Complex:
        """Shunt admittance of the wall per length of tube, shape (..., n). [m²/(Pa s)]"""
        return np.asarray(2.0 * np.pi * leading(radius_m) / self.specific_impedance(frequency_hz, radius_m))


INFANT_WALL = Wall(young_modulus_pa=90e3, thickness_m=3e-3, density_kg_m3=1100.0, damping_ratio=0.6)
"""Wall of a young infant's canal: parameters of Sankowsky-Rothe et al. (2022), library source read."""
