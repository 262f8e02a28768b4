"""A cylindrical cavity with its axisymmetric radial modes: driven by a piston, closed by a microphone."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._arrays import Complex, Real, checked_frequency
from umbo.acoustics._bessel import real_bessel, zeros_of_j1
from umbo.acoustics._tubes import line_constants
from umbo.acoustics._two_port import TwoPort
from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from umbo.acoustics._air import Air

MODES = 60
"""Radial modes summed; agrees with finite elements within 0.07 dB to 16 kHz for the 2 cc coupler."""

DIES_OUT = 18.0
"""Attenuation in nepers beyond which an evanescent mode does not reach the other end."""


@dataclass(frozen=True)
class RadialCavity:
    r"""Circular cylinder, a centred piston in one end wall and a centred microphone in the other.

    The pressure is a sum over radial modes :math:`\psi_n = J_0(\alpha_n r/a)/J_0(\alpha_n)`,
    :math:`J_1(\alpha_n)=0`; each travels or decays along the axis as on a line of its own:

    .. math:: Z_{ij} = \sum_n w_{i,n} w_{j,n} Z_{ij,n}, \quad
        \Gamma_n^2 = \Gamma_0^2 + (\alpha_n/a)^2 + \frac{2\mathrm{j}k}{a}\beta_n

    with :math:`w_{i,n}` the mean of the mode over piston or microphone and :math:`\beta_n` the boundary
    layer admittance of the side wall; the end walls have theirs.

    Parameters
    ----------
    radius_m : float
        Radius of the cavity. [m]
    length_m : float
        Length of the cavity. [m]
    inlet_radius_m : float
        Radius of the inlet, which moves as a piston; at most the cavity radius. [m]
    microphone_radius_m : float
        Radius of the microphone diaphragm, over which the pressure is averaged; at most the cavity's. [m]
    modes : int
        Radial modes beyond the plane wave. [1]

    Notes
    -----
    Boundary-layer losses at side and end walls are first order in the layer's thickness and keep the modes
    uncoupled; the plane wave has the exact losses of `cylinder`.
    """

    radius_m: float
    length_m: float
    inlet_radius_m: float
    microphone_radius_m: float
    modes: int = MODES

    def __post_init__(self) -> None:
        for name, value in (("inlet", self.inlet_radius_m), ("microphone", self.microphone_radius_m)):
            if not 0.0 < value <= self.radius_m * (1.0 + 1e-12):
                raise OutOfRangeError(
                    f"a cavity of radius {self.radius_m:g} m with an {name} of radius {value:g} m",
                    f"the {name} is larger than the wall it sits in, or has no size",
                    f"give the {name} a radius above zero and up to that of the cavity",
                )

    @property
    def volume_m3(self) -> float:
        """Geometric volume. [m³]"""
        return float(np.pi * self.radius_m**2 * self.length_m)

    def two_port(self, frequency_hz: ArrayLike, air: Air) -> TwoPort:
        """Two-port from the inlet to the microphone diaphragm, on frequencies (n,) [Hz]."""
        frequency = checked_frequency(frequency_hz)
        z11, z12, z22 = self.impedance_matrix(frequency, air)
        return TwoPort(frequency, z11 / z12, (z11 * z22 - z12 * z12) / z12, 1.0 / z12, z22 / z12)

    def impedance_matrix(self, frequency_hz: Real, air: Air) -> tuple[Complex, Complex, Complex]:
        """Z11, Z12 = Z21 and Z22 of the inlet (1) and the microphone (2), each (n,). [Pa s/m³]"""
        root = _mode_roots(self.modes) / self.radius_m
        at_inlet = _mean_of_mode(self.modes, self.inlet_radius_m / self.radius_m)
        at_microphone = _mean_of_mode(self.modes, self.microphone_radius_m / self.radius_m)
        k = 2.0 * np.pi * frequency_hz / air.sound_speed_m_s
        z11, z12, z22 = self._plane_wave(frequency_hz, k, air)
        # modes that decay far before the other end carry mass at their own end, and next to no loss
        slowest = np.sqrt(np.maximum(root**2 - k.max() ** 2, 0.0)) if k.size else root
        reaching = slowest * self.length_m < DIES_OUT
        for n in np.flatnonzero(reaching):
            here, across, there = self._mode(frequency_hz, k, root[n], air)
            z11 += at_inlet[n] ** 2 * here
            z12 += at_inlet[n] * at_microphone[n] * across
            z22 += at_microphone[n] ** 2 * there
        if not reaching.all():
            inlet_mass, microphone_mass = np.zeros(k.shape), np.zeros(k.shape)
            for n in np.flatnonzero(~reaching):
                length = 1.0 / np.sqrt(root[n] ** 2 - k**2)
                inlet_mass += at_inlet[n] ** 2 * length
                microphone_mass += at_microphone[n] ** 2 * length
            reactance = 2j * np.pi * frequency_hz * (air.density_kg_m3 / self._area)
            z11 += reactance * inlet_mass
            z22 += reactance * microphone_mass
        return z11, z12, z22

    @property
    def _area(self) -> float:
        return float(np.pi * self.radius_m**2)

    def _plane_wave(self, frequency_hz: Real, k: Real, air: Air) -> tuple[Complex, Complex, Complex]:
        """Impedance matrix of the plane wave: exact losses at the side wall, heat exchange at the ends."""
        plane = line_constants(frequency_hz, self.radius_m, air)
        _, thermal = _layer_terms(frequency_hz, air)
        ends = self._area * thermal * k / air.characteristic_impedance_pa_s_m
        free = 1.0 - (self.inlet_radius_m / self.radius_m) ** 2
        return _line_with_ends(plane.propagation * self.length_m, plane.characteristic_impedance, free * ends, ends)

    def _mode(self, frequency_hz: Real, k: Real, root: float, air: Air) -> tuple[Complex, Complex, Complex]:
        """Impedance matrix of one radial mode of radial wave number `root` [1/m], weights left out."""
        viscous, thermal = _layer_terms(frequency_hz, air)
        bare = root**2 - k**2
        # 2jkβ/a: on the side wall the tangential wave number squared is -bare
        gamma: Complex = np.sqrt(bare + (2j * k / self.radius_m) * (thermal * k - viscous * bare / k))
        z_mode: Complex = 2j * np.pi * frequency_hz * air.density_kg_m3 / (self._area * gamma)
        y_end = self._area * (thermal * k + viscous * root**2 / k) / air.characteristic_impedance_pa_s_m
        return _line_with_ends(gamma * self.length_m, z_mode, y_end, y_end)


def _layer_terms(frequency_hz: Real, air: Air) -> tuple[Complex, Complex]:
    """(1+j)/2 times the viscous thickness, and (1+j)/2 (γ-1) times the thermal one. [m]"""
    viscous = np.sqrt(air.viscosity_pa_s / (np.pi * air.density_kg_m3 * frequency_hz))
    thermal = (air.heat_capacity_ratio - 1.0) * viscous / np.sqrt(air.prandtl_number)
    return (0.5 + 0.5j) * viscous, (0.5 + 0.5j) * thermal


def _line_with_ends(
    along: Complex, z: Complex, y_first: Complex, y_second: Complex
) -> tuple[Complex, Complex, Complex]:
    """Impedance matrix of a line of ΓL = `along` and impedance z, a small admittance at each end."""
    decay = np.exp(-along)
    two_way = decay * decay
    coth = (1.0 + two_way) / (1.0 - two_way)
    csch = 2.0 * decay / (1.0 - two_way)
    first, second = coth + y_first * z, coth + y_second * z
    # coth² - csch² = 1
    below = 1.0 + coth * (y_first + y_second) * z + y_first * y_second * z * z
    return z * second / below, z * csch / below, z * first / below


@lru_cache(maxsize=8)
def _mode_roots(modes: int) -> Real:
    return zeros_of_j1(modes)


def _mean_of_mode(modes: int, share: float) -> Real:
    """Mean of each mode over a centred disc of `share` times the cavity radius."""
    root = _mode_roots(modes)
    return np.asarray(2.0 * real_bessel(1, root * share) / (root * share) / real_bessel(0, root))
