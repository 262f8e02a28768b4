"""Scenarios of the aid by itself: everything that decides what an aid-test case will hold."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum
from typing import Literal, get_args

from umbo.core import CouplerKind, Coupling, Ear
from umbo.errors import InputError
from umbo.sim._aid import VirtualAid
from umbo.sim._microphones import MicrophoneChain, coupler_microphone
from umbo.sim._sources import SourceName

__all__ = ["AidEar", "AidFault", "AidScenario", "AidTest"]

AidTest = Literal[
    "output_90",
    "full_on_gain",
    "reference_response",
    "distortion",
    "input_noise",
    "input_output",
    "attack_release",
    "expansion",
    "telecoil",
    "speech",
    "noise",
    "front",
    "back",
    "remote_microphone",
    "lowering_off",
    "lowering_on",
]
"""What a recording of an aid is a test of, in the words of a case file."""

# Sizes of the faults, invented.
_WEAK_RECEIVER_DB = -6.0
_WEAK_RECEIVER_HARMONICS = 3.0
_WEAK_RECEIVER_CURRENT = 1.25
_BLOCKED_MICROPHONE_DB = -10.0
_BLOCKED_PORT_DB = -30.0
_NOISY_MICROPHONE_DB = 8.0


class AidFault(StrEnum):
    """What can be wrong with an aid."""

    WEAK_RECEIVER = "weak_receiver"
    BLOCKED_MICROPHONE = "blocked_microphone"
    NOISY_MICROPHONE = "noisy_microphone"
    SWAPPED_PORTS = "swapped_ports"
    BLOCKED_REAR_PORT = "blocked_rear_port"

    @property
    def planted(self) -> str:
        """What was done, for the truth file."""
        return _PLANTED[self]

    def applied(self, aid: VirtualAid) -> VirtualAid:
        """The aid with this fault.

        Parameters
        ----------
        aid : VirtualAid
            The aid before.

        Returns
        -------
        VirtualAid
            The aid after.
        """
        ports, noise = aid.ports, aid.noise
        if self is AidFault.WEAK_RECEIVER:
            return replace(
                aid,
                receiver_db=aid.receiver_db + _WEAK_RECEIVER_DB,
                second_harmonic=aid.second_harmonic * _WEAK_RECEIVER_HARMONICS,
                third_harmonic=aid.third_harmonic * _WEAK_RECEIVER_HARMONICS,
            )
        if self is AidFault.NOISY_MICROPHONE and noise is not None:
            return replace(aid, noise=replace(noise, level_dba=noise.level_dba + _NOISY_MICROPHONE_DB))
        if self is AidFault.BLOCKED_MICROPHONE:
            ports = replace(ports, front_db=ports.front_db + _BLOCKED_MICROPHONE_DB)
        if self is AidFault.SWAPPED_PORTS:
            ports = replace(ports, swapped=not ports.swapped)
        if self is AidFault.BLOCKED_REAR_PORT:
            ports = replace(ports, rear_db=ports.rear_db + _BLOCKED_PORT_DB)
        return replace(aid, ports=ports)


_PLANTED = {
    AidFault.WEAK_RECEIVER: "the receiver gives 6 dB less, three times the distortion, a quarter more current",
    AidFault.BLOCKED_MICROPHONE: "the front microphone port is clogged and takes 10 dB away",
    AidFault.NOISY_MICROPHONE: "the microphone makes 8 dB more noise",
    AidFault.SWAPPED_PORTS: "front and rear microphone port are exchanged",
    AidFault.BLOCKED_REAR_PORT: "the rear microphone port is clogged and takes 30 dB away",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class AidEar:
    """One aid of a case.

    Attributes
    ----------
    side : Ear
        Side.
    aid : VirtualAid
        The sound aid, at full volume, with all its features.
    fitted_db : float
        Volume as fitted, 0 or less. [dB]
    battery_current_ma : float
        Current of the sound aid at the reference test setting, entered and not measured. [mA]
    faults : tuple of AidFault
        What is wrong with it.

    Raises
    ------
    InputError
        If the volume or the current is out of range.
    """

    side: Ear
    aid: VirtualAid
    fitted_db: float = -6.0
    battery_current_ma: float = 1.4
    faults: tuple[AidFault, ...] = ()

    def __post_init__(self) -> None:
        if self.fitted_db > 0.0 or self.battery_current_ma <= 0.0:
            raise InputError(
                f"put an aid on the {self.side} side",
                f"a volume of {self.fitted_db:g} dB or a current of {self.battery_current_ma:g} mA cannot be",
                "choose a volume of 0 dB or less and a current above 0 mA",
            )

    @property
    def as_it_is(self) -> VirtualAid:
        """The aid with its faults."""
        aid = self.aid
        for fault in self.faults:
            aid = fault.applied(aid)
        return aid

    @property
    def current_ma(self) -> float:
        """Current with its faults. [mA]"""
        weak = AidFault.WEAK_RECEIVER in self.faults
        return self.battery_current_ma * (_WEAK_RECEIVER_CURRENT if weak else 1.0)


def _loud_microphone() -> MicrophoneChain:
    """Chain that takes 143 dB SPL, so that a 0.4 cc coupler does not overload it."""
    return coupler_microphone(pa_per_full_scale=400.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class AidScenario:
    """A case of the aid by itself.

    Attributes
    ----------
    name : str
        Its id, and the client's pseudonym; letters, digits and hyphens.
    seed : int
        Seed of every draw that is made while it is recorded. [1]
    ears : tuple of AidEar
        One or two aids.
    age_months : float
        Age of the client. [months]
    couplers : tuple of CouplerKind
        Couplers of the data-sheet tests; the rest is recorded in the first, where the reference test gain is set too.
    coupling : Coupling
        What joined aid and coupler; a word in the file.
    source : SourceName
        Receiver of the aids.
    tests : tuple of str
        What to record; a test an aid has no feature for is left out.
    speech_levels_db_spl : tuple of float
        Levels of the speech runs. [dB re 20 µPa]
    speech_s, noise_s : float
        Lengths of speech and noise, one period. [s]
    special_hz : tuple of float
        Frequencies of the special-purpose average. [Hz]
    microphone : MicrophoneChain
        Chain in the coupler, 400 Pa at full scale if not given; its calibration error is drawn unless ``perfect``.
    perfect : bool
        No microphone noise and no calibration error; the aid keeps its own noise.
    check_drift_db : float
        How much louder the check source reads now than earlier. [dB]
    with_data_sheet : bool
        Whether the case states nominal values: those of the first sound aid, rounded.
    measured : date
        Date of calibration and measurement.

    Raises
    ------
    InputError
        If aids, couplers or tests are missing, twice there, or not of this bench.
    """

    name: str
    seed: int
    ears: tuple[AidEar, ...]
    age_months: float = 120.0
    couplers: tuple[CouplerKind, ...] = (CouplerKind.HA1,)
    coupling: Coupling = Coupling.MOULD
    source: SourceName = "receiver"
    tests: tuple[AidTest, ...] = get_args(AidTest)
    speech_levels_db_spl: tuple[float, ...] = (55.0, 65.0, 75.0, 80.0)
    speech_s: float = 10.0
    noise_s: float = 12.0
    special_hz: tuple[float, ...] = (1250.0, 2000.0, 3150.0)
    microphone: MicrophoneChain = field(default_factory=_loud_microphone)
    perfect: bool = False
    check_drift_db: float = 0.0
    with_data_sheet: bool = True
    measured: date = date(2026, 11, 25)

    def __post_init__(self) -> None:
        asked = f"set up the aid scenario '{self.name}'"
        sides = [entry.side for entry in self.ears]
        for what, items in (("sides", sides), ("couplers", list(self.couplers)), ("tests", list(self.tests))):
            if not items or len(set(items)) != len(items):
                raise InputError(
                    asked, f"its {what} are {', '.join(items) or 'missing'}", f"name one or more different {what}"
                )
        unknown = sorted(set(self.tests) - set(get_args(AidTest)))
        if unknown:
            raise InputError(asked, f"the bench has no test '{unknown[0]}'", f"use {', '.join(get_args(AidTest))}")
        if not self.name.replace("-", "").isalnum() or not self.name.isascii():
            raise InputError(asked, "its name has other signs than letters, digits and hyphens", "choose a plain name")
