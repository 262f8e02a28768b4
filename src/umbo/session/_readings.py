"""From takes and imported curves to readings that can become a level on any grid."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from umbo.calibration import Recording, require_same_rate, sweep_spectrum
from umbo.core import Ear, Plane, Statistic, Tags
from umbo.curves import (
    ImportedReading,
    Reading,
    SpeechReading,
    SweepReading,
    imported_speech,
    recording_findings,
    speech_reading,
)
from umbo.errors import CaseError
from umbo.session._plan import AidState, ImportedCurve, Plan, Recordings, StimulusPlan, Take

__all__ = ["Readings", "read_all", "read_take"]


#: Takes read at once: more would only cost memory.
_MOST_WORKERS = 4


@dataclass(frozen=True, slots=True, eq=False)
class Readings:
    """Every reading of a plan.

    Parameters
    ----------
    sweeps : tuple of (Take or ImportedCurve, Reading)
        Sweeps, recorded or imported.
    speech : tuple of (Take or ImportedCurve, SpeechReading)
        Speech and speech-like noise, recorded or imported.
    """

    sweeps: tuple[tuple[Take | ImportedCurve, Reading], ...]
    speech: tuple[tuple[Take | ImportedCurve, SpeechReading], ...]

    def of(self, ear: Ear, place: str, source: str, aid: AidState = "on") -> list[tuple[Take | ImportedCurve, Reading]]:
        """Sweep readings of one ear at one kind of place with one source.

        Parameters
        ----------
        ear : Ear
            Side.
        place : str
            "coupler", "probe_tip", "reference_microphone" or "free_field".
        source : str
            "insert" or "aid".
        aid : {"on", "muted", "removed"}
            State of the aid.

        Returns
        -------
        list of (Take or ImportedCurve, Reading)
            In the plan's order, recordings first.
        """
        wanted = (ear, place, source, aid)
        return [(t, r) for t, r in self.sweeps if (t.ear, t.place, t.source, t.aid) == wanted]

    def spoken(self, ear: Ear, place: str, aid: AidState = "on") -> list[tuple[Take | ImportedCurve, SpeechReading]]:
        """Speech readings of the aid on one ear at one kind of place.

        Parameters
        ----------
        ear : Ear
            Side.
        place : str
            "coupler", "probe_tip", "reference_microphone" or "free_field".
        aid : {"on", "muted", "removed"}
            State of the aid.

        Returns
        -------
        list of (Take or ImportedCurve, SpeechReading)
            In the plan's order, recordings first.
        """
        wanted = (ear, place, "aid", aid)
        return [(t, r) for t, r in self.speech if (t.ear, t.place, t.source, t.aid) == wanted]


def read_all(plan: Plan, recordings: Recordings, *, speech: bool = True) -> Readings:
    """Read every take and imported curve of a plan, takes side by side on the machine's cores.

    Parameters
    ----------
    plan : Plan
        What was planned.
    recordings : Recordings
        Where samples come from.
    speech : bool
        Whether speech and noise are wanted too; without them they are not read.

    Returns
    -------
    Readings
        One for each take and curve, apart from tones, level steps, silence, and tests of an aid by itself.

    Raises
    ------
    RecordingError
        If a recording does not fit its stimulus.
    """
    played = {  # also those no take uses: a broken file is bad input
        stimulus.name: recordings.stimulus(stimulus.name)
        for stimulus in plan.stimuli.values()
        if stimulus.has_file and (speech or stimulus.kind == "exponential_sweep")
    }
    takes = [take for take in plan.takes if take.tested is None]  # tests of an aid by itself are another session
    takes = [take for take in takes if speech or plan.stimuli[take.stimulus].kind == "exponential_sweep"]
    with ThreadPoolExecutor(max_workers=min(_MOST_WORKERS, os.cpu_count() or 1)) as pool:
        read = list(pool.map(lambda take: read_take(take, plan, recordings, played.get(take.stimulus)), takes))
    swept: list[tuple[Take | ImportedCurve, Reading]] = []
    spoken: list[tuple[Take | ImportedCurve, SpeechReading]] = []
    for take, reading in zip(takes, read, strict=True):
        if isinstance(reading, SpeechReading):
            spoken.append((take, reading))
        elif reading is not None:
            swept.append((take, reading))
    for curve in plan.curves:
        stimulus, exported = plan.stimuli[curve.stimulus], _imported(curve, plan)
        if stimulus.kind in ("speech", "noise"):
            spoken.append((curve, imported_speech(exported, stimulus.level_db_spl)))
        else:
            swept.append((curve, exported))
    return Readings(tuple(swept), tuple(spoken))


def read_take(
    take: Take, plan: Plan, recordings: Recordings, played: Recording | None = None
) -> SweepReading | SpeechReading | None:
    """Read one take by the kind of its stimulus.

    Parameters
    ----------
    take : Take
        Which.
    plan : Plan
        Names its stimulus and calibration.
    recordings : Recordings
        Where samples come from.
    played : Recording, optional
        The stimulus, if it has been read already.

    Returns
    -------
    SweepReading, SpeechReading or None
        None for kinds that are no curve: tones, level steps, silence.

    Raises
    ------
    RecordingError
        If the recording does not fit its stimulus.
    """
    stimulus, recording = plan.stimuli[take.stimulus], recordings.take(take.name)
    if stimulus.kind in ("tones", "level_steps", "silence"):
        return None
    played = recordings.stimulus(take.stimulus) if played is None else played
    require_same_rate(recording, played)
    calibration = plan.calibrations[take.calibration]
    noticed = recording_findings(recording, played, repeats=take.repeats)
    plane, tags = plane_of(take, plan), tags_of(take, stimulus)
    if stimulus.kind == "exponential_sweep":
        if stimulus.start_hz is None or stimulus.stop_hz is None:
            raise CaseError(
                f"analyse the take '{take.name}'",
                f"the sweep '{stimulus.name}' states no start_hz and stop_hz",
                "state both",
            )
        spectrum = sweep_spectrum(
            recording,
            played,
            calibration,
            repeats=take.repeats,
            start_hz=stimulus.start_hz,
            stop_hz=stimulus.stop_hz,
        )
        return SweepReading(spectrum, plane, tags, noticed.clipped, noticed.findings)
    return speech_reading(
        recording, played, calibration, repeats=take.repeats, plane=plane, tags=tags, noticed=noticed,
        input_db_spl=stimulus.level_db_spl,
    )  # fmt: skip


def plane_of(take: Take | ImportedCurve, plan: Plan) -> Plane:
    """The plane a take was made at."""
    if take.place == "coupler":
        return Plane.coupler(take.coupler or "")
    if take.place == "probe_tip":
        ear = plan.ears.get(take.ear)
        return Plane.probe_tip(ear.tip_to_drum_mm if ear else None)
    return Plane.parse(take.place)


def tags_of(take: Take | ImportedCurve, stimulus: StimulusPlan) -> Tags:
    """The tags of what a take holds; a test of an aid names the sound by its file, whatever the level it had."""
    is_test = isinstance(take, Take) and take.tested is not None
    played = stimulus.file if is_test and stimulus.file else take.stimulus
    return Tags(
        quantity="sweep response" if stimulus.kind == "exponential_sweep" else stimulus.kind,
        ear=take.ear,
        stimulus=played,
        statistic=Statistic.RMS,
        coupling=None if take.aid == "removed" else take.coupling,
        source=take.source,
    )


def _imported(curve: ImportedCurve, plan: Plan) -> ImportedReading:
    def array(values: tuple[float, ...] | None) -> np.ndarray[tuple[int], np.dtype[np.float64]] | None:
        return None if values is None else np.array(values)

    return ImportedReading(
        curve.name,
        np.array(curve.frequency_hz),
        np.array(curve.level_db),
        array(curve.u_db),
        array(curve.noise_db),
        plane_of(curve, plan),
        tags_of(curve, plan.stimuli[curve.stimulus]),
    )
