"""From a pressure spectrum of a sweep to levels in bands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from umbo.calibration import REFERENCE_PRESSURE_PA, PressureSpectrum
from umbo.core import (
    Bandwidth,
    BoolArray,
    Component,
    CouplerKind,
    Finding,
    FloatArray,
    Grid,
    Level,
    Plane,
    PointState,
    States,
    Tags,
)
from umbo.curves._reading import BandReading, HarmonicCurve
from umbo.curves._trust import coupler_range, excitation_range, noise_marks, standing_wave
from umbo.dsp import band_edges_hz, band_mean_power, subtract_noise_power

__all__ = ["SweepReading", "averaging_fraction"]

#: A tone is read as the mean over a twelfth-octave around it.
_FRACTIONS = {Bandwidth.TONE: 12, Bandwidth.TWELFTH_OCTAVE: 12, Bandwidth.THIRD_OCTAVE: 3}

#: A harmonic is known where its power is at least this many times its noise (6 dB). [1]
_HARMONIC_OVER_NOISE = 4.0

#: Total harmonic distortion above which a reading is no longer the linear response (engineering judgement). [%]
NONLINEAR_PERCENT = 20.0


def averaging_fraction(grid: Grid) -> int:
    """Bands per octave a sweep response is averaged over for this grid. [1]."""
    return _FRACTIONS[grid.bandwidth]


@dataclass(frozen=True, slots=True, eq=False)
class SweepReading:
    """A calibrated sweep at one place.

    Parameters
    ----------
    spectrum : PressureSpectrum
        From :func:`umbo.calibration.sweep_spectrum`.
    plane : Plane
        Where.
    tags : Tags
        What.
    clipped : bool
        Whether the recording reached full scale: then no point may be believed.
    findings : tuple of Finding
        What was noticed about the recording.
    """

    spectrum: PressureSpectrum
    plane: Plane
    tags: Tags
    clipped: bool
    findings: tuple[Finding, ...]

    @property
    def name(self) -> str:
        """Name of the take."""
        return self.spectrum.take

    @property
    def range_hz(self) -> tuple[float, float]:
        """Range the sweep excites. [Hz]."""
        return self.spectrum.start_hz, self.spectrum.stop_hz

    def on(self, grid: Grid) -> BandReading:
        r"""Levels in the grid's bands, noise subtracted as power.

        .. math:: L = 10 \lg \frac{\overline{P} - \overline{N}}{(20\,\mu\mathrm{Pa})^2} \qquad (1)

        with the power response averaged over each band. Uncertainty: noise (type A, independent from band to band) and
        the calibration (type B, common to all).

        Parameters
        ----------
        grid : Grid
            Wanted bands.
        """
        spectrum, fraction = self.spectrum, averaging_fraction(grid)
        inside = _inside(grid, spectrum)
        power = self._bands(spectrum.power_pa2, grid, fraction, inside)
        states = States.ok(grid.size)
        if spectrum.noise_power_pa2 is None:
            level, u, noise_db = _decibel(power), np.zeros(grid.size), None
            reason = "one repeat only: its noise is not known"
            states = states.marked(PointState.NOISY, np.ones(grid.size, bool), reason)
        else:
            noise = self._bands(spectrum.noise_power_pa2, grid, fraction, inside)
            low, high = band_edges_hz(grid.frequency_hz, fraction)
            counts = np.maximum((high - low) * spectrum.independent_per_hz, 1.0)
            dof = 2 * counts * max(spectrum.used - 1, 1)
            clean = subtract_noise_power(power, noise, independent_bins=counts, noise_dof=dof)
            level, u, noise_db = _decibel(clean.power), clean.u_db, _decibel(noise)
            for mark in noise_marks(clean.over_noise_db, self.plane.phrase):
                states = states.marked(mark.state, mark.where, mark.reason)
        states = self._marked(states, grid)
        components = [self._noise_component(u), spectrum.calibration.component()]
        if spectrum.calibration.tube is not None:
            level = level - spectrum.calibration.tube.at(grid.frequency_hz)
            components.append(spectrum.calibration.tube.component())
        source = f"recording '{spectrum.take}', {spectrum.used} of {spectrum.repeats} repeats"
        reading = Level.given(
            grid, level, plane=self.plane, tags=self.tags, source=source, components=components, states=states
        )
        return BandReading(reading, noise_db)

    def _bands(self, values: FloatArray, grid: Grid, fraction: int, inside: BoolArray) -> FloatArray:
        """Band means; bands that were not excited hold the nearest one that was, and are marked elsewhere."""
        out = np.full(grid.size, REFERENCE_PRESSURE_PA**2)
        if inside.any():
            out[inside] = band_mean_power(self.spectrum.frequency_hz, values, grid.frequency_hz[inside], fraction)
            first, last = np.flatnonzero(inside)[[0, -1]]
            out[:first], out[last + 1 :] = out[first], out[last]
        floored: FloatArray = np.maximum(out, 1e-30)
        return floored

    def _noise_component(self, u_db: FloatArray) -> Component:
        dof = 2.0 * max(self.spectrum.used - 1, 1)
        source = "difference of repeats"
        return Component(f"noise:{self.name}", f"noise of '{self.name}'", u_db, "none", "A", source, dof)

    def _marked(self, states: States, grid: Grid) -> States:
        marks = [excitation_range(grid, self.spectrum.start_hz, self.spectrum.stop_hz)[0]]
        if isinstance(self.plane.detail, CouplerKind):
            marks += [coupler_range(self.plane.detail, grid)[0], standing_wave(self.plane.detail, grid)[0]]
        for mark in marks:
            states = states.marked(mark.state, mark.where, mark.reason)
        if self.clipped:
            reason = f"the recording '{self.name}' reaches full scale"
            states = states.marked(PointState.CLIPPED, np.ones(grid.size, bool), reason)
        return states

    def harmonics(self, grid: Grid) -> Mapping[int, HarmonicCurve]:
        """Harmonics relative to the fundamental on a grid, 0 dB = as strong as the fundamental."""
        spectrum, fraction = self.spectrum, averaging_fraction(grid)
        inside = _inside(grid, spectrum)
        fundamental = self._bands(spectrum.power_pa2, grid, fraction, inside)
        out = {}
        for order, harmonic in spectrum.harmonics.items():
            power = self._bands(harmonic.power_pa2, grid, fraction, inside)
            noise = self._bands(harmonic.noise_power_pa2, grid, fraction, inside)
            fits = inside & (grid.frequency_hz * order * 10 ** (0.15 / fraction) <= spectrum.stop_hz)
            known = fits & (power > _HARMONIC_OVER_NOISE * noise)
            relative = 10 * np.log10(np.maximum(power - noise, 1e-30) / fundamental)
            out[order] = HarmonicCurve(np.where(known, relative, 0.0), known)
        return out

    def renamed(self, quantity: str) -> SweepReading:
        """The same reading under another quantity."""
        return replace(self, tags=replace(self.tags, quantity=quantity))


def _inside(grid: Grid, spectrum: PressureSpectrum) -> BoolArray:
    half = 10 ** (0.15 / averaging_fraction(grid))
    low, high = spectrum.frequency_hz[0], spectrum.frequency_hz[-1]
    return np.asarray((grid.frequency_hz / half >= low) & (grid.frequency_hz * half <= high))


def _decibel(power_pa2: FloatArray) -> FloatArray:
    return 10 * np.log10(power_pa2 / REFERENCE_PRESSURE_PA**2)
