"""Levels at the drum for verdict tests."""

import numpy as np

from umbo.core import Bandwidth, Component, Ear, Grid, Level, Plane, Source, Statistic, Tags

HZ = (250.0, 500.0, 1000.0, 2000.0, 4000.0, 6000.0)


def level(values_db, *, u_db=0.0, across="full", cause="u", hz=HZ, bandwidth=Bandwidth.THIRD_OCTAVE, ear=Ear.RIGHT):
    """A level with one cause of error of constant size."""
    tags = Tags(
        quantity="speech 65 dB",
        ear=ear,
        stimulus="speech 65",
        statistic=Statistic.RMS,
        coupling=None,
        source=Source.AID,
    )
    component = Component(cause, cause, np.array([float(u_db)]), across, "B", "invented")
    return Level.given(
        Grid(np.array(hz), bandwidth),
        np.broadcast_to(np.asarray(values_db, dtype=float), len(hz)),
        plane=Plane.eardrum(),
        tags=tags,
        source="invented",
        components=[component],
    )


def difference(values_db, *, u_db=0.0, across="full", hz=HZ):
    """A difference from a level at zero."""
    return level(values_db, u_db=u_db, across=across, hz=hz).above(
        level(0.0, cause="other", hz=hz), quantity="deviation"
    )
