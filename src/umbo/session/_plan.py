"""Plans: everything a verification needs to know before the first sample is read, as plain frozen data.

A plan names every stimulus, calibration, take, imported curve, threshold and target. It is made from a case folder by
``umbo.interchange`` or, later, by a live session; ``run`` follows it and infers nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal, Protocol

from umbo.calibration import Calibration, Recording
from umbo.core import CouplerKind, Coupling, Ear, PointState, Source, Transducer

__all__ = [
    "Client",
    "EarPlan",
    "ImportedCurve",
    "Plan",
    "Recordings",
    "StimulusPlan",
    "Take",
    "TargetSet",
    "ThresholdSet",
]

Place = Literal["coupler", "probe_tip", "reference_microphone", "free_field"]
StimulusKind = Literal["exponential_sweep", "speech", "noise", "tones", "silence"]
MiddleEar = Literal["normal", "effusion", "tube", "perforation", "unknown"]
RecdChoice = Literal["measured", "adult_average"]
Prescription = Literal["nal_r", "none"]
Venting = Literal["closed", "vented", "open"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Client:
    """Who the ears belong to: a pseudonym and an age, never a name."""

    code: str
    age_months: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ThresholdSet:
    """Hearing or discomfort thresholds of one ear as they were entered.

    Attributes
    ----------
    scale : {"HL", "eHL", "nHL"}
        nHL needs ``correction_db``.
    correction_db : tuple of float or None
        nHL minus eHL per frequency (JOB F1), with its name in ``correction_name``. [dB]
    """

    scale: Literal["HL", "eHL", "nHL"]
    transducer: Transducer
    coupler: CouplerKind | None
    coupling: Coupling | None
    frequency_hz: tuple[float, ...]
    level_db: tuple[float, ...]
    no_response: tuple[bool, ...]
    correction_name: str | None = None
    correction_db: tuple[float, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TargetSet:
    """Targets or limits imported from a prescription method, at the eardrum."""

    name: str
    method: str
    version: str
    options: str
    kind: Literal["speech", "maximum_output"]
    level_db_spl: float | None
    frequency_hz: tuple[float, ...]
    level_db: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EarPlan:
    """What is declared of one ear."""

    ear: Ear
    middle_ear: MiddleEar
    tip_to_drum_mm: float | None
    thresholds: ThresholdSet | None
    discomfort: ThresholdSet | None
    targets: tuple[TargetSet, ...] = ()
    prescription: Prescription = "nal_r"
    recd: RecdChoice = "measured"
    venting: Venting = "closed"
    frequency_lowering: bool = False
    mle_frequency_hz: tuple[float, ...] = ()
    mle_db: tuple[float, ...] = ()
    mle_source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StimulusPlan:
    """What was played."""

    name: str
    kind: StimulusKind
    start_hz: float | None
    stop_hz: float | None
    level_db_spl: float | None
    has_file: bool
    file: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """One recording: what, where, with what, how often."""

    name: str
    stimulus: str
    repeats: int
    ear: Ear
    place: Place
    coupler: CouplerKind | None
    coupling: Coupling
    source: Source
    calibration: str
    file: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportedCurve:
    """One exported curve, for users who have no recording."""

    name: str
    stimulus: str
    ear: Ear
    place: Place
    coupler: CouplerKind | None
    coupling: Coupling
    source: Source
    file: str
    frequency_hz: tuple[float, ...]
    level_db: tuple[float, ...]
    u_db: tuple[float, ...] | None
    noise_db: tuple[float, ...] | None
    state: tuple[PointState, ...] | None = None
    declared: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A whole verification."""

    case_id: str
    client: Client
    ears: Mapping[Ear, EarPlan]
    calibrations: Mapping[str, Calibration]
    stimuli: Mapping[str, StimulusPlan]
    takes: tuple[Take, ...]
    curves: tuple[ImportedCurve, ...]
    date: date | None


class Recordings(Protocol):
    """Port through which a session gets its samples: a case folder, a virtual bench, a sound card."""

    def take(self, name: str) -> Recording:
        """The recording of a take, in full scale."""
        ...

    def stimulus(self, name: str) -> Recording:
        """The stimulus as it was played, in full scale."""
        ...
