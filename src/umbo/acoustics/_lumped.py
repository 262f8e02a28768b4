"""Lumped elements: a small volume, a plug of air, a membrane, a leak."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._arrays import (
    Complex,
    checked_frequency,
    checked_not_negative,
    checked_positive,
    leading,
)
from umbo.acoustics._tubes import slit
from umbo.acoustics._two_port import OPEN

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from umbo.acoustics._air import Air


def volume_impedance(frequency_hz: ArrayLike, volume_m3: ArrayLike, air: Air, surface_m2: ArrayLike = 0.0) -> Complex:
    r"""Impedance of a volume small against the wavelength.

    .. math:: Z = \frac{\rho c^2}{\mathrm{j}\omega V}\left[1 + (\gamma-1)\frac{(1-\mathrm{j})\,\delta_t A}{2V}
        \right]^{-1}

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    volume_m3 : ArrayLike
        Volume, shape (...). [m³]
    air : Air
        The air in it.
    surface_m2 : ArrayLike
        Wall area for the heat exchange, shape (...); 0 is the ideal, adiabatic volume. [m²]

    Returns
    -------
    Complex
        Shape (..., n). [Pa s/m³]

    Notes
    -----
    The thermal term is first order in the thermal boundary layer δ_t: it needs δ_t small against the volume's
    dimensions (at 100 Hz δ_t is 0.26 mm).
    """
    frequency = checked_frequency(frequency_hz)
    volume = leading(checked_positive("volume", volume_m3, "m³"))
    surface = leading(checked_not_negative("surface", surface_m2, "m²"))
    omega = 2.0 * np.pi * frequency
    layer = np.sqrt(2.0 * air.viscosity_pa_s / (air.density_kg_m3 * air.prandtl_number * omega))
    heat = (air.heat_capacity_ratio - 1.0) * (1.0 - 1j) * layer * surface / (2.0 * volume)
    return np.asarray(air.bulk_modulus_pa / (1j * omega * volume * (1.0 + heat)))


def resonator_impedance(
    frequency_hz: ArrayLike,
    resistance_pa_s_m3: ArrayLike,
    inertance_kg_m4: ArrayLike,
    compliance_m3_pa: ArrayLike,
) -> Complex:
    """Impedance of resistance, inertance and compliance in series, shape (..., n). [Pa s/m³]

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    resistance_pa_s_m3 : ArrayLike
        Acoustic resistance (...). [Pa s/m³]
    inertance_kg_m4 : ArrayLike
        Acoustic mass (...). [kg/m⁴]
    compliance_m3_pa : ArrayLike
        Acoustic compliance (...); infinite leaves it out. [m³/Pa]
    """
    omega = 2.0 * np.pi * checked_frequency(frequency_hz)
    return np.asarray(
        leading(resistance_pa_s_m3)
        + 1j * omega * leading(inertance_kg_m4)
        + 1.0 / (1j * omega * leading(compliance_m3_pa))
    )


def leak_impedance(
    frequency_hz: ArrayLike,
    length_m: ArrayLike,
    width_m: ArrayLike,
    height_m: ArrayLike,
    air: Air,
) -> Complex:
    """Impedance of a slit leak to the outside, shape (..., n); use it in `shunt`. [Pa s/m³]

    The outside is taken as pressure free: radiation is left out, which matters only for slits far wider than
    a leak at an ear tip (about 0.05 to 0.5 mm high).

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    length_m, width_m, height_m : ArrayLike
        Length along the flow, width across it and height of the slit, shape (...). [m]
    air : Air
        The air in the slit.
    """
    return slit(frequency_hz, length_m, width_m, height_m, air).input_impedance(OPEN)
