"""Speech and speech-like noise: third-octave levels, their percentiles in time, and the noise between repeats."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

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
    Statistic,
    Tags,
)
from umbo.curves._noticed import Noticed
from umbo.curves._trust import coupler_range, noise_marks, standing_wave
from umbo.dsp import (
    band_edges_hz,
    split_repeats,
    subtract_noise_power,
    third_octave_frames,
    third_octave_power,
)

__all__ = ["PERCENTILES", "SpeechReading", "speech_reading"]

#: Percentiles of the levels in 125 ms frames (IEC 60118-15, from memory). [%]
PERCENTILES = {30: Statistic.P30, 65: Statistic.P65, 99: Statistic.P99}

_FEWEST_TO_LEAVE_FIRST = 3


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SpeechReading:
    """A calibrated speech recording at one place, in third-octave bands.

    Parameters
    ----------
    name : str
        Name of the take.
    level : Level
        Long-term rms levels, noise subtracted as power. [dB SPL]
    percentiles : mapping of int to Level
        Levels not exceeded in 30, 65 and 99 % of 125 ms frames. [dB SPL]
    noise_db : array (n,) or None
        Noise of the average of repeats; None where there is one repeat. [dB SPL]
    input_db_spl : float or None
        Overall level of the stimulus in the field. [dB SPL]
    input_levels_db : array (n,) or None
        Its third-octave levels. [dB SPL]
    repeats : int
        Periods averaged.
    findings : tuple of Finding
        What was noticed about the recording.
    """

    name: str
    level: Level
    percentiles: Mapping[int, Level]
    noise_db: FloatArray | None
    input_db_spl: float | None
    input_levels_db: FloatArray | None
    repeats: int
    findings: tuple[Finding, ...]


def speech_reading(
    recording: Recording,
    stimulus: Recording,
    calibration: Calibration,
    *,
    repeats: int,
    plane: Plane,
    tags: Tags,
    noticed: Noticed,
    input_db_spl: float | None,
) -> SpeechReading:
    r"""Read a speech recording.

    .. math:: L = 10 \lg \frac{P - N}{(20\,\mu\mathrm{Pa})^2} \qquad (1)

    with the power P of the average of repeats in class-1 third-octave bands and the noise N of that average, from the
    difference of repeats. With three or more repeats the first one is left out: a compressive aid starts it from silence.

    Parameters
    ----------
    recording : Recording
        ``repeats`` back-to-back periods of the stimulus.
    stimulus : Recording
        One period as it was played.
    calibration : Calibration
        Microphone chain.
    repeats : int
        Number of periods.
    plane : Plane
        Where.
    tags : Tags
        What, with the statistic rms.
    noticed : Noticed
        What the recording's checks found.
    input_db_spl : float or None
        Overall level of the stimulus in the field. [dB SPL]
    """
    grid, rate = Grid.third_octave(), recording.sampling_rate_hz
    periods = split_repeats(recording.samples_fs, stimulus.samples_fs.size, repeats)
    used = periods[1:] if repeats >= _FEWEST_TO_LEAVE_FIRST else periods
    mean = used[0] if len(used) == 1 else used.mean(axis=0)
    frames = third_octave_frames(mean, rate, centre_hz=grid.frequency_hz, periodic=True)
    scale = (calibration.pa_per_full_scale / REFERENCE_PRESSURE_PA) ** 2
    power = np.maximum(frames.mean_power * scale, 1e-12)
    states, findings = States.ok(grid.size), noticed.findings
    if len(used) > 1:
        noise = _noise_of_mean(used, mean, rate, grid) * scale
        low, high = band_edges_hz(grid.frequency_hz, 3)
        bins = np.maximum((high - low) * mean.size / rate, 1.0)
        dof = 2 * bins * (len(used) - 1)
        clean = subtract_noise_power(power, noise, independent_bins=bins, noise_dof=dof)
        level_db, u, noise_db = (
            10 * np.log10(clean.power),
            clean.u_db,
            10 * np.log10(np.maximum(noise, 1e-12)),
        )
        for mark in noise_marks(clean.over_noise_db, plane.phrase):
            states = states.marked(mark.state, mark.where, mark.reason)
    else:
        level_db, u, noise_db = 10 * np.log10(power), np.zeros(grid.size), None
        states = states.marked(
            PointState.NOISY, np.ones(grid.size, bool), "one repeat only: its noise is not known"
        )
        findings = (*findings, _one_repeat(recording.name))
    level = Level.given(
        grid,
        level_db,
        plane=plane,
        tags=tags,
        source=f"recording '{recording.name}', {len(used)} of {repeats} repeats",
        components=[_noise_component(recording.name, u, len(used)), calibration.component()],
        states=_marked(states, plane, grid, noticed, recording.name),
    )
    return SpeechReading(
        name=recording.name,
        level=level,
        percentiles={
            p: _percentile(level, 10 * np.log10(np.maximum(row * scale, 1e-12)), statistic)
            for (p, statistic), row in zip(
                PERCENTILES.items(), frames.percentile_power(list(PERCENTILES)), strict=True
            )
        },
        noise_db=noise_db,
        input_db_spl=input_db_spl,
        input_levels_db=None if input_db_spl is None else _input_levels(stimulus, input_db_spl, grid),
        repeats=len(used),
        findings=findings,
    )


def _noise_of_mean(used: FloatArray, mean: FloatArray, rate_hz: float, grid: Grid) -> FloatArray:
    """Noise power of the average: variance between repeats over their number, per band. Shape (n,). [FS²]."""
    count = len(used)
    total = np.zeros(grid.size)
    for period in used:
        total += third_octave_power(period - mean, rate_hz, centre_hz=grid.frequency_hz, periodic=True)
    return total / (count - 1) / count


def _noise_component(name: str, u_db: FloatArray, used: int) -> Component:
    return Component(
        f"noise:{name}",
        f"noise of '{name}'",
        u_db,
        "none",
        "A",
        "difference of repeats",
        float(max(used - 1, 1)),
    )


def _percentile(level: Level, level_db: FloatArray, statistic: Statistic) -> Level:
    return replace(
        level,
        level_db=level_db,
        tags=replace(level.tags, statistic=statistic),
        origin=replace(level.origin, level_db=level_db, label=f"{statistic} of {level.origin.label}"),
    )


def _input_levels(stimulus: Recording, overall_db_spl: float, grid: Grid) -> FloatArray:
    """Third-octave levels of the stimulus when its overall level is as declared. Shape (n,). [dB SPL]."""
    bands = third_octave_power(
        stimulus.samples_fs, stimulus.sampling_rate_hz, centre_hz=grid.frequency_hz, periodic=True
    )
    total = float(np.mean(stimulus.samples_fs**2))
    return overall_db_spl + 10 * np.log10(np.maximum(bands, 1e-15 * total) / total)


def _marked(states: States, plane: Plane, grid: Grid, noticed: Noticed, name: str) -> States:
    if isinstance(plane.detail, CouplerKind):
        for mark in (coupler_range(plane.detail, grid)[0], standing_wave(plane.detail, grid)[0]):
            states = states.marked(mark.state, mark.where, mark.reason)
    if noticed.clipped:
        states = states.marked(
            PointState.CLIPPED, np.ones(grid.size, bool), f"the recording '{name}' reaches full scale"
        )
    return states


def _one_repeat(name: str) -> Finding:
    return Finding(
        "noise_not_known",
        Severity.WARN,
        f"The recording '{name}' has one repeat, so its noise is not known.",
        "Record at least two repeats; silence would not do, a compressive aid has more gain in it.",
        "difference of repeats; own simulation in the tests",
    )
