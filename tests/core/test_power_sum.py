"""Two incoherent sounds together: levels add as powers."""

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from umbo.core import Ear, Grid, Level, Plane, PlaneKind, Source, Statistic, Tags, power_sum
from umbo.testing import levels, planes, tags

PROPERTY = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@st.composite
def pairs(draw):
    """Two rms levels at one place that is no dial, on one grid, of one ear and coupling."""
    tagged = draw(tags(statistics=(Statistic.RMS,)))
    plane = draw(planes().filter(lambda plane: plane.kind is not PlaneKind.DIAL))
    one = draw(levels(plane=plane, tagged=tagged))
    return one, draw(levels(plane=plane, tagged=tagged, grid=one.grid))


@PROPERTY
@given(pairs())
def test_it_is_the_plain_formula(pair):
    one, other = pair
    total = power_sum(one, other, quantity="both")
    for k in range(one.grid.size):
        plain = 10 * math.log10(10 ** (one.level_db[k] / 10) + 10 ** (other.level_db[k] / 10))
        assert total.level_db[k] == pytest.approx(plain, abs=1e-9)


@PROPERTY
@given(pairs())
def test_order_does_not_matter(pair):
    one, other = pair
    left, right = power_sum(one, other, quantity="both"), power_sum(other, one, quantity="both")
    assert np.allclose(left.level_db, right.level_db, rtol=0, atol=1e-12)
    assert np.allclose(left.u_db, right.u_db)
    assert left.tags == right.tags
    assert left.states.words == right.states.words


@PROPERTY
@given(pairs())
def test_the_uncertainty_is_that_of_the_slope(pair):
    """Each cause moves the sum as it moves both sounds: checked against finite differences of the formula."""
    one, other = pair
    total = power_sum(one, other, quantity="both")
    step = 1e-4

    def sides(cause):
        for sound in pair:
            found = [c.contribution_db for c in sound.uncertainty.components if c.id == cause]
            yield sound.level_db, found[0] if found else np.zeros(sound.grid.size)

    def summed(cause, by):
        return 10 * np.log10(sum(10 ** ((values + by * change) / 10) for values, change in sides(cause)))

    for component in total.uncertainty.components:
        slope = (summed(component.id, step) - summed(component.id, -step)) / (2 * step)
        assert np.allclose(component.contribution_db, slope, atol=1e-5)


@PROPERTY
@given(pairs())
def test_it_inherits_place_and_grid(pair):
    one, other = pair
    total = power_sum(one, other, quantity="both")
    assert total.plane == one.plane
    assert total.grid == one.grid
    assert total.tags.ear == one.tags.ear
    assert total.unit == one.unit
    assert total.tags.quantity == "both"
    assert (total.level_db >= np.maximum(one.level_db, other.level_db) - 1e-9).all()


GRID = Grid.tones([1000])


def sound(level_db, stimulus, source=None, ear=None, plane=None):
    tagged = Tags(quantity=stimulus, ear=ear, stimulus=stimulus, statistic=Statistic.RMS, coupling=None, source=source)
    place = Plane.coupler("oes") if plane is None else plane
    return Level.given(GRID, [level_db], plane=place, tags=tagged, source="entered")


def test_two_equal_sounds_are_3_db_more():
    total = power_sum(sound(60, "speech"), sound(60, "noise"), quantity="both")
    assert total.level_db[0] == pytest.approx(60 + 10 * math.log10(2), abs=1e-12)


def test_the_tags_name_both_sounds():
    total = power_sum(sound(60, "speech", Source.AID, ear=Ear.LEFT), sound(60, "noise", Source.INSERT), quantity="both")
    assert total.tags.stimulus == "noise and speech"
    assert total.tags.source is None
    assert total.tags.ear is Ear.LEFT


def test_full_scale_adds_like_pressure():
    file = Plane(PlaneKind.FULL_SCALE)
    total = power_sum(sound(-20, "a", plane=file), sound(-20, "b", plane=file), quantity="both")
    assert total.unit == "dB FS"
    assert total.level_db[0] == pytest.approx(-20 + 10 * math.log10(2))


@pytest.mark.parametrize("level_db", [-5000.0, 5000.0])
def test_no_level_is_too_far_out_for_the_formula(level_db):
    total = power_sum(sound(level_db, "a"), sound(level_db - 4000, "b"), quantity="both")
    assert total.level_db[0] == pytest.approx(level_db)
