"""Imported curves: for users who have only what an analyser exported."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from umbo.core import Component, CouplerKind, Finding, FloatArray, Grid, Level, Plane, Severity, States, Tags
from umbo.curves._reading import BandReading, HarmonicCurve
from umbo.curves._speech import SpeechReading
from umbo.curves._trust import coupler_range, noise_marks, standing_wave

__all__ = ["IMPORTED_U_DB", "ImportedReading", "imported_speech"]

#: Standard uncertainty of an imported curve that states none: coupler microphone check within ±0.5 dB (engineering
#: judgement) joined with 0.5 dB of reading and rounding. [dB]
IMPORTED_U_DB = 0.7


@dataclass(frozen=True, slots=True, eq=False)
class ImportedReading:
    """A curve exported by another instrument.

    Parameters
    ----------
    name : str
        Name of the curve.
    frequency_hz, level_db : array (n,)
        The curve. [Hz], [dB SPL]
    u_db : array (n,) or None
        Its standard uncertainty, where stated. [dB]
    noise_level_db : array (n,) or None
        Noise in the same bands, where stated. [dB SPL]
    plane : Plane
        Where.
    tags : Tags
        What.
    """

    name: str
    frequency_hz: FloatArray
    level_db: FloatArray
    u_db: FloatArray | None
    noise_level_db: FloatArray | None
    plane: Plane
    tags: Tags

    @property
    def range_hz(self) -> tuple[float, float]:
        """Lowest and highest frequency of the curve. [Hz]."""
        return float(self.frequency_hz[0]), float(self.frequency_hz[-1])

    @property
    def findings(self) -> tuple[Finding, ...]:
        """That the curve was imported, and what it does not say."""
        missing = [
            what for what, value in (("uncertainty", self.u_db), ("noise", self.noise_level_db)) if value is None
        ]
        if not missing:
            return ()
        text = f"The imported curve '{self.name}' states no {' and no '.join(missing)}."
        if self.u_db is None:
            text += f" A standard uncertainty of {IMPORTED_U_DB:g} dB is assumed."
        action = "Export it too, or verify from recordings."
        return (Finding("imported_without_detail", Severity.INFO, text, action, "assumed"),)

    def on(self, grid: Grid) -> BandReading:
        """The curve on a grid: between its points interpolated, beyond its ends held, and marked so."""
        own = Grid(self.frequency_hz, grid.bandwidth)
        u = np.full(own.size, IMPORTED_U_DB) if self.u_db is None else self.u_db
        component = Component(
            f"imported:{self.name}", f"imported curve '{self.name}'", u, "full", "B", "stated or assumed"
        )
        states = States.ok(own.size)
        if self.noise_level_db is not None:
            for mark in noise_marks(self.level_db - self.noise_level_db, self.plane.phrase):
                states = states.marked(mark.state, mark.where, mark.reason)
        level = Level.given(
            own, self.level_db, plane=self.plane, tags=self.tags, source=f"imported curve '{self.name}'",
            components=[component], states=states,
        ).on(grid, method="log_frequency", outside="hold")  # fmt: skip
        if isinstance(self.plane.detail, CouplerKind):
            for mark in (
                coupler_range(self.plane.detail, grid)[0],
                standing_wave(self.plane.detail, grid)[0],
            ):
                level = level.marked(mark.state, mark.where, mark.reason)
        noise = self.noise_level_db
        on_grid = None if noise is None else np.interp(np.log(grid.frequency_hz), np.log(self.frequency_hz), noise)
        return BandReading(level, on_grid)

    def harmonics(self, grid: Grid) -> Mapping[int, HarmonicCurve]:  # noqa: ARG002  (the protocol's argument)
        """None: an imported curve has none."""
        return {}


def imported_speech(reading: ImportedReading, input_db_spl: float | None) -> SpeechReading:
    """Speech levels that another instrument exported, in third-octave bands; no percentiles and no known input bands.

    Parameters
    ----------
    reading : ImportedReading
        Third-octave levels; bands between the exported points are interpolated and marked.
    input_db_spl : float or None
        Overall level of the stimulus in the field. [dB SPL]
    """
    on_grid = reading.on(Grid.third_octave())
    return SpeechReading(
        name=reading.name,
        level=on_grid.level,
        percentiles={},
        noise_db=on_grid.noise_db,
        input_db_spl=input_db_spl,
        input_levels_db=None,
        repeats=1,
        findings=reading.findings,
    )
