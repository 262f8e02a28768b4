"""Levels at one invented eardrum: speech in third octaves, thresholds of tones."""

import numpy as np

from umbo import refdata
from umbo.audibility import Effort, Procedure, bands, speech_spectrum_level
from umbo.core import Bandwidth, Component, Ear, Grid, Level, Plane, Statistic, Tags

THIRD = bands(Procedure.THIRD_OCTAVE)
GRID = Grid(THIRD.frequency_hz, Bandwidth.THIRD_OCTAVE)
MAP_HZ, MAP_DB = refdata.table("map_eardrum", source="bentler-pavlovic-1989").series("map_eardrum_db_spl")
AUDIOMETRIC_HZ = np.array([125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0])


def cause(name, size_db, across="full"):
    return Component(name, name, np.atleast_1d(np.asarray(size_db, dtype=float)), across, "B", "invented")


def tags(quantity, statistic, ear=Ear.RIGHT):
    return Tags(quantity=quantity, ear=ear, stimulus=None, statistic=statistic, coupling=None, source=None)


def bands_at_eardrum(level_db, *, hz=None, statistic=Statistic.RMS, causes=(), ear=Ear.RIGHT, quantity="speech"):
    grid = GRID if hz is None else Grid(np.asarray(hz, dtype=float), Bandwidth.THIRD_OCTAVE)
    values = np.broadcast_to(np.asarray(level_db, dtype=float), (grid.size,))
    return Level.given(
        grid, values, plane=Plane.eardrum(), tags=tags(quantity, statistic, ear), source="invented", components=causes
    )


def speech(*, raised_by_db=0.0, effort=Effort.NORMAL, causes=(), ear=Ear.RIGHT):
    """Standard speech at 1 m as it arrives at the average open ear, then raised."""
    spectrum = speech_spectrum_level(Procedure.THIRD_OCTAVE, effort, distance_m=1.0)
    return bands_at_eardrum(spectrum + THIRD.width_db + THIRD.to_eardrum_db + raised_by_db, causes=causes, ear=ear)


def threshold(hearing_level_db, *, hz=MAP_HZ, causes=(), ear=Ear.RIGHT):
    """Thresholds so many decibels above those of a normal ear, read from the table at its own frequencies."""
    hz = np.asarray(hz, dtype=float)
    normal = np.interp(np.log(hz), np.log(MAP_HZ), MAP_DB)
    values = normal + np.broadcast_to(np.asarray(hearing_level_db, dtype=float), hz.shape)
    return Level.given(
        Grid.tones(hz),
        values,
        plane=Plane.eardrum(),
        tags=tags("threshold", Statistic.THRESHOLD, ear),
        source="invented",
        components=causes,
    )


def responses(level):
    """Every tone was responded to."""
    return np.zeros(level.grid.size, dtype=bool)
