"""Air: the properties every acoustic element needs, as functions of temperature and static pressure."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from umbo.errors import OutOfRangeError

CENTRE_C = 26.85
HALF_RANGE_C = 10.0
STANDARD_PRESSURE_PA = 101_325.0
LOWEST_PRESSURE_PA = 50_000.0
HIGHEST_PRESSURE_PA = 110_000.0


@dataclass(frozen=True)
class Air:
    r"""Dry air at rest.

    .. math:: c = 347.23\,(1 + 0.00166\,\Delta T), \quad \rho = 1.1769\,(1 - 0.00335\,\Delta T)\,p_s/p_0

    with :math:`\Delta T` the temperature above 26.85 °C, and likewise for viscosity, heat capacity ratio
    and Prandtl number.

    Parameters
    ----------
    temperature_c : float
        Temperature. [°C], 16.85 to 36.85 (enforced).
    static_pressure_pa : float
        Static pressure; the density is proportional to it. [Pa], 50 000 to 110 000 (enforced, assumed).

    Raises
    ------
    OutOfRangeError
        Outside the range of the fits.

    Notes
    -----
    Property fits of Benade (1968) in the form of Keefe (1984); the coefficients were written from memory and
    are tested against tabulated dry air. Moisture is left out: at 50 % relative humidity and 23 °C it
    raises the sound speed by about 0.2 %.

    References
    ----------
    Benade, A. H. (1968), J. Acoust. Soc. Am. 44, 616. Keefe, D. H. (1984), J. Acoust. Soc. Am. 75, 58.
    """

    temperature_c: float
    static_pressure_pa: float = STANDARD_PRESSURE_PA

    def __post_init__(self) -> None:
        if not abs(self.temperature_c - CENTRE_C) <= HALF_RANGE_C + 1e-9:
            raise OutOfRangeError(
                f"air at {self.temperature_c:g} °C",
                f"the property fits hold from {CENTRE_C - HALF_RANGE_C:.2f} to {CENTRE_C + HALF_RANGE_C:.2f} °C",
                "give the temperature of the air inside the coupler or ear in degrees Celsius",
            )
        if not LOWEST_PRESSURE_PA <= self.static_pressure_pa <= HIGHEST_PRESSURE_PA:
            raise OutOfRangeError(
                f"air at a static pressure of {self.static_pressure_pa:g} Pa",
                f"the model holds from {LOWEST_PRESSURE_PA:g} to {HIGHEST_PRESSURE_PA:g} Pa",
                "give the static pressure at the place of measurement in pascals",
            )

    @property
    def _excess_k(self) -> float:
        return self.temperature_c - CENTRE_C

    @cached_property
    def density_kg_m3(self) -> float:
        """Density. [kg/m³]"""
        pressure_ratio = self.static_pressure_pa / STANDARD_PRESSURE_PA
        return 1.1769 * (1.0 - 0.00335 * self._excess_k) * pressure_ratio

    @cached_property
    def sound_speed_m_s(self) -> float:
        """Speed of sound without losses. [m/s]"""
        return 347.23 * (1.0 + 0.00166 * self._excess_k)

    @cached_property
    def viscosity_pa_s(self) -> float:
        """Shear viscosity. [Pa s]"""
        return 1.846e-5 * (1.0 + 0.00250 * self._excess_k)

    @cached_property
    def heat_capacity_ratio(self) -> float:
        """Ratio of the specific heats."""
        return 1.4017 * (1.0 - 0.00002 * self._excess_k)

    @cached_property
    def prandtl_number(self) -> float:
        """Prandtl number: viscosity times specific heat over thermal conductivity."""
        return (0.8410 * (1.0 - 0.00020 * self._excess_k)) ** 2

    @cached_property
    def bulk_modulus_pa(self) -> float:
        """Adiabatic bulk modulus, density times sound speed squared. [Pa]"""
        return self.density_kg_m3 * self.sound_speed_m_s**2

    @cached_property
    def characteristic_impedance_pa_s_m(self) -> float:
        """Characteristic (specific) impedance, density times sound speed. [Pa s/m]"""
        return self.density_kg_m3 * self.sound_speed_m_s


COUPLER_AIR = Air(23.0)
"""Air of couplers: 23 °C, the reference condition of the coupler standards (from memory)."""

EAR_AIR = Air(34.0)
"""Air of ear canals: 34 °C (assumed)."""
