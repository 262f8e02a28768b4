"""The invented clients of scenarios.json, as objects of the public interface."""

import json
from pathlib import Path

import numpy as np

from umbo.core import (
    Bandwidth,
    Coupling,
    Ear,
    Grid,
    Level,
    Plane,
    Source,
    Statistic,
    Tags,
    Transducer,
    Transfer,
)
from umbo.ear import hearing_level

FILE = Path(__file__).with_name("scenarios.json")
SCENARIOS = json.loads(FILE.read_text(encoding="utf-8"))
TOLERANCE_DB = 0.1 + 1e-9


def client(name):
    """Inputs and expectations of one scenario."""
    found = next(s for s in SCENARIOS["scenarios"] if s["id"] == name)
    return found["inputs"], found["expect"]


def columns(values):
    """Frequencies and values of a table written as {"500": 60, ...}."""
    return np.array([float(hz) for hz in values]), np.array(list(values.values()), dtype=float)


def tags(quantity, *, ear=Ear.RIGHT, stimulus=None, statistic=None, coupling=None, source=None):
    return Tags(quantity=quantity, ear=ear, stimulus=stimulus, statistic=statistic, coupling=coupling, source=source)


def thresholds(values, *, transducer=Transducer.INSERT, ear=Ear.RIGHT, no_response=(), statistic=Statistic.THRESHOLD):
    hz, level = columns(values)
    coupling = Coupling.FOAM_TIP if transducer is Transducer.INSERT else None
    return hearing_level(
        hz,
        level,
        ear=ear,
        transducer=transducer,
        coupling=coupling,
        statistic=statistic,
        no_response=[f in no_response for f in hz],
        source="invented client",
    )


def recd(values, *, ear=Ear.RIGHT, coupler="ha1", coupling=Coupling.FOAM_TIP, bandwidth=Bandwidth.TONE):
    hz, level = columns(values)
    return Transfer.given(
        Grid(hz, bandwidth),
        level,
        start=Plane.coupler(coupler),
        end=Plane.eardrum(),
        tags=tags("RECD", ear=ear, coupling=coupling, source=Source.INSERT),
        source="measured, invented client",
    )


def coupler_output(values, *, ear=Ear.RIGHT, coupler="ha1", stimulus="speech 65", bandwidth=Bandwidth.THIRD_OCTAVE):
    hz, level = columns(values)
    return Level.given(
        Grid(hz, bandwidth),
        level,
        plane=Plane.coupler(coupler),
        tags=tags(stimulus, ear=ear, stimulus=stimulus, statistic=Statistic.RMS, source=Source.AID),
        source="measured, invented client",
    )


def gain(values, quantity, *, start=None, end=None):
    """A gain between the field and the eardrum."""
    hz, level = columns(values)
    return Transfer.given(
        Grid(hz, Bandwidth.THIRD_OCTAVE),
        level,
        start=start or Plane.free_field(),
        end=end or Plane.eardrum(),
        tags=tags(quantity),
        source="measured, invented client",
    )


def at(curve, values):
    """The curve's values at the frequencies of an expectation."""
    return [curve.value_at(float(hz)) for hz in values]
