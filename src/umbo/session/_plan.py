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
from umbo.ear import CorrectionSet, DiscomfortRule, Masking, Reliability, ThresholdMethod, Vent
from umbo.session._aid_plan import AidTestPlan, AidTestRun

__all__ = [
    "AidState",
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
StimulusKind = Literal["exponential_sweep", "speech", "noise", "tones", "level_steps", "silence"]
MiddleEar = Literal["normal", "effusion", "tube", "perforation", "unknown"]
RecdChoice = Literal["measured", "adult_average"]
Prescription = Literal[
    "nal_r", "nal_rp", "half_gain", "pogo", "pogo_ii", "berger", "libby", "fig6", "dsl_io_1995", "none"
]
Venting = Literal["closed", "vented", "open"]
GuidanceKey = Literal["bsa", "mccreery_2013", "wiseman_2023", "project"]
AidState = Literal["on", "muted", "removed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Client:
    """Who the ears belong to: a pseudonym and an age, never a name.

    Parameters
    ----------
    code : str
        Pseudonym.
    age_months : float or None
        Age at the measurement; None where it is not known. [month]
    """

    code: str
    age_months: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ThresholdSet:
    """Hearing or discomfort thresholds of one ear as they were entered.

    Parameters
    ----------
    scale : {"HL", "eHL", "nHL", "SPL"}
        Dial level, level estimated from evoked responses, or level re normal listeners, which needs a ``correction``;
        SPL for discomfort that a probe measured at the eardrum.
    transducer : Transducer or None
        What the thresholds were taken with; None with SPL.
    coupler : CouplerKind or None
        Coupler of the reference thresholds of an insert earphone; None with other transducers.
    coupling : Coupling or None
        What joined an insert earphone to the ear; None with other transducers.
    frequency_hz : tuple of float (n,)
        Frequencies, ascending. [Hz]
    level_db : tuple of float (n,)
        Levels as they were entered, one per frequency. [dB in ``scale``]
    no_response : tuple of bool (n,)
        True where there was no response at the level, which is then a lower bound.
    correction : CorrectionSet or None
        Named set from nHL to eHL (F1).
    corrected_by_recorder : bool or None
        Whether the recorder corrected its values already; None where it is not stated.
    method : ThresholdMethod or None
        How the thresholds were found; None where it is not stated.
    reliability : Reliability or None
        As the tester judged it; None where it is not stated.
    masking : tuple of Masking (n,)
        For each point; empty where it is not stated.
    highest_level_db : tuple of float (n,) or None
        Highest levels of the equipment; None for the usual ones. [dB in ``scale``]
    redd_db : tuple of float (n,) or None
        Real-ear-to-dial difference measured in this ear with this earphone; None for the average. [dB]
    fill_in_hz : tuple of float (m,)
        Frequencies between measured ones to be filled in. [Hz]
    """

    scale: Literal["HL", "eHL", "nHL", "SPL"]
    transducer: Transducer | None
    coupler: CouplerKind | None
    coupling: Coupling | None
    frequency_hz: tuple[float, ...]
    level_db: tuple[float, ...]
    no_response: tuple[bool, ...]
    correction: CorrectionSet | None = None
    corrected_by_recorder: bool | None = None
    method: ThresholdMethod | None = None
    reliability: Reliability | None = None
    masking: tuple[Masking, ...] = ()
    highest_level_db: tuple[float, ...] | None = None
    redd_db: tuple[float, ...] | None = None
    fill_in_hz: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TargetSet:
    """Targets or limits imported from a prescription method, at the eardrum.

    Parameters
    ----------
    name : str
        Name in the case.
    method, version, options : str
        Which prescription, in which version, with which settings; each as declared.
    kind : {"speech", "insertion_gain", "maximum_output"}
        Target for speech at one input level, insertion gain for it, or limit of the maximum output.
    level_db_spl : float or None
        Input level of a speech target; None for a limit. [dB SPL]
    frequency_hz : tuple of float (n,)
        Frequencies, ascending. [Hz]
    level_db : tuple of float (n,)
        Levels wanted at the eardrum, or insertion gains, one per frequency. [dB SPL] or [dB]
    """

    name: str
    method: str
    version: str
    options: str
    kind: Literal["speech", "insertion_gain", "maximum_output"]
    level_db_spl: float | None
    frequency_hz: tuple[float, ...]
    level_db: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EarPlan:
    """What is declared of one ear.

    Parameters
    ----------
    ear : Ear
        Side.
    middle_ear : {"normal", "effusion", "tube", "perforation", "unknown"}
        State of the middle ear; decides which shape of an RECD is to be expected.
    tip_to_drum_mm : float or None
        Distance from the probe's tip to the eardrum; None where it is not known. [mm]
    thresholds, discomfort : ThresholdSet or None
        Hearing thresholds and discomfort levels; None where there are none.
    discomfort_prediction : DiscomfortRule or None
        Rule that predicts discomfort levels where none were measured; None unless one was chosen.
    targets : tuple of TargetSet
        Imported targets and limits.
    prescription : {"nal_r", "nal_rp", "half_gain", "pogo", "pogo_ii", "berger", "libby", "fig6", "dsl_io_1995", "none"}
        Open prescription (a key of ``umbo.prescription.METHODS``) that makes the speech targets where none are
        imported, or none.
    is_prescription_chosen : bool
        Whether somebody chose it; one that stands in by default prescribes nothing for a child under seven years.
    recd : {"measured", "adult_average"}
        Whether an adult average RECD may stand in where this ear's own was not measured.
    venting : {"closed", "vented", "open"}
        Fitting; an open one has no prediction from a coupler.
    frequency_lowering : bool
        Whether the aid moves sound to other frequencies.
    mle_frequency_hz, mle_db : tuple of float (n,)
        Microphone-location effect of the worn aid; both empty where it is not known. [Hz], [dB]
    mle_source : str
        Where that effect comes from.
    vent : Vent or None
        Bore through the mould of a vented fitting; None where its dimensions are not known.
    aid_delay_s : float or None
        By how much the aid's sound is later than the direct sound; None where it is not known. [s]
    guidance : {"bsa", "mccreery_2013", "wiseman_2023", "project"}
        By whose criteria speech is judged against its target (a key of ``umbo.verdict.guidances``).
    mould_since : date or None
        Since when the present earmould is worn; None where it is not stated.
    """

    ear: Ear
    middle_ear: MiddleEar
    tip_to_drum_mm: float | None
    thresholds: ThresholdSet | None
    discomfort: ThresholdSet | None
    discomfort_prediction: DiscomfortRule | None = None
    targets: tuple[TargetSet, ...] = ()
    prescription: Prescription = "nal_r"
    is_prescription_chosen: bool = True
    recd: RecdChoice = "measured"
    venting: Venting = "closed"
    frequency_lowering: bool = False
    mle_frequency_hz: tuple[float, ...] = ()
    mle_db: tuple[float, ...] = ()
    mle_source: str = ""
    vent: Vent | None = None
    aid_delay_s: float | None = None
    guidance: GuidanceKey = "project"
    mould_since: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StimulusPlan:
    """What was played.

    Parameters
    ----------
    name : str
        Name in the case.
    kind : {"exponential_sweep", "speech", "noise", "tones", "level_steps", "silence"}
        What it is.
    start_hz, stop_hz : float or None
        First and last frequency of a sweep; None with other kinds. [Hz]
    level_db_spl : float or None
        Level at the place of the aid when it is played in a field; None where none is stated. [dB SPL]
    has_file : bool
        Whether its samples are there to be read.
    file : str
        File name, for messages and records.
    frequency_hz : tuple of float
        Frequency of each tone of a series, one for all level steps; empty with other kinds. [Hz]
    levels_db_spl : tuple of float
        Level of each tone or step; empty with other kinds. [dB SPL]
    step_s : float or None
        Length of each tone or step; None with other kinds. [s]
    field_a_per_m : float or None
        Magnetic field strength in place of a level; None for sound. [A/m]
    """

    name: str
    kind: StimulusKind
    start_hz: float | None
    stop_hz: float | None
    level_db_spl: float | None
    has_file: bool
    file: str = ""
    frequency_hz: tuple[float, ...] = ()
    levels_db_spl: tuple[float, ...] = ()
    step_s: float | None = None
    field_a_per_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """One recording: what, where, with what, how often.

    Parameters
    ----------
    name : str
        Name in the case.
    stimulus : str
        Name of the stimulus that was played.
    repeats : int
        Back-to-back periods of the stimulus in the recording. [1]
    ear : Ear
        Ear it was taken for, in a coupler too.
    place : {"coupler", "probe_tip", "reference_microphone", "free_field"}
        Where the microphone was.
    coupler : CouplerKind or None
        Which coupler; None in other places.
    coupling : Coupling
        What joined the source to the coupler or ear.
    source : Source
        What made the sound.
    calibration : str
        Name of the calibration of the microphone chain.
    file : str
        File name, for messages and records.
    aid : {"on", "muted", "removed"}
        State of the aid: in use, in place without sound of its own, or not in the ear.
    tested : AidTestRun or None
        What it tests of the aid by itself; such a take is no part of a verification.
    taken_on : date or None
        Day it was taken; None where that is the day of the measurement.
    """

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
    aid: AidState = "on"
    tested: AidTestRun | None = None
    taken_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportedCurve:
    """One exported curve, for users who have no recording.

    Parameters
    ----------
    name : str
        Name in the case.
    stimulus : str
        Name of the stimulus that was played.
    ear : Ear
        Ear it was taken for, in a coupler too.
    place : {"coupler", "probe_tip", "reference_microphone", "free_field"}
        Where the microphone was.
    coupler : CouplerKind or None
        Which coupler; None in other places.
    coupling : Coupling
        What joined the source to the coupler or ear.
    source : Source
        What made the sound.
    file : str
        File name, for messages and records.
    frequency_hz : tuple of float (n,)
        Frequencies, ascending. [Hz]
    level_db : tuple of float (n,)
        Levels, one per frequency. [dB SPL]
    u_db : tuple of float (n,) or None
        Standard uncertainty (k = 1); None where the file states none. [dB]
    noise_db : tuple of float (n,) or None
        Noise in the same bands; None where the file states none. [dB SPL]
    state : tuple of PointState (n,) or None
        State of each point; None where the file states none.
    declared : mapping of str to str
        Header lines of the file.
    aid : {"on", "muted", "removed"}
        State of the aid: in use, in place without sound of its own, or not in the ear.
    taken_on : date or None
        Day it was taken; None where that is the day of the measurement.
    """

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
    aid: AidState = "on"
    taken_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A whole verification.

    Parameters
    ----------
    case_id : str
        Name of the case.
    client : Client
        Who the ears belong to.
    ears : mapping of Ear to EarPlan
        What is declared of each ear.
    calibrations : mapping of str to Calibration
        Microphone chains by name.
    stimuli : mapping of str to StimulusPlan
        What was played, by name.
    takes : tuple of Take
        Recordings.
    curves : tuple of ImportedCurve
        Imported curves.
    date : date or None
        Day of the measurement; None where it is not known.
    aid_tests : AidTestPlan
        What is declared for the tests of the aids by themselves.
    """

    case_id: str
    client: Client
    ears: Mapping[Ear, EarPlan]
    calibrations: Mapping[str, Calibration]
    stimuli: Mapping[str, StimulusPlan]
    takes: tuple[Take, ...]
    curves: tuple[ImportedCurve, ...]
    date: date | None
    aid_tests: AidTestPlan = field(default_factory=AidTestPlan)


class Recordings(Protocol):
    """Port through which a session gets its samples: a case folder, a virtual bench, a sound card."""

    def take(self, name: str) -> Recording:
        """The recording of a take, in full scale."""
        ...

    def stimulus(self, name: str) -> Recording:
        """The stimulus as it was played, in full scale."""
        ...
