"""Other inputs of the virtual aid: its telecoil and a remote microphone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from umbo.core import FloatArray
from umbo.sim._filtering import ComplexArray

__all__ = ["STANDARD_FIELD_A_PER_M", "AidInput", "RemoteMicrophone", "Telecoil"]

AidInput = Literal["acoustic", "telecoil", "remote_microphone"]

#: Magnetic field strength of a telecoil test (ANSI S3.22, from memory). [A/m]
STANDARD_FIELD_A_PER_M = 31.6e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Telecoil:
    """Induction coil and its amplifier: first-order roll-offs at either end.

    Attributes
    ----------
    equivalent_db_spl : float
        Sound level that drives the aid as 31.6 mA/m does at 1 kHz (assumed). [dB re 20 µPa]
    low_corner_hz, high_corner_hz : float
        Corners of its response (assumed). [Hz]
    """

    equivalent_db_spl: float = 60.0
    low_corner_hz: float = 300.0
    high_corner_hz: float = 8000.0

    def response(self, frequency_hz: FloatArray) -> ComplexArray:
        """Response over that at 1 kHz, shape (n,). [1]"""

        def shape(f: FloatArray) -> ComplexArray:
            high_pass = 1.0 / (1.0 - 1j * self.low_corner_hz / np.maximum(f, 1e-3))
            return np.asarray(high_pass / (1.0 + 1j * f / self.high_corner_hz))

        return np.asarray(shape(np.asarray(frequency_hz)) / np.abs(shape(np.array(1000.0))))

    def level_db_spl(self, field_a_per_m: float) -> float:
        """Sound level that drives the aid as this field does at 1 kHz. [dB re 20 µPa]

        Parameters
        ----------
        field_a_per_m : float
            Magnetic field strength, effective value. [A/m]
        """
        return self.equivalent_db_spl + float(20.0 * np.log10(field_a_per_m / STANDARD_FIELD_A_PER_M))


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoteMicrophone:
    """A remote microphone and its radio link to the aid.

    Attributes
    ----------
    offset_db : tuple of (frequency, offset)
        What equal sound at it makes at the input of the aid, over what the aid's own microphone makes; joined by
        straight lines over log frequency. [Hz, dB]
    delay_s : float
        Delay of the link (assumed). [s]
    """

    offset_db: tuple[tuple[float, float], ...] = ((1000.0, 0.0),)
    delay_s: float = 0.02

    def response(self, frequency_hz: FloatArray) -> ComplexArray:
        """Input of the aid over that from its own microphone, shape (n,). [1]"""
        given_hz, offset_db = np.transpose(self.offset_db)
        level_db = np.interp(np.log(np.maximum(frequency_hz, 1.0)), np.log(given_hz), offset_db)
        return np.asarray(10.0 ** (level_db / 20.0) * np.exp(-2j * np.pi * self.delay_s * np.asarray(frequency_hz)))
