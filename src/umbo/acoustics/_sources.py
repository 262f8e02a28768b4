"""Sources: what drives a coupler or an ear, as an equivalent source at its outlet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._air import COUPLER_AIR, Air
from umbo.acoustics._arrays import Complex, Real, checked_frequency
from umbo.acoustics._lumped import resonator_impedance, volume_impedance
from umbo.acoustics._tubes import cylinder
from umbo.acoustics._two_port import TwoPort, quotient, shunt, split_load

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


@dataclass(frozen=True, eq=False)
class Source:
    r"""A linear source at its outlet: every load sees :math:`\alpha p + \beta U = \gamma`.

    Thevenin: α = 1, β = source impedance, γ = open-circuit pressure. Norton: α = source admittance, β = 1,
    γ = short-circuit flow; α = 0 is the ideal source of volume velocity.

    Parameters
    ----------
    frequency_hz : Real
        Frequencies (n,). [Hz]
    alpha, beta, gamma : Complex
        Weights, broadcastable to (..., n); their common scale is free.
    """

    frequency_hz: Real
    alpha: Complex
    beta: Complex
    gamma: Complex

    @property
    def impedance(self) -> Complex:
        """Source impedance (Thevenin); infinite for an ideal source of volume velocity. [Pa s/m³]"""
        return quotient(self.beta, self.alpha)

    @property
    def open_circuit_pressure_pa(self) -> Complex:
        """Pressure into a rigid end (Thevenin); infinite for an ideal source of volume velocity. [Pa]"""
        return quotient(self.gamma, self.alpha)

    def pressure_into(self, load: ArrayLike) -> Complex:
        """Pressure at the outlet into a load [Pa s/m³], shape (..., n). [Pa]"""
        at_load, flow = split_load(load)
        return quotient(self.gamma * at_load, self.alpha * at_load + self.beta * flow)

    def flow_into(self, load: ArrayLike) -> Complex:
        """Volume velocity into a load [Pa s/m³], shape (..., n). [m³/s]"""
        at_load, flow = split_load(load)
        return quotient(self.gamma * flow, self.alpha * at_load + self.beta * flow)

    def through(self, two_port: TwoPort) -> Source:
        """Return the source as it appears at the far end of a two-port: a tube, a leak, a tip."""
        chain = two_port
        return Source(
            self.frequency_hz,
            self.alpha * chain.a + self.beta * chain.c,
            self.alpha * chain.b + self.beta * chain.d,
            self.gamma,
        )


def ideal_flow_source(frequency_hz: ArrayLike, flow_m3_s: ArrayLike = 1e-8) -> Source:
    """Source of a volume velocity that no load changes.

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    flow_m3_s : ArrayLike
        Volume velocity, broadcastable to (..., n). [m³/s]
    """
    frequency = checked_frequency(frequency_hz)
    one = np.ones(frequency.shape, np.complex128)
    return Source(frequency, 0.0 * one, one, one * np.asarray(flow_m3_s))


def thevenin_source(frequency_hz: ArrayLike, pressure_pa: ArrayLike, impedance: ArrayLike) -> Source:
    """Source of an open-circuit pressure behind an impedance.

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    pressure_pa : ArrayLike
        Open-circuit pressure, broadcastable to (..., n). [Pa]
    impedance : ArrayLike
        Source impedance, broadcastable to (..., n). [Pa s/m³]
    """
    frequency = checked_frequency(frequency_hz)
    one = np.ones(frequency.shape, np.complex128)
    return Source(frequency, one, one * np.asarray(impedance), one * np.asarray(pressure_pa))


@dataclass(frozen=True)
class Transducer:
    """A small electroacoustic transducer: a driven diaphragm behind a front volume. Every value assumed.

    Parameters
    ----------
    drive_pa : float
        Pressure that drives the diaphragm. [Pa]
    resistance_pa_s_m3 : float
        Damping of the diaphragm. [Pa s/m³]
    inertance_kg_m4 : float
        Acoustic mass of the diaphragm. [kg/m⁴]
    diaphragm_volume_m3 : float
        Volume of air as stiff as the diaphragm with the air behind it. [m³]
    front_volume_m3 : float
        Air in front of the diaphragm. [m³]
    damper_pa_s_m3 : float
        Acoustic resistance at the outlet. [Pa s/m³]
    """

    drive_pa: float
    resistance_pa_s_m3: float
    inertance_kg_m4: float
    diaphragm_volume_m3: float
    front_volume_m3: float
    damper_pa_s_m3: float

    def source(self, frequency_hz: ArrayLike, air: Air) -> Source:
        """Return the source at the transducer's outlet, on frequencies (n,) [Hz]."""
        frequency = checked_frequency(frequency_hz)
        compliance = self.diaphragm_volume_m3 / air.bulk_modulus_pa
        inner = resonator_impedance(frequency, self.resistance_pa_s_m3, self.inertance_kg_m4, compliance)
        behind_front = thevenin_source(frequency, self.drive_pa, inner).through(
            shunt(frequency, volume_impedance(frequency, self.front_volume_m3, air))
        )
        damped = behind_front.beta + behind_front.alpha * self.damper_pa_s_m3
        return Source(frequency, behind_front.alpha, damped, behind_front.gamma)


