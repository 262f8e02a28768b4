"""Speech and speech-like noise: third-octave levels, their percentiles in time, and the noise between repeats."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

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
from umbo.dsp import repeated_band_levels, split_repeats, subtract_noise_power, third_octave_power

__all__ = ["PERCENTILES", "SpeechReading", "speech_reading"]

#: Percentiles of the levels in 125 ms frames (IEC 60118-15, from memory). [%]
PERCENTILES = {30: Statistic.P30, 65: Statistic.P65, 99: Statistic.P99}

#: Length of a frame. [s]
_FRAME_S = 0.125


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
        Periods averaged. [1]
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
    difference of repeats. A first repeat that differs from the others beyond their noise is left out: a compressive aid
    starts it from silence.

    Parameters
    ----------
    recording : Recording
        ``repeats`` back-to-back periods of the stimulus.
    stimulus : Recording
        One period as it was played.
    calibration : Calibration
        Microphone chain.
    repeats : int
        Number of periods. [1]
    plane : Plane
        Where.
    tags : Tags
        What, with the statistic rms.
    noticed : Noticed
        What the recording's checks found.
    input_db_spl : float or None
        Overall level of the stimulus in the field. [dB SPL]
    """
    grid = Grid.third_octave()
    periods = split_repeats(recording.samples_fs, stimulus.samples_fs.size, repeats)
    bands = repeated_band_levels(
        periods, recording.sampling_rate_hz, percent=tuple(PERCENTILES), centre_hz=grid.frequency_hz
    )
    scale = (calibration.pa_per_full_scale / REFERENCE_PRESSURE_PA) ** 2
    used = int(bands.used.sum())
    states = _marked(States.ok(grid.size), plane, grid, noticed, recording.name)
    findings = noticed.findings if used > 1 else (*noticed.findings, _one_repeat(recording.name))

    def level(power: FloatArray, noise: FloatArray | None, statistic: Statistic, bins: FloatArray) -> Level:
        level_db, u_db, marked = _clean(
            power * scale, None if noise is None else noise * scale, bins, used, plane, states
        )
        return Level.given(
            grid,
            level_db,
            plane=plane,
            tags=replace(tags, statistic=statistic),
            source=f"recording '{recording.name}', {used} of {repeats} repeats",
            components=[_noise_component(recording.name, statistic, u_db, used), calibration.component()],
            states=marked,
        )

    noise_of = bands.percentile_noise_power
    frame_bins = bands.independent_bins * _FRAME_S * recording.sampling_rate_hz / periods.shape[1]
    return SpeechReading(
        name=recording.name,
        level=level(bands.mean_power, bands.noise_power, Statistic.RMS, bands.independent_bins),
        percentiles={
            p: level(bands.percentile_power[i], None if noise_of is None else noise_of[i], statistic, frame_bins)
            for i, (p, statistic) in enumerate(PERCENTILES.items())
        },
        noise_db=None if bands.noise_power is None else _decibel(bands.noise_power * scale),
        input_db_spl=input_db_spl,
        input_levels_db=None if input_db_spl is None else _input_levels(stimulus, input_db_spl, grid),
        repeats=used,
        findings=findings,
    )


def _clean(
    power: FloatArray, noise: FloatArray | None, bins: FloatArray, used: int, plane: Plane, states: States
) -> tuple[FloatArray, FloatArray, States]:
    """Level without noise (Equation 1), its standard uncertainty, and the states with what noise does to them."""
    if noise is None:
        reason = "one repeat only: its noise is not known"
        return _decibel(power), np.zeros(power.size), states.marked(PointState.NOISY, np.ones(power.size, bool), reason)
    bins = np.maximum(bins, 1.0)
    clean = subtract_noise_power(power, noise, independent_bins=bins, noise_dof=2 * bins * (used - 1))
    for mark in noise_marks(clean.over_noise_db, plane.phrase):
        states = states.marked(mark.state, mark.where, mark.reason)
    return _decibel(clean.power), clean.u_db, states


def _decibel(power: FloatArray) -> FloatArray:
    return np.asarray(10 * np.log10(np.maximum(power, 1e-12)))


def _noise_component(name: str, statistic: Statistic, u_db: FloatArray, used: int) -> Component:
    label, dof = f"noise of '{name}'", float(max(used - 1, 1))
    return Component(f"noise:{name}:{statistic}", label, u_db, "none", "A", "difference of repeats", dof)


def _input_levels(stimulus: Recording, overall_db_spl: float, grid: Grid) -> FloatArray:
    """Third-octave levels of the stimulus when its overall level is as declared. Shape (n,). [dB SPL]."""
    return np.asarray(overall_db_spl + _shares_db(stimulus, grid))


@lru_cache(maxsize=4)
def _shares_db(stimulus: Recording, grid: Grid) -> FloatArray:
    """Third-octave levels of a stimulus re its overall level, taken once for all recordings of it. Shape (n,). [dB]."""
    bands = third_octave_power(
        stimulus.samples_fs, stimulus.sampling_rate_hz, centre_hz=grid.frequency_hz, periodic=True
    )
    total = float(np.mean(stimulus.samples_fs**2))
    shares: FloatArray = 10 * np.log10(np.maximum(bands, 1e-15 * total) / total)
    shares.flags.writeable = False
    return shares


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
