"""Scenarios: everything that decides what a case folder of the bench will hold."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from umbo.core import CouplerKind, Coupling, Ear
from umbo.errors import InputError
from umbo.sim._aid import VirtualAid
from umbo.sim._bench import RecdBench
from umbo.sim._ears import VirtualEar
from umbo.sim._sources import SourceName

__all__ = ["Audiogram", "EarScenario", "Fault", "Scenario", "SpeechTarget"]

Audiogram = tuple[tuple[float, float], ...]
"""Pairs of frequency [Hz] and level [dB HL]."""


class Fault(StrEnum):
    """What can be planted in the recordings of an ear."""

    LEAK = "leak"
    SHALLOW_PROBE = "shallow_probe"
    BLOCKED_PROBE = "blocked_probe"
    WRONG_COUPLER_LABEL = "wrong_coupler_label"
    NOISY = "noisy"
    CLIPPED = "clipped"
    SWAPPED_FILES = "swapped_files"
    DISAGREEING_REPEATS = "disagreeing_repeats"
    HIGH_OUTPUT = "high_output"

    @property
    def planted(self) -> str:
        """What was done, for the truth file."""
        return _PLANTED[self]


_LOWER_DISCOMFORT_DB = 22.0

_PLANTED = {
    Fault.LEAK: "the ear tip leaks through a slit 0.4 mm high while the ear is measured",
    Fault.SHALLOW_PROBE: "the probe tip lies at nine tenths of the canal from the drum",
    Fault.BLOCKED_PROBE: "the probe tube is blocked: 15 dB lost, and 6 dB an octave more above 1 kHz",
    Fault.WRONG_COUPLER_LABEL: "the first coupler recording was made in another coupler than its label says",
    Fault.NOISY: "the ear was measured in noise 35 dB above the microphone's own",
    Fault.CLIPPED: "the recorder clipped the ear recording at half its peak",
    Fault.SWAPPED_FILES: "the files of the first coupler recording and of the ear recording are exchanged",
    Fault.DISAGREEING_REPEATS: "the ear tip came loose half way through the ear recording",
    Fault.HIGH_OUTPUT: "the discomfort levels lie 22 dB lower than those the aid was set for",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeechTarget:
    """Third-octave levels at the eardrum that aided speech should have, invented with the case.

    Attributes
    ----------
    level_db_spl : float
        Speech level in the field. [dB re 20 µPa]
    levels : tuple of (frequency, level)
        Targets. [Hz, dB re 20 µPa]
    """

    level_db_spl: float
    levels: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EarScenario:
    """One ear of a case.

    Attributes
    ----------
    side : Ear
        Side.
    ear : VirtualEar
        The ear as it should be measured: sealed, with a well placed probe.
    thresholds, discomfort : Audiogram
        Hearing thresholds and discomfort levels, insert earphone and HA-1. [Hz, dB HL]
    aid : VirtualAid or None
        The aid; none for a case of RECDs only.
    targets : tuple of SpeechTarget
        Imported targets.
    microphone_location_db : tuple of (frequency, level) or None
        Level at the aid's microphone over level of the field. [Hz, dB]
    faults : tuple of Fault
        What goes wrong while it is measured.
    """

    side: Ear
    ear: VirtualEar
    thresholds: Audiogram
    discomfort: Audiogram = ()
    aid: VirtualAid | None = None
    targets: tuple[SpeechTarget, ...] = ()
    microphone_location_db: tuple[tuple[float, float], ...] | None = None
    faults: tuple[Fault, ...] = ()

    @property
    def discomfort_in_force(self) -> Audiogram:
        """Discomfort levels as the case states them, with the fault that concerns them. [Hz, dB HL]"""
        lower_db = _LOWER_DISCOMFORT_DB if Fault.HIGH_OUTPUT in self.faults else 0.0
        return tuple((frequency_hz, level_db - lower_db) for frequency_hz, level_db in self.discomfort)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """A case of the bench.

    Attributes
    ----------
    name : str
        Its id, and the client's pseudonym; letters, digits and hyphens.
    seed : int
        Seed of every draw that is made while it is recorded. [1]
    age_months : float
        Age of the client. [months]
    ears : tuple of EarScenario
        One or two.
    couplers : tuple of CouplerKind
        Couplers, each with its own recordings; the first one takes the coupler faults.
    coupling : Coupling
        What joined sources and loads; a word in the file, since all sources of the bench end in the same tip.
    bench : RecdBench
        Earphone, microphones and repeats of the RECD recordings.
    aid_source : SourceName
        Receiver of the aids.
    speech_levels_db_spl : tuple of float
        Levels of the speech runs. [dB re 20 µPa]
    maximum_level_db_spl : float
        Level of the sweep that finds the maximum output. [dB re 20 µPa]
    speech_s : float
        Length of the speech, one period. [s]
    speech_repeats : int
        Periods of speech recorded; two or more show the noise in their difference. [1]
    measured : date
        Date of calibration and measurement.

    Raises
    ------
    InputError
        If ears or couplers are missing, twice there, or not of this bench.
    """

    name: str
    seed: int
    age_months: float
    ears: tuple[EarScenario, ...]
    couplers: tuple[CouplerKind, ...] = (CouplerKind.HA1, CouplerKind.CC04)
    coupling: Coupling = Coupling.FOAM_TIP
    bench: RecdBench = field(default_factory=RecdBench)
    aid_source: SourceName = "receiver"
    speech_levels_db_spl: tuple[float, ...] = (55.0, 65.0, 75.0)
    maximum_level_db_spl: float = 90.0
    speech_s: float = 10.0
    speech_repeats: int = 2
    measured: date = date(2026, 11, 25)

    def __post_init__(self) -> None:
        sides = [entry.side for entry in self.ears]
        for what, items in (("ears", sides), ("couplers", list(self.couplers))):
            if not items or len(set(items)) != len(items):
                raise InputError(
                    f"set up the scenario '{self.name}'",
                    f"its {what} are {', '.join(items) or 'missing'}",
                    f"name one or more different {what}",
                )
        if not self.name.replace("-", "").isalnum() or not self.name.isascii():
            raise InputError(
                f"set up the scenario '{self.name}'",
                "its name has other signs than letters, digits and hyphens",
                "choose a plain name",
            )
