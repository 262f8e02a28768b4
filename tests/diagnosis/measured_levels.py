"""Readings of the measured ears as levels with tags, states and uncertainty."""

import numpy as np
from measured_ears import HZ

from umbo.core import Component, Ear, Grid, Level, Plane, PointState, Tags
from umbo.curves import COUPLER_RANGE_HZ
from umbo.diagnosis import Measurement


def level(values_db, plane, noise_db=1.0):
    tags = Tags(quantity="response", ear=Ear.RIGHT, stimulus="sweep", statistic=None, coupling=None, source=None)
    noise = Component(f"noise:{plane}", "noise", np.array([noise_db]), "none", "A", "simulated")
    return Level.given(
        Grid.twelfth_octave(), 60.0 + values_db, plane=plane, tags=tags, source="model", components=[noise]
    )


def as_measurement(measured, source):
    """A measurement to be diagnosed; the coupler's reading ends where its range does."""
    coupler = level(measured.coupler_db, Plane.coupler(measured.declared.value))
    beyond = COUPLER_RANGE_HZ[measured.declared] * 1.001 < HZ
    return Measurement(
        ear=level(measured.ear_db, Plane.probe_tip()),
        coupler=coupler.marked(PointState.OUTSIDE_COUPLER, beyond, "outside the coupler's range"),
        source=source,
        age_months=measured.age_months,
    )
