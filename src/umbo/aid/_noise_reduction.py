"""Noise reduction: depth, time course, and whether speech is left alone."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from umbo.aid._conditions import Conditions, Feature, Switch
from umbo.aid._constants import constant, constant_source
from umbo.aid._feature_check import FeatureCheck
from umbo.aid._outcome import judge_between
from umbo.aid._speech_test import gain_change
from umbo.calibration import REFERENCE_PRESSURE_PA, Calibration, Recording, require_same_rate
from umbo.core import (
    COVERAGE_FACTOR,
    BoolArray,
    Component,
    CouplerKind,
    Difference,
    FloatArray,
    Grid,
    Level,
    Origin,
    Outcome,
    States,
    Tags,
    Transfer,
    Uncertainty,
    lies_within,
)
from umbo.curves import coupler_range, noise_marks, standing_wave
from umbo.dsp import GainCourse, gain_course, third_octave_frames
from umbo.errors import RecordingError

__all__ = ["NoiseReduction", "noise_against_speech", "noise_reduction", "speech_kept"]

#: Frames of 125 ms overlap by half (IEC 60118-15 style, from memory). [s]
_HOP_S, _FRAME_S = 0.0625, 0.125

#: Third octaves that a mean over noise is taken of: 200 Hz to 6.3 kHz (engineering judgement). [Hz]
_COUNTED_HZ = (200.0, 6300.0)

#: The same of speech: 250 Hz to 6.3 kHz (engineering judgement). [Hz]
_SPEECH_COUNTED_HZ = (250.0, 6300.0)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class NoiseReduction:
    """What noise reduction does to a steady noise.

    Parameters
    ----------
    depth : Difference
        Output without minus output with noise reduction after the wait, by third octave. [dB]
    course : GainCourse
        The same over time, and when 63 % of it is reached.
    check : FeatureCheck
        Whether it is there.
    """

    depth: Difference
    course: GainCourse
    check: FeatureCheck

    @property
    def mean_course_db(self) -> FloatArray:
        """Reduction over time, mean of the bands that count; 0 where none does. Shape (frames,). [dB]"""
        counted = _counted(self.depth.states, self.depth.grid)
        if not counted.any():
            return np.zeros(self.course.time_s.size)
        return np.asarray(self.course.reduction_db[counted].mean(axis=0))


def noise_reduction(
    without: Recording,
    without_conditions: Conditions,
    within: Recording,
    within_conditions: Conditions,
    calibration: Calibration,
    *,
    onset_s: float,
    background: Level | None,
    tags: Tags,
) -> NoiseReduction:
    """Compare two runs of one noise that begins after quiet, with noise reduction off and on.

    Parameters
    ----------
    without : Recording
        Run with the feature off.
    without_conditions : Conditions
        How it was taken.
    within : Recording
        Run with the feature on, recorded from the same instant of the stimulus.
    within_conditions : Conditions
        How it was taken.
    calibration : Calibration
        Microphone chain of both.
    onset_s : float
        Where the noise begins in the recordings. [s]
    background : Level or None
        Third-octave noise of coupler microphone and box; bands that come near it do not count. [dB SPL]
    tags : Tags
        What was measured.

    Returns
    -------
    NoiseReduction
        Depth by band with uncertainty, course, and whether it is there.

    Raises
    ------
    RecordingError
        If rates or lengths differ, or less than three seconds are left after the wait of 10 s.
    """
    require_same_rate(within, without)
    if without.samples_fs.size != within.samples_fs.size:
        raise RecordingError(
            f"compare '{without.name}' and '{within.name}'",
            f"they last {without.duration_s:.2f} and {within.duration_s:.2f} s",
            "record the same noise for the same time",
        )
    grid = Grid.third_octave()
    powers = [_frames(take, calibration, onset_s, grid) for take in (without, within)]
    states = _states(grid, within_conditions, powers, background)
    time_s: FloatArray = _HOP_S * np.arange(powers[0].shape[-1], dtype=np.float64) + _FRAME_S / 2
    counted = _counted(states, grid)
    course = gain_course(powers[0], powers[1], time_s, wait_s=constant("noise_reduction_wait"), counted=counted)
    depth = _depth(course, grid, states, tags, within_conditions, f"{without.name}|{within.name}")
    check = _exists(course, depth, without_conditions, within_conditions, counted)
    return NoiseReduction(depth=depth, course=course, check=check)


def _counted(states: States, grid: Grid) -> BoolArray:
    """Bands that a mean over noise is taken of."""
    return np.asarray(states.is_usable & lies_within(grid.frequency_hz, *_COUNTED_HZ))


def _frames(take: Recording, calibration: Calibration, onset_s: float, grid: Grid) -> FloatArray:
    first = round(onset_s * take.sampling_rate_hz)
    frames = third_octave_frames(take.samples_fs[first:], take.sampling_rate_hz, centre_hz=grid.frequency_hz)
    return frames.frame_power * (calibration.pa_per_full_scale / REFERENCE_PRESSURE_PA) ** 2


def _states(grid: Grid, conditions: Conditions, powers: list[FloatArray], background: Level | None) -> States:
    states = States.ok(grid.size)
    kind = conditions.plane.detail
    if isinstance(kind, CouplerKind):
        for mark in (coupler_range(kind, grid)[0], standing_wave(kind, grid)[0]):
            states = states.marked(mark.state, mark.where, mark.reason)
    if background is not None:
        behind = background.on(grid, method="log_frequency", outside="hold").level_db
        half = powers[1].shape[-1] // 2
        level = 10 * np.log10(np.maximum(powers[1][:, half:].mean(axis=-1), 1e-30))
        for mark in noise_marks(level - behind, conditions.plane.phrase):
            states = states.marked(mark.state, mark.where, mark.reason)
    return states


def _depth(course: GainCourse, grid: Grid, states: States, tags: Tags, conditions: Conditions, name: str) -> Difference:
    cause = Component(
        f"blocks:{name}", "scatter between seconds", course.depth_u_db, "none", "A", "blocks of 1 s after the wait", 3.0
    )
    quantity = "noise reduction"
    origin = Origin(quantity, "paired runs of one noise", "dB", grid.frequency_hz, course.depth_db)
    return Difference(
        grid=grid,
        level_db=course.depth_db,
        tags=replace(tags, quantity=quantity),
        states=states,
        uncertainty=Uncertainty.of(grid.size, [cause]),
        origin=origin,
        plane=conditions.plane,
    )


def _exists(course: GainCourse, depth: Difference, off: Conditions, on: Conditions, counted: BoolArray) -> FeatureCheck:
    value, u = course.depth_mean_db, course.depth_mean_u_db
    least = constant("noise_reduction_exists")
    judged = judge_between(value, u, least, None)
    if value > least and value - COVERAGE_FACTOR * u < 0:  # there is a mean, but it does not stand out
        judged = Outcome.CANNOT_TELL
    known = course.time_known & counted
    time = f", 63 % of it after {float(np.median(course.time_63_s[known])):.1f} s" if known.any() else ""
    largest = int(np.argmax(np.where(counted, depth.level_db, -np.inf)))
    sentence = (
        f"Noise falls by {value:.1f} dB on average with noise reduction on, most at "
        f"{depth.frequency_hz[largest]:.0f} Hz ({depth.level_db[largest]:.1f} dB){time}"
    )
    return FeatureCheck(
        feature=Feature.NOISE_REDUCTION, check="noise_reduction", value=value, u=u, unit="dB", outcome=judged,
         sentence=f"{sentence}.", action="Check that noise reduction is enabled in this programme.",
        source=constant_source("noise_reduction_exists"), bands=depth, conditions=(off, on),
    ).with_doubt(_doubt(off, on))  # fmt: skip


def _doubt(off: Conditions, on: Conditions) -> str:
    """What speaks against comparing two runs that should differ in noise reduction alone."""
    state = off.settings.why_not(Feature.NOISE_REDUCTION, Switch.OFF) or on.settings.why_not(
        Feature.NOISE_REDUCTION, Switch.ON
    )
    if state:
        return state
    for feature in Feature:
        if feature is not Feature.NOISE_REDUCTION and off.settings.state(feature) is not on.settings.state(feature):
            return f"the {feature.phrase} was not in the same state in both runs"
    aligned = replace(off, settings=on.settings)
    return next(iter(aligned.differences(on)), "")


def noise_against_speech(
    speech_gain: Transfer, speech_conditions: Conditions, noise_gain: Transfer, noise_conditions: Conditions
) -> FeatureCheck:
    """Noise reduction without a run with the feature off: gain for speech against gain for noise of its spectrum.

    Parameters
    ----------
    speech_gain : Transfer
        Long-term gain for speech, third octaves. [dB]
    speech_conditions : Conditions
        How it was taken.
    noise_gain : Transfer
        Gain for noise of the same level and spectrum after 10 s or more. [dB]
    noise_conditions : Conditions
        How it was taken.

    Returns
    -------
    FeatureCheck
        Depth is the gain for speech minus that for noise. Compression moves the two apart as well, by its own amount:
        where it was not off the check gives no verdict.

    Raises
    ------
    CombinationError
        If the gains are not comparable.
    """
    depth = gain_change(speech_gain, noise_gain, quantity="gain for speech re gain for noise")
    counted = _counted(depth.states, depth.grid)
    value, u = _mean(depth, counted)
    doubt = "no band can be used" if not counted.any() else ""
    settings = noise_conditions.settings
    doubt = doubt or settings.why_not(Feature.NOISE_REDUCTION, Switch.ON)
    doubt = doubt or settings.why_not(Feature.COMPRESSION, Switch.OFF)
    least = constant("noise_reduction_exists")
    return FeatureCheck(
        feature=Feature.NOISE_REDUCTION, check="noise_against_speech", value=value, u=u, unit="dB",
        outcome=judge_between(value, u, least, None),
        sentence=f"The gain for noise lies {value:.1f} dB below that for speech.",
        action="Check that noise reduction is enabled in this programme.",
        source=constant_source("noise_reduction_exists"), bands=depth,
        conditions=(speech_conditions, noise_conditions),
    ).with_doubt(doubt)  # fmt: skip


def speech_kept(
    without: Level, without_conditions: Conditions, within: Level, within_conditions: Conditions
) -> FeatureCheck:
    """Whether noise reduction leaves speech in quiet alone: its level may not fall by more than 2 dB.

    Parameters
    ----------
    without : Level
        Long-term levels of speech with noise reduction off, third octaves. [dB SPL]
    without_conditions : Conditions
        How they were taken.
    within : Level
        The same with noise reduction on. [dB SPL]
    within_conditions : Conditions
        How they were taken.

    Raises
    ------
    CombinationError
        If the two are not comparable.
    """
    loss = without.above(within, quantity="loss of speech")
    counted = loss.states.is_usable & lies_within(loss.frequency_hz, *_SPEECH_COUNTED_HZ)
    power = 10 ** (without.level_db / 10)
    value, u = _mean(loss, counted, power)
    most = constant("speech_loss")
    doubt = "no band can be used" if not counted.any() else _doubt(without_conditions, within_conditions)
    return FeatureCheck(
        feature=Feature.NOISE_REDUCTION, check="speech_kept", value=value, u=u, unit="dB",
        outcome=judge_between(value, u, None, most),
        sentence=f"Speech in quiet falls by {value:.1f} dB with noise reduction on (at most {most:g} dB wanted).",
        action="Choose a weaker noise reduction: it takes speech away too.",
        source=constant_source("speech_loss"), bands=loss, conditions=(without_conditions, within_conditions),
    ).with_doubt(doubt)  # fmt: skip


def _mean(difference: Difference, counted: BoolArray, power: FloatArray | None = None) -> tuple[float, float]:
    """Mean over the bands that count, weighted by power where that is given, and its standard uncertainty. [dB]"""
    index = np.flatnonzero(counted) if counted.any() else np.arange(difference.grid.size)
    weight = np.ones(index.size) if power is None else power[index]
    share = weight / weight.sum()
    u = difference.uncertainty.mapped(index[np.newaxis, :], share[np.newaxis, :]).u_db[0]
    return float(share @ difference.level_db[index]), float(u)
