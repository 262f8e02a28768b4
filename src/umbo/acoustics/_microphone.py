"""Measurement microphones as the end of a coupler: an area to average over and an impedance that yields."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._arrays import Complex, checked_frequency

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

REFERENCE_BULK_MODULUS_PA = 1.4 * 101_325.0
"""Bulk modulus that turns a microphone's equivalent volume into a compliance. [Pa]"""


@dataclass(frozen=True)
class Microphone:
    """A condenser microphone closing a cavity.

    Parameters
    ----------
    diaphragm_radius_m : float
        Radius over which the pressure is averaged, with equal weight. [m]
    equivalent_volume_m3 : float
        Volume of air as stiff as the diaphragm at low frequency. [m³]
    resonance_hz : float
        Resonance of the diaphragm. [Hz]
    damping : float
        Resistance at resonance over the reactance of the compliance there (1/Q). [1]
    """

    diaphragm_radius_m: float
    equivalent_volume_m3: float
    resonance_hz: float
    damping: float

    def impedance(self, frequency_hz: ArrayLike) -> Complex:
        """Acoustic impedance of the diaphragm, shape (n,). [Pa s/m³]"""
        frequency = checked_frequency(frequency_hz)
        x = frequency / self.resonance_hz
        compliance = self.equivalent_volume_m3 / REFERENCE_BULK_MODULUS_PA
        return np.asarray((1.0 - x**2 + 1j * x * self.damping) / (2j * np.pi * frequency * compliance))


ONE_INCH = Microphone(diaphragm_radius_m=9.3e-3, equivalent_volume_m3=0.148e-6, resonance_hz=8_000.0, damping=0.9)
"""One-inch pressure microphone without grid: 0.148 cm³ and 8 kHz from memory, damping assumed."""

HALF_INCH = Microphone(diaphragm_radius_m=4.65e-3, equivalent_volume_m3=0.010e-6, resonance_hz=23_000.0, damping=1.0)
"""Half-inch pressure microphone: 0.010 cm³ and 23 kHz from memory, damping assumed."""
