"""Third-octave levels of a steady random sound that nobody played: noise of an aid, of a box, of a microphone."""

from __future__ import annotations

import numpy as np

from umbo.calibration import REFERENCE_PRESSURE_PA, Calibration, Recording
from umbo.core import Component, CouplerKind, FloatArray, Grid, Level, Plane, PointState, States, Tags
from umbo.curves._reading import BandReading
from umbo.curves._trust import coupler_range, noise_marks, standing_wave
from umbo.dsp import band_edges_hz, check_clipping, subtract_noise_power, third_octave_power

__all__ = ["steady_noise"]

#: Excess of the filters' effective bandwidth on white noise (computed, order 6). [dB]
_FILTER_U_DB = 0.05


def steady_noise(
    recording: Recording, calibration: Calibration, *, background: Recording | None, plane: Plane, tags: Tags
) -> BandReading:
    r"""Read the level of a random sound, with the background taken out as power.

    .. math:: L = 10 \lg \frac{P - P_b}{(20\,\mu\mathrm{Pa})^2}, \qquad
       u(P) = \frac{P}{\sqrt{B\,T}} \qquad (1)

    with the bandwidth B of a third octave and the duration T (variance of the mean square of Gaussian noise).

    Parameters
    ----------
    recording : Recording
        The sound.
    calibration : Calibration
        Microphone chain.
    background : Recording or None
        The same with the source of the sound off: microphone and box alone.
    plane : Plane
        Where.
    tags : Tags
        What, with the statistic rms.

    Returns
    -------
    BandReading
        Third octaves from 125 Hz to 16 kHz, states and uncertainty set; its noise is the background.
    """
    grid = Grid.third_octave()
    scale = (calibration.pa_per_full_scale / REFERENCE_PRESSURE_PA) ** 2
    power = _power(recording, grid) * scale
    values = _independent(recording, grid)
    states = States.ok(grid.size)
    noise_db = None
    if background is None:
        level_db, u_db = _decibel(power), 10 / np.log(10) / np.sqrt(values)
        reason = "no recording of the background: microphone noise is in it"
        states = states.marked(PointState.NOISY, np.ones(grid.size, bool), reason)
    else:
        behind = _power(background, grid) * scale
        counts = _independent(background, grid)
        clean = subtract_noise_power(power, behind, independent_bins=values, noise_dof=2 * counts)
        # the sound itself is random too: its own share of the variance joins the background's
        u_db = np.hypot(clean.u_db, 10 / np.log(10) / np.sqrt(values))
        level_db, noise_db = _decibel(clean.power), _decibel(behind)
        for mark in noise_marks(10 * np.log10(np.maximum(power, 1e-30) / np.maximum(behind, 1e-30)), plane.phrase):
            states = states.marked(mark.state, mark.where, mark.reason)
    level = Level.given(
        grid, level_db, plane=plane, tags=tags, source=f"recording '{recording.name}'",
        components=[_component(recording.name, u_db), _filters(), calibration.component()],
        states=_marked(states, plane, grid, recording),
    )  # fmt: skip
    return BandReading(level, noise_db)


def _power(recording: Recording, grid: Grid) -> FloatArray:
    return third_octave_power(recording.samples_fs, recording.sampling_rate_hz, centre_hz=grid.frequency_hz)


def _independent(recording: Recording, grid: Grid) -> FloatArray:
    """Independent complex values of a band: bandwidth times duration."""
    low, high = band_edges_hz(grid.frequency_hz, 3)
    return np.maximum((high - low) * recording.duration_s, 1.0)


def _decibel(power: FloatArray) -> FloatArray:
    return np.asarray(10 * np.log10(np.maximum(power, 1e-12)))


def _component(name: str, u_db: FloatArray) -> Component:
    return Component(f"noise:{name}", f"randomness of '{name}'", u_db, "none", "A", "bandwidth times duration")


def _filters() -> Component:
    """The filters pass more of a white noise than their exact bandwidth."""
    source = "effective bandwidth of the Butterworth band-pass, order 6"
    return Component("filters:third_octave", "third-octave filters", np.array([_FILTER_U_DB]), "full", "B", source)


def _marked(states: States, plane: Plane, grid: Grid, recording: Recording) -> States:
    if isinstance(plane.detail, CouplerKind):
        for mark in (coupler_range(plane.detail, grid)[0], standing_wave(plane.detail, grid)[0]):
            states = states.marked(mark.state, mark.where, mark.reason)
    if check_clipping(recording.samples_fs, recording.sampling_rate_hz).found:
        reason = f"the recording '{recording.name}' reaches full scale"
        states = states.marked(PointState.CLIPPED, np.ones(grid.size, bool), reason)
    return states