INSERT_TRANSDUCER = Transducer(
    drive_pa=20.0,
    resistance_pa_s_m3=2e7,
    inertance_kg_m4=2.3e3,
    diaphragm_volume_m3=0.035e-6,
    front_volume_m3=0.040e-6,
    damper_pa_s_m3=1.8e8,
)
"""Transducer of an insert earphone.

Assumed; chosen so that the level in a 0.4 cc coupler re a 2 cc one follows within 1 dB rms the row computed
for such an earphone by an independent model, and the level in an occluded-ear simulator is even to 8 kHz.
"""

RECEIVER_TRANSDUCER = Transducer(
    drive_pa=400.0,
    resistance_pa_s_m3=2e8,
    inertance_kg_m4=2.5e4,
    diaphragm_volume_m3=0.013e-6,
    front_volume_m3=0.016e-6,
    damper_pa_s_m3=2.9e8,
)
"""Small receiver worn in the canal; assumed, chosen in the same way."""

HOOK_RECEIVER_TRANSDUCER = Transducer(
    drive_pa=200.0,
    resistance_pa_s_m3=2e7,
    inertance_kg_m4=5.6e3,
    diaphragm_volume_m3=0.067e-6,
    front_volume_m3=0.013e-6,
    damper_pa_s_m3=6e7,
)
"""Larger receiver of a behind-the-ear aid; assumed, chosen in the same way."""


def insert_earphone(
    frequency_hz: ArrayLike,
    air: Air = COUPLER_AIR,
    tube_length_m: ArrayLike = 250e-3,
    tube_radius_m: ArrayLike = 0.965e-3,
    transducer: Transducer = INSERT_TRANSDUCER,
) -> Source:
    """Insert earphone at the end of its sound tube (the face of its tip).

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    air : Air
        The air in the tube.
    tube_length_m, tube_radius_m : ArrayLike
        Sound tube and tip, shape (...); 250 mm x 1.93 mm diameter (from memory). [m]
    transducer : Transducer
        What drives it; assumed.
    """
    source = transducer.source(frequency_hz, air)
    return source.through(cylinder(source.frequency_hz, tube_length_m, tube_radius_m, air))


def receiver(
    frequency_hz: ArrayLike,
    air: Air = COUPLER_AIR,
    tube_length_m: ArrayLike = 10e-3,
    tube_radius_m: ArrayLike = 0.5e-3,
    transducer: Transducer = RECEIVER_TRANSDUCER,
) -> Source:
    """Hearing-aid receiver in the canal, at the end of its spout.

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    air : Air
        The air in the tube.
    tube_length_m, tube_radius_m : ArrayLike
        The spout, shape (...); 10 mm x 1 mm diameter (assumed). [m]
    transducer : Transducer
        What drives it; assumed.
    """
    source = transducer.source(frequency_hz, air)
    return source.through(cylinder(source.frequency_hz, tube_length_m, tube_radius_m, air))


def hook_receiver(
    frequency_hz: ArrayLike,
    air: Air = COUPLER_AIR,
    tube_length_m: ArrayLike = 30e-3,
    tube_radius_m: ArrayLike = 0.965e-3,
    transducer: Transducer = HOOK_RECEIVER_TRANSDUCER,
) -> Source:
    """Receiver of a behind-the-ear aid at the end of its ear hook; tubing and mould come after it.

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    air : Air
        The air in the hook.
    tube_length_m, tube_radius_m : ArrayLike
        The hook, shape (...); 30 mm x 1.93 mm diameter (assumed). [m]
    transducer : Transducer
        What drives it; assumed.
    """
    source = transducer.source(frequency_hz, air)
    return source.through(cylinder(source.frequency_hz, tube_length_m, tube_radius_m, air))
