"""The microphone ports of the virtual aid: one port, or two whose sounds are delayed and subtracted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.acoustics import COUPLER_AIR
from umbo.core import FloatArray
from umbo.errors import InputError
from umbo.sim._filtering import ComplexArray

__all__ = ["Ports"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ports:
    r"""Two microphone ports on a line, without a head; the front one alone when the aid is not directional.

    .. math:: H(\theta) = E \left(a_f - a_r e^{-i\omega (d \cos\theta / c + T)}\right), \quad T = \rho d / c

    with E chosen so that sound from the front passes alike with both ports in order, as far as the boost allows.
    The sizes are assumed where they are not given.

    Attributes
    ----------
    spacing_m : float
        Distance d of the ports, 2 to 30 mm. [m]
    delay_share : float
        Internal delay over travel time ρ: 1 for a cardioid, 0 for a figure of eight; 0 to 1. [1]
    mismatch_db : float
        Level of the rear microphone over the front one, -6 to 6. [dB]
    most_boost_db : float
        Most the equaliser adds at low frequencies. [dB]
    front_db, rear_db : float
        What a blocked port takes away, 0 or less. [dB]
    swapped : bool
        Whether front and rear are exchanged.

    Raises
    ------
    InputError
        If a value lies outside its range.
    """

    spacing_m: float = 0.012
    delay_share: float = 1.0
    mismatch_db: float = -0.5
    most_boost_db: float = 12.0
    front_db: float = 0.0
    rear_db: float = 0.0
    swapped: bool = False

    def __post_init__(self) -> None:
        wrong = ""
        if not 0.002 <= self.spacing_m <= 0.03 or not 0.0 <= self.delay_share <= 1.0:
            wrong = f"a spacing of {1e3 * self.spacing_m:g} mm or a delay share of {self.delay_share:g} is out of range"
        elif not -6.0 <= self.mismatch_db <= 6.0 or max(self.front_db, self.rear_db) > 0.0:
            wrong = f"a mismatch of {self.mismatch_db:g} dB or a blocking above 0 dB is out of range"
        if wrong:
            raise InputError("build the ports of a virtual aid", wrong, "choose values inside the stated ranges")

    def response(self, frequency_hz: FloatArray, direction_deg: float, *, directional: bool) -> ComplexArray:
        """Pressure the aid works with over the pressure at its place.

        Parameters
        ----------
        frequency_hz : array (n,)
            Frequencies. [Hz]
        direction_deg : float
            Where the sound comes from, 0 for the front. [°]
        directional : bool
            Whether both ports are at work.

        Returns
        -------
        array (n,)
            Complex response. [Pa/Pa]
        """
        front, rear = 10.0 ** (self.front_db / 20.0), 10.0 ** ((self.rear_db + self.mismatch_db) / 20.0)
        if not directional:
            return np.full(np.shape(frequency_hz), front, dtype=np.complex128)
        towards = np.cos(np.radians(direction_deg)) * (-1.0 if self.swapped else 1.0)
        lag = np.exp(-2j * np.pi * frequency_hz * self._travel_s * (towards + self.delay_share))
        return np.asarray(self._equaliser(frequency_hz) * (front - rear * lag))

    def noise_power(self, frequency_hz: FloatArray, *, directional: bool) -> FloatArray:
        """Power of the microphones' own noise over that of one microphone, shape (n,): two, equalised. [1]"""
        if not directional:
            return np.ones(np.shape(frequency_hz))
        return np.asarray(2.0 * np.abs(self._equaliser(frequency_hz)) ** 2)

    def _equaliser(self, frequency_hz: FloatArray) -> ComplexArray:
        lag = np.exp(-2j * np.pi * frequency_hz * self._travel_s * (1.0 + self.delay_share))
        least = 10.0 ** (-self.most_boost_db / 10.0)
        return np.asarray(np.conj(1.0 - lag) / np.maximum(np.abs(1.0 - lag) ** 2, least))

    @property
    def _travel_s(self) -> float:
        """How long sound takes from port to port. [s]"""
        return self.spacing_m / COUPLER_AIR.sound_speed_m_s
