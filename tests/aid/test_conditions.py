"""Conditions, settings, constants and the rule of an outcome."""

import numpy as np
import pytest
from aid_parts import conditions, settings
from hypothesis import given
from hypothesis import strategies as st

from umbo import refdata
from umbo.aid import (
    HFA_HZ,
    Feature,
    InputRoute,
    Settings,
    StimulusKind,
    Switch,
    Volume,
    constant,
    constant_range,
    constant_source,
    judge_between,
)
from umbo.core import Bandwidth, Difference, Grid, Origin, Outcome, Plane, States, Tags, Uncertainty, worst
from umbo.core import Component as Cause
from umbo.errors import OutOfRangeError
from umbo.verdict import judge_within


def test_constants_are_the_table_s():
    """Conditions of ANSI S3.22, from memory: the table says so."""
    table = refdata.table("hearing_aid_test", source="ansi-s3.22-undated")
    assert constant("ospl90_input") == table.at("ospl90_input", "value") == 90
    assert tuple(constant(f"hfa_frequency_{n}") for n in (1, 2, 3)) == HFA_HZ
    assert constant_source("ospl90_input") == "ANSI S3.22 (from memory)"
    assert constant_source("directional_difference") == "engineering judgement"
    assert constant_source("remote_microphone_offset") == "American Academy of Audiology 2008 (from memory)"
    assert constant_range("directional_band") == (1000, 4000)
    with pytest.raises(OutOfRangeError, match="'ospl91' is not tabulated"):
        constant("ospl91")


def test_settings_say_what_speaks_against_a_verdict():
    set_to = Settings("p1", Volume.AS_FITTED, {Feature.DIRECTIONAL: Switch.ON})
    assert set_to.why_not(Feature.DIRECTIONAL, Switch.ON) == ""
    assert set_to.why_not(Feature.DIRECTIONAL, Switch.OFF) == (
        "the directional microphone was on, and this test needs it off"
    )
    assert set_to.why_not(Feature.EXPANSION, Switch.OFF) == "whether the expansion was off is not known"
    assert set_to.same_features(Settings("other name", Volume.AS_FITTED, {Feature.DIRECTIONAL: Switch.ON}))
    assert not set_to.same_features(Settings("p1", Volume.FULL_ON, {Feature.DIRECTIONAL: Switch.ON}))


def test_conditions_name_every_difference():
    one = conditions()
    other = conditions(
        StimulusKind.TONES,
        65.0,
        set_to=settings(Volume.FULL_ON),
        plane=Plane.coupler("cc04"),
        route=InputRoute.TELECOIL,
    )
    assert one.differences(conditions(run="earlier")) == ()
    found = one.differences(other)
    assert len(found) == 5
    assert "2 cc coupler HA-1, the other in the 0.4 cc coupler" in found[0]
    assert "a sweep, the other with steady tones" in found[1]
    assert one.phrase == "a sweep at 60 dB, in the 2 cc coupler HA-1, settings 'reference'"
    assert "through the telecoil" in other.phrase


@given(deviation=st.floats(-20, 20), u=st.floats(0, 5), size=st.floats(0.5, 10))
def test_rule_is_that_of_a_verdict(deviation, u, size):
    """The same three words for the same numbers as umbo.verdict gives a fitting."""
    tags = Tags(quantity="x", ear=None, stimulus=None, statistic=None, coupling=None, source=None)
    grid = Grid(np.array([1000.0]), Bandwidth.TONE)
    cause = Cause("x", "x", np.array([u]), "none", "B", "x")
    difference = Difference(
        grid=grid,
        level_db=np.array([deviation]),
        tags=tags,
        states=States.ok(1),
        uncertainty=Uncertainty.of(1, [cause]),
        origin=Origin("x", "x", "dB", grid.frequency_hz, np.array([deviation])),
        plane=Plane.eardrum(),
    )
    fitting = judge_within(difference, np.array([size]))[0].outcome
    assert judge_between(deviation, u, -size, size) == Outcome(str(fitting))
    assert {str(o) for o in Outcome} == {str(o) for o in Outcome}


def test_one_sided_bounds():
    assert judge_between(-100.0, 0.1, None, 3.0) is Outcome.PASS
    assert judge_between(3.1, 0.1, None, 3.0) is Outcome.CANNOT_TELL
    assert judge_between(3.3, 0.1, None, 3.0) is Outcome.FAIL
    assert judge_between(4.0, 0.1, 5.0, None) is Outcome.FAIL
    assert worst([Outcome.PASS, Outcome.CANNOT_TELL]) is Outcome.CANNOT_TELL
    assert worst([]) is Outcome.CANNOT_TELL
