"""Series of steady tones: their levels and harmonics, one reading a step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from umbo import refdata
from umbo.calibration import REFERENCE_PRESSURE_PA, Calibration, Recording
from umbo.core import (
    Component,
    CouplerKind,
    Finding,
    FloatArray,
    Grid,
    Level,
    Plane,
    PointState,
    Severity,
    States,
    Tags,
    Uncertainty,
)
from umbo.curves._trust import coupler_range, noise_marks, standing_wave
from umbo.dsp import HarmonicDistortion, check_clipping, harmonic_distortion, split_repeats, tone_envelope_power
from umbo.errors import RecordingError

__all__ = ["ToneSeries", "ToneStep", "tone_series", "tone_steps"]

#: Left out before the end of a step: fades, and the reading must not see the next one (engineering judgement). [s]
_GUARD_S = 0.010

#: Periods of a tone that have to be left for reading it (engineering judgement). [1]
_FEWEST_PERIODS = 8


@dataclass(frozen=True, slots=True)
class ToneStep:
    """One tone of a series, as it was played.

    Parameters
    ----------
    frequency_hz : float
        Frequency. [Hz]
    input_db_spl : float
        Level at the aid's microphone. [dB SPL]
    start_s, stop_s : float
        Where it begins and ends in a period. [s]
    """

    frequency_hz: float
    input_db_spl: float
    start_s: float
    stop_s: float


def tone_steps(frequency_hz: Sequence[float], levels_db_spl: Sequence[float], step_s: float) -> tuple[ToneStep, ...]:
    """Steps of equal length, one after the other.

    Parameters
    ----------
    frequency_hz : sequence of float
        Frequency of each step; one value stands for all. [Hz]
    levels_db_spl : sequence of float
        Level of each step. [dB SPL]
    step_s : float
        Length of a step. [s]

    Raises
    ------
    RecordingError
        If the numbers of frequencies and levels differ.
    """
    frequencies = list(frequency_hz) * (len(levels_db_spl) if len(frequency_hz) == 1 else 1)
    if len(frequencies) != len(levels_db_spl):
        raise RecordingError(
            "read a series of tones",
            f"it has {len(frequencies)} frequencies and {len(levels_db_spl)} levels",
            "give one level for each frequency",
        )
    pairs = enumerate(zip(frequencies, levels_db_spl, strict=True))
    return tuple(ToneStep(hz, level, i * step_s, (i + 1) * step_s) for i, (hz, level) in pairs)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ToneSeries:
    """Levels of a series of tones at one place.

    Parameters
    ----------
    name : str
        Name of the take.
    steps : tuple of ToneStep
        What was played.
    level_db : array (n,)
        Level of each tone, noise taken out. [dB SPL]
    uncertainty : Uncertainty
        Noise of each step, and the calibration.
    states : States
        Whether each step may be believed.
    distortion : tuple of HarmonicDistortion
        Harmonics of each tone.
    plane : Plane
        Where.
    tags : Tags
        What.
    findings : tuple of Finding
        What was noticed about the recording.
    """

    name: str
    steps: tuple[ToneStep, ...]
    level_db: FloatArray
    uncertainty: Uncertainty
    states: States
    distortion: tuple[HarmonicDistortion, ...]
    plane: Plane
    tags: Tags
    findings: tuple[Finding, ...]

    @property
    def frequency_hz(self) -> FloatArray:
        """Frequency of each tone. Shape (n,). [Hz]"""
        return np.array([step.frequency_hz for step in self.steps])

    @property
    def input_db_spl(self) -> FloatArray:
        """Level of each tone at the aid's microphone. Shape (n,). [dB SPL]"""
        return np.array([step.input_db_spl for step in self.steps])

    def level(self) -> Level:
        """The series as a curve over frequency.

        Raises
        ------
        InputError
            If the frequencies do not ascend.
        """
        return Level.given(
            Grid.tones(self.frequency_hz),
            self.level_db,
            plane=self.plane,
            tags=self.tags,
            source=f"recording '{self.name}', steady tones",
            components=self.uncertainty.components,
            states=self.states,
        )


