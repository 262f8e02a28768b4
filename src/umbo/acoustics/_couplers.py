"""The couplers: what a source sees in them, and what their microphone hears of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._air import COUPLER_AIR, Air
from umbo.acoustics._arrays import Complex, Real, checked_frequency
from umbo.acoustics._lumped import volume_impedance
from umbo.acoustics._microphone import HALF_INCH, ONE_INCH, Microphone
from umbo.acoustics._occluded_ear import occluded_ear_simulator
from umbo.acoustics._radial_cavity import RadialCavity
from umbo.acoustics._tubes import cylinder
from umbo.acoustics._two_port import RIGID, Terminated, TwoPort, identity
from umbo.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

EFFECTIVE_VOLUME_M3: dict[str, float] = {
    "ha1": 2e-6,
    "ha2": 2e-6,
    "ha4": 2e-6,
    "cc04": 0.4e-6,
    "oes": 1.26e-6,
}
"""Effective volumes: 2 cc IEC 60318-5 (title), 0.4 cc IEC 60318-8 (abstract read), simulator near 500 Hz
(from memory). [m³]"""

CAVITY_RADIUS_M: dict[str, float] = {"ha1": 9.3e-3, "ha2": 9.3e-3, "ha4": 9.3e-3, "cc04": 4.725e-3}
"""Cavity radii: 2 cc 18.6 mm diameter (18 to 21 mm from memory), 0.4 cc 9.45 mm (assumed). [m]"""

PATHS_M: dict[str, tuple[tuple[float, float], ...]] = {
    "ha1": (),
    "ha2": ((25e-3, 0.965e-3), (18e-3, 1.5e-3)),
    "ha4": ((43e-3, 0.965e-3),),
    "cc04": (),
    "oes": (),
}
"""Tubes before the cavity, (length, radius): HA-2 25 x 1.93 mm tube and 18 x 3 mm bore (from memory), HA-4
1.93 mm bore (abstract read), 43 mm long (from memory). [m]"""

INLET_RADIUS_M: dict[str, float] = {"ha1": 1.5e-3, "ha2": 1.5e-3, "ha4": 0.965e-3, "cc04": 1.0e-3}
"""Radius of the opening into the cavity: that of the bore before it; HA-1 and 0.4 cc assumed. [m]"""


@dataclass(frozen=True)
class Coupler:
    """A coupler with its microphone and air.

    Parameters
    ----------
    kind : str
        "ha1", "ha2", "ha4" (2 cc), "cc04" (0.4 cc) or "oes" (occluded-ear simulator).
    air : Air
        The air in it; 23 °C is the reference condition.
    microphone : Microphone or None
        The microphone that closes the cavity; None is the usual one: one-inch for 2 cc, half-inch for 0.4 cc.
        The cavity is shortened by the microphone's equivalent volume, so that both together give the
        effective volume.
        The occluded-ear simulator has its own.
    inlet_radius_m : float or None
        Radius of the opening into the cavity; None is `INLET_RADIUS_M`. [m]
    """

    kind: str
    air: Air = COUPLER_AIR
    microphone: Microphone | None = None
    inlet_radius_m: float | None = None

    def __post_init__(self) -> None:
        if self.kind not in EFFECTIVE_VOLUME_M3:
            raise InputError(
                f"the coupler {self.kind!r}",
                f"the couplers known are {', '.join(EFFECTIVE_VOLUME_M3)}",
                "choose one of these",
            )

    @property
    def effective_volume_m3(self) -> float:
        """Nominal effective volume at low frequency, microphone included. [m³]"""
        return EFFECTIVE_VOLUME_M3[self.kind]

    @property
    def closing_microphone(self) -> Microphone:
        """The microphone that closes the cavity."""
        if self.microphone is not None:
            return self.microphone
        return HALF_INCH if self.kind == "cc04" else ONE_INCH

    @property
    def cavity(self) -> RadialCavity:
        """The cavity, its length such that air and microphone together have the effective volume."""
        radius = CAVITY_RADIUS_M[self.kind]
        microphone = self.closing_microphone
        air_volume = self.effective_volume_m3 - microphone.equivalent_volume_m3
        return RadialCavity(
            radius_m=radius,
            length_m=air_volume / (np.pi * radius**2),
            inlet_radius_m=min(self.inlet_radius_m or INLET_RADIUS_M[self.kind], radius),
            microphone_radius_m=min(microphone.diaphragm_radius_m, radius),
        )

    def two_port(self, frequency_hz: ArrayLike) -> TwoPort:
        """Two-port from the inlet to the microphone's diaphragm, on frequencies (n,) [Hz]."""
        frequency = checked_frequency(frequency_hz)
        if self.kind == "oes":
            return occluded_ear_simulator(frequency, self.air)
        chain = identity(frequency)
        for length_m, radius_m in PATHS_M[self.kind]:
            chain = chain @ cylinder(frequency, length_m, radius_m, self.air)
        return chain @ self.cavity.two_port(frequency, self.air)

    def load(self, frequency_hz: ArrayLike) -> Complex | float:
        """Impedance of the microphone that closes the two-port. [Pa s/m³]"""
        return RIGID if self.kind == "oes" else self.closing_microphone.impedance(frequency_hz)

    def response(self, frequency_hz: ArrayLike) -> Terminated:
        """Input and transfer impedance and pressure ratio, shape (n,), kept for the last few grids."""
        return _response(self, checked_frequency(frequency_hz).tobytes())

    def input_impedance(self, frequency_hz: ArrayLike) -> Complex:
        """Impedance at the inlet, shape (n,). [Pa s/m³]"""
        return self.response(frequency_hz).input_impedance

    def transfer_impedance(self, frequency_hz: ArrayLike) -> Complex:
        """Pressure at the microphone over volume velocity at the inlet, shape (n,). [Pa s/m³]"""
        return self.response(frequency_hz).transfer_impedance

    def ideal_impedance(self, frequency_hz: ArrayLike) -> Complex:
        """Impedance of an ideal volume of the same size, shape (n,). [Pa s/m³]"""
        return volume_impedance(frequency_hz, self.effective_volume_m3, self.air)


