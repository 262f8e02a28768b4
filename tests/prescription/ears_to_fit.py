"""Invented ears, as a prescription sees them."""

import numpy as np

from umbo.core import Coupling, Ear, Grid, Level, Plane, PointState, States, Statistic, Tags, Transducer
from umbo.ear import field_to_eardrum, hearing_level
from umbo.prescription import EarToFit

AUDIOGRAM_HZ = (250.0, 500.0, 750.0, 1000.0, 1500.0, 2000.0, 3000.0, 4000.0, 6000.0)
ADULT_MONTHS = 480.0


def on_the_dial(level_db, *, hz=AUDIOGRAM_HZ, no_response=None, ear=Ear.RIGHT):
    """Thresholds as entered. [dB HL]"""
    return hearing_level(
        hz,
        level_db,
        ear=ear,
        transducer=Transducer.INSERT,
        coupling=Coupling.FOAM_TIP,
        statistic=Statistic.THRESHOLD,
        no_response=[False] * len(hz) if no_response is None else no_response,
        source="invented",
    )


def at_the_eardrum(level_db, *, hz=AUDIOGRAM_HZ, withdrawn=(), statistic=Statistic.THRESHOLD, components=()):
    """Thresholds or discomfort levels at the eardrum. [dB SPL]"""
    quantity = "threshold" if statistic is Statistic.THRESHOLD else "discomfort level"
    states = States.ok(len(hz)).marked(PointState.WITHDRAWN, [f in withdrawn for f in hz], "no response")
    return Level.given(
        Grid.tones(hz),
        level_db,
        plane=Plane.eardrum(),
        tags=Tags(quantity=quantity, ear=Ear.RIGHT, stimulus=None, statistic=statistic, coupling=None, source=None),
        source="invented",
        states=states,
        components=components,
    )


def ear_to_fit(level_db, *, hz=AUDIOGRAM_HZ, no_response=None, age_months=ADULT_MONTHS, **known):
    """An ear with thresholds on the dial, the average unaided gain, and what else is given."""
    parts = {"at_eardrum": None, "discomfort": None, "reug": field_to_eardrum(np.array(hz), ear=Ear.RIGHT)} | known
    return EarToFit(entered=on_the_dial(level_db, hz=hz, no_response=no_response), age_months=age_months, **parts)


def ear_with_range(threshold_db, discomfort_db, *, hz=AUDIOGRAM_HZ, withdrawn=(), **more):
    """An ear whose thresholds and discomfort levels are known at the eardrum. [dB SPL]"""
    return ear_to_fit(
        [40.0] * len(hz),
        hz=hz,
        at_eardrum=at_the_eardrum(threshold_db, hz=hz, withdrawn=withdrawn),
        discomfort=at_the_eardrum(discomfort_db, hz=hz, statistic=Statistic.LIMIT),
        **more,
    )