def tone_series(
    recording: Recording,
    steps: Sequence[ToneStep],
    calibration: Calibration,
    *,
    repeats: int,
    settle_s: float,
    highest_harmonic: int,
    plane: Plane,
    tags: Tags,
) -> ToneSeries:
    r"""Read every tone of a series by least squares.

    .. math:: L = 10 \lg \frac{S^2 \hat a^2 / 2}{(20\,\mu\mathrm{Pa})^2} \qquad (1)

    with the amplitude :math:`\hat a` in full scale, noise taken out, and the sensitivity S in pascals per full scale.

    Parameters
    ----------
    recording : Recording
        ``repeats`` back-to-back periods of the series.
    steps : sequence of ToneStep
        What was played; the last one ends the period.
    calibration : Calibration
        Microphone chain.
    repeats : int
        Number of periods, which are averaged. [1]
    settle_s : float
        Left out at the start of each step: longer than release time and delay. [s]
    highest_harmonic : int
        Highest harmonic that counts as distortion. [1]
    plane : Plane
        Where.
    tags : Tags
        What.

    Raises
    ------
    RecordingError
        If the recording does not hold the series, or a step is too short for its settling.
    """
    rate = recording.sampling_rate_hz
    size = round(steps[-1].stop_s * rate)
    mean = split_repeats(recording.samples_fs, size, repeats).mean(axis=0)
    parts = [_steady_part(mean, step, rate, settle_s, recording.name) for step in steps]
    found = tuple(
        harmonic_distortion(part, rate, step.frequency_hz, highest_harmonic=highest_harmonic)
        for part, step in zip(parts, steps, strict=True)
    )
    scale = (calibration.pa_per_full_scale / REFERENCE_PRESSURE_PA) ** 2
    power, power_u, noise = (
        np.array([getattr(d, name) for d in found]) for name in ("power", "power_u", "noise_power")
    )
    floor = np.maximum(noise, 1e-30)
    u_db = 10 / np.log(10) * power_u / np.maximum(power, floor)
    frequencies = np.array([step.frequency_hz for step in steps])
    level_db = 10 * np.log10(np.maximum(power, floor) * scale)
    components = [_noise(recording.name, u_db), calibration.component()]
    if calibration.tube is not None:
        level_db = level_db - calibration.tube.at(frequencies)
        components.append(calibration.tube.component())
    states = States.ok(len(steps))
    for mark in noise_marks(10 * np.log10(np.maximum(power, floor) / floor), plane.phrase):
        states = states.marked(mark.state, mark.where, mark.reason)
    states, findings = _checked(states, plane, frequencies, recording)
    return ToneSeries(
        name=recording.name,
        steps=tuple(steps),
        level_db=level_db,  # Eq. (1)
        uncertainty=Uncertainty.of(len(steps), components),
        states=states,
        distortion=found,
        plane=plane,
        tags=tags,
        findings=(*findings, *_unsettled(parts, steps, rate, recording.name)),
    )


def _steady_part(mean: FloatArray, step: ToneStep, rate_hz: float, settle_s: float, name: str) -> FloatArray:
    first, last = round((step.start_s + settle_s) * rate_hz), round((step.stop_s - _GUARD_S) * rate_hz)
    if (last - first) * step.frequency_hz < _FEWEST_PERIODS * rate_hz:
        raise RecordingError(
            f"read the tone at {step.frequency_hz:g} Hz in '{name}'",
            f"its step lasts {step.stop_s - step.start_s:g} s and {settle_s:g} s of it are for settling",
            "play longer steps",
        )
    return mean[first:last]


def _noise(name: str, u_db: FloatArray) -> Component:
    return Component(f"noise:{name}", f"noise of '{name}'", u_db, "none", "A", "spectrum around each tone")


def _checked(
    states: States, plane: Plane, frequency_hz: FloatArray, recording: Recording
) -> tuple[States, list[Finding]]:
    """Marks of coupler range and clipping."""
    if isinstance(plane.detail, CouplerKind):
        for rule in (coupler_range, standing_wave):
            marks = [rule(plane.detail, Grid.tones([hz]))[0] for hz in frequency_hz]
            states = states.marked(marks[0].state, [bool(mark.where[0]) for mark in marks], marks[0].reason)
    clipping = check_clipping(recording.samples_fs, recording.sampling_rate_hz)
    if not clipping.found:
        return states, []
    reason = f"the recording '{recording.name}' reaches full scale"
    text = f"Recording '{recording.name}': {clipping.text}."
    action = "Lower the input gain and measure again."
    finding = Finding("clipping", Severity.STOP, text, action, "check of the recording itself")
    return states.marked(PointState.CLIPPED, np.ones(states.size, bool), reason), [finding]


def _unsettled(
    parts: Sequence[FloatArray], steps: Sequence[ToneStep], rate_hz: float, name: str
) -> tuple[Finding, ...]:
    """Tones whose level still moves."""
    settled_db = refdata.table("hearing_aid_test", source="engineering-judgement").at("settled_within", "value")
    moving = []
    for part, step in zip(parts, steps, strict=True):
        periods = int(part.size * step.frequency_hz / rate_hz / 2)
        half_s = periods / step.frequency_hz
        envelope = tone_envelope_power(part, rate_hz, step.frequency_hz, averaging_s=half_s)
        middle = round(half_s * rate_hz / 2)
        change = float(10 * np.log10(max(envelope[-1 - middle], 1e-30) / max(envelope[middle], 1e-30)))
        if abs(change) > settled_db:
            moving.append((abs(change), step))
    if not moving:
        return ()
    change, step = max(moving, key=lambda pair: pair[0])
    text = (
        f"Recording '{name}': the tone at {step.frequency_hz:g} Hz and {step.input_db_spl:g} dB still moves by "
        f"{change:.1f} dB while it is read."
    )
    action = "Play longer steps, and switch adaptive features off."
    return (Finding("not_settled", Severity.WARN, text, action, "engineering judgement", step.frequency_hz),)
