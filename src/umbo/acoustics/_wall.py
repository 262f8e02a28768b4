"""Soft walls: skin and soft tissue of the ear canal give way to pressure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np

from umbo.acoustics._arrays import Complex, checked_frequency, checked_not_negative, checked_positive, leading

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


class SoftWall(Protocol):
    """Any wall that gives way where the pressure is, and nowhere else."""

    def admittance_per_length(self, frequency_hz: ArrayLike, radius_m: ArrayLike) -> Complex:
        """Shunt admittance of the wall per length of tube, shape (..., n), for radii (...) [m]. [m²/(Pa s)]"""
        ...


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


@dataclass(frozen=True)
class SkinWall:
    r"""Skin on bone or cartilage: a layer that moves in and out by itself at every place.

    .. math:: z_s = \mathrm{j}\omega m_s + r_s + \frac{k_s}{\mathrm{j}\omega} \qquad (2)

    Parameters
    ----------
    stiffness_pa_m : float
        k_s, pressure over inward displacement. [Pa/m]
    resistance_pa_s_m : float
        r_s. [Pa s/m]
    mass_kg_m2 : float
        m_s, mass per area. [kg/m²]

    Raises
    ------
    OutOfRangeError
        If the stiffness is not above zero, or resistance or mass are below.
    """

    stiffness_pa_m: float
    resistance_pa_s_m: float
    mass_kg_m2: float

    def __post_init__(self) -> None:
        checked_positive("wall stiffness", self.stiffness_pa_m, "Pa/m")
        checked_not_negative("wall resistance", self.resistance_pa_s_m, "Pa s/m")
        checked_not_negative("wall mass", self.mass_kg_m2, "kg/m²")

    @property
    def resonance_hz(self) -> float:
        """Frequency at which stiffness and mass cancel; infinite without mass. [Hz]"""
        return float(np.sqrt(self.stiffness_pa_m / self.mass_kg_m2) / (2.0 * np.pi)) if self.mass_kg_m2 else np.inf

    def specific_impedance(self, frequency_hz: ArrayLike) -> Complex:
        """Pressure over outward wall velocity, shape (n,). [Pa s/m]"""
        omega = 2.0 * np.pi * checked_frequency(frequency_hz)
        return np.asarray(  # Eq. (2)
            1j * omega * self.mass_kg_m2 + self.resistance_pa_s_m + self.stiffness_pa_m / (1j * omega)
        )

    def admittance_per_length(self, frequency_hz: ArrayLike, radius_m: ArrayLike) -> Complex:
        """Shunt admittance of the wall per length of tube, shape (..., n), for radii (...) [m]. [m²/(Pa s)]"""
        return np.asarray(2.0 * np.pi * leading(radius_m) / self.specific_impedance(frequency_hz))