@lru_cache(maxsize=24)
def _response(coupler: Coupler, frequency_bytes: bytes) -> Terminated:
    frequency: Real = np.frombuffer(frequency_bytes, dtype=np.float64)
    response = coupler.two_port(frequency).terminate(coupler.load(frequency))
    for array in (response.input_impedance, response.transfer_impedance, response.pressure_ratio):
        array.flags.writeable = False
    return response


def standing_wave_deviation_db(
    kind: str, frequency_hz: ArrayLike, air: Air = COUPLER_AIR, microphone: Microphone | None = None
) -> Real:
    """Level of a coupler cavity's transfer impedance above that of the ideal volume it is named after.

    The cavity and its microphone alone: tubes before it (HA-2, HA-4) belong to the coupling.

    Parameters
    ----------
    kind : str
        "ha1", "ha2", "ha4" or "cc04".
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    air : Air
        The air in it.
    microphone : Microphone or None
        The microphone; None is the usual one of this coupler.

    Returns
    -------
    Real
        Shape (n,). [dB]

    Raises
    ------
    InputError
        For the occluded-ear simulator, whose standing wave is that of the ear it stands for.
    """
    coupler = Coupler(kind, air, microphone)
    if kind == "oes":
        raise InputError(
            "the standing wave of the occluded-ear simulator against an ideal volume",
            "the simulator imitates an ear canal, standing wave included, and a volume does not",
            "use its own range, 100 Hz to 10 kHz as an ear and to 16 kHz as a coupler",
        )
    cavity = coupler.cavity.two_port(frequency_hz, air)
    transfer = cavity.transfer_impedance(coupler.closing_microphone.impedance(frequency_hz))
    return np.asarray(20.0 * np.log10(np.abs(transfer / coupler.ideal_impedance(frequency_hz))))
