"""Changing the frequency grid: the one explicit way, and what it marks."""

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from umbo.core import (
    AUDIOMETRIC_HZ,
    Bandwidth,
    Component,
    Grid,
    Level,
    Plane,
    PointState,
    Tags,
    Transfer,
)
from umbo.core._regrid import SAME_BAND, regrid
from umbo.errors import GridMismatchError, InputError
from umbo.testing import grids, transfers

PROPERTY = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
TAGS = Tags(quantity="RECD", ear=None, stimulus=None, statistic=None, coupling=None, source=None)

#: Nominal third-octave midband frequencies of IEC 61260-1, 125 Hz to 16 kHz (from memory). [Hz]
NOMINAL_HZ = (
    *(125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600),
    *(2000, 2500, 3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000),
)


def recd(grid, values, *parts):
    return Transfer.given(
        grid,
        values,
        start=Plane.coupler("ha1"),
        end=Plane.eardrum(),
        tags=TAGS,
        source="drawn",
        components=parts,
    )


def on(curve, grid, outside="refuse"):
    return curve.on(grid, method="log_frequency", outside=outside)


def test_nominal_names_take_exact_bands_over():
    exact = recd(Grid.third_octave(), np.arange(22.0) ** 2)
    nominal = on(exact, Grid(np.array(NOMINAL_HZ, dtype=float), Bandwidth.THIRD_OCTAVE))
    assert np.array_equal(nominal.level_db, exact.level_db)
    assert set(nominal.states.words) == {"ok"}


def test_audiometric_frequencies_lie_on_the_twelfth_octaves():
    fine = recd(Grid.twelfth_octave(), np.arange(85.0))
    coarse = on(fine, Grid.audiometric())
    assert set(coarse.states.words) == {"ok"}
    apart = np.abs(np.log(fine.frequency_hz[:, None] / np.array(AUDIOMETRIC_HZ)))
    assert coarse.level_db.tolist() == np.argmin(apart, axis=0).tolist()


@pytest.mark.parametrize(
    ("factor", "word", "value"),
    [
        (1.0149, "ok", 10.0),
        (1 / 1.0149, "ok", 10.0),
        (1.0151, "interpolated", None),
        (1 / 1.0151, "interpolated", None),
    ],
)
def test_the_limit_of_one_band_is_1_5_percent(factor, word, value):
    curve = on(recd(Grid.tones([500, 1000, 2000]), [0, 10, 5]), Grid.tones([1000 * factor]))
    assert curve.states.words == (word,)
    assert (curve.level_db[0] == value) if value is not None else (curve.level_db[0] < 10)


def test_between_points_it_is_straight_over_log_frequency():
    curve = on(recd(Grid.tones([500, 2000]), [4, 10]), Grid.tones([500, 1000, 2000]))
    assert np.allclose(curve.level_db, [4, 7, 10])
    assert curve.states.words == ("ok", "interpolated", "ok")
    assert curve.states.reasons(1) == ("interpolated: between its points (log frequency)",)


def test_beyond_the_ends_it_is_refused():
    with pytest.raises(GridMismatchError) as refusal:
        on(recd(Grid.tones([500, 2000]), [4, 10]), Grid.tones([250, 500, 4000]))
    assert str(refusal.value) == (
        "regrid the RECD: 250 Hz is wanted and the curve runs from 500 to 2000 Hz; ask for frequencies "
        "inside its range, or say that the last value may be held."
    )


def test_beyond_the_ends_it_is_held_only_when_asked_for_and_marked():
    curve = on(recd(Grid.tones([500, 2000]), [4, 10]), Grid.tones([250, 500, 4000]), outside="hold")
    assert curve.level_db.tolist() == [4, 4, 10]
    assert curve.states.words == ("extrapolated", "ok", "extrapolated")
    assert curve.states.reasons(2) == ("extrapolated: beyond the ends of the curve; last value held",)


def test_a_single_point_is_held_or_refused():
    one = recd(Grid.tones([1000]), [6])
    assert on(one, Grid.tones([990, 1010])).level_db.tolist() == [6, 6]
    assert on(one, Grid.tones([500, 2000]), outside="hold").states.words == ("extrapolated", "extrapolated")
    with pytest.raises(GridMismatchError):
        on(one, Grid.tones([500]))


def test_an_unknown_method_is_refused():
    with pytest.raises(InputError) as refusal:
        recd(Grid.tones([500]), [4]).on(Grid.tones([500]), method="spline", outside="refuse")
    assert str(refusal.value) == ("regrid the RECD: method='spline' is not known; use method='log_frequency'.")
    with pytest.raises(InputError) as refusal:
        on(recd(Grid.tones([500]), [4]), Grid.tones([500]), outside="extend")
    assert str(refusal.value) == (
        "regrid the RECD: outside='extend' is neither 'refuse' nor 'hold'; say which of the two is wanted "
        "beyond its ends."
    )


@PROPERTY
@given(grids(max_size=8), grids(max_size=8))
def test_weights_are_shares(old, new):
    plan = regrid(old, new, "curve", "hold")
    assert plan.index.shape == plan.weight.shape == (new.size, 2)
    assert np.allclose(plan.weight.sum(axis=1), 1.0)
    assert (plan.weight >= 0).all()
    assert ((plan.index >= 0) & (plan.index < old.size)).all()
    assert not (plan.is_interpolated & plan.is_outside).any()


@PROPERTY
@given(grids(min_size=2, max_size=8), grids(max_size=8), st.data())
def test_monotone_data_stay_monotone_and_within_bounds(old, new, data):
    steps = data.draw(st.lists(st.integers(0, 100), min_size=old.size, max_size=old.size))
    values = np.cumsum(steps) / 10
    curve = on(recd(old, values), Grid(new.frequency_hz, old.bandwidth), outside="hold")
    assert (np.diff(curve.level_db) >= -1e-9).all()
    assert curve.level_db.min() >= values.min() - 1e-9
    assert curve.level_db.max() <= values.max() + 1e-9


@PROPERTY
@given(transfers(), grids())
def test_each_new_point_is_taken_over_interpolated_or_held(curve, grid):
    """The plain rule, point by point."""
    again = on(curve, grid, outside="hold")
    x = np.log(curve.frequency_hz)
    for k, wanted in enumerate(np.log(grid.frequency_hz)):
        nearest = int(np.argmin(np.abs(x - wanted)))
        reasons = [reason.split(":")[0] for reason in again.states.reasons(k)]
        if abs(x[nearest] - wanted) < np.log(1 + SAME_BAND):
            assert again.level_db[k] == curve.level_db[nearest]
            assert again.states.at(k) == curve.states.at(nearest)
        elif wanted < x[0] or wanted > x[-1]:
            assert again.level_db[k] == curve.level_db[nearest]
            assert "extrapolated" in reasons
        else:
            assert again.level_db[k] == pytest.approx(np.interp(wanted, x, curve.level_db), abs=1e-9)
            assert "interpolated" in reasons


@PROPERTY
@given(transfers())
def test_the_same_frequencies_change_nothing(curve):
    again = on(curve, curve.grid)
    assert np.array_equal(again.level_db, curve.level_db)
    assert np.array_equal(again.u_db, curve.u_db)
    assert again.states.words == curve.states.words
    assert again.origin is curve.origin


@PROPERTY
@given(transfers(), grids())
def test_regridding_and_reversing_may_be_swapped(curve, grid):
    """Also for the identity of the causes: the two forms cancel against each other."""
    assume(curve.uncertainty.components)
    one, other = -on(curve, grid, outside="hold"), on(-curve, grid, outside="hold")
    assert np.allclose(one.level_db, other.level_db)
    assert not one.uncertainty.plus(other.uncertainty, -1.0).u_db.any()


def cause(size_db, across):
    return Component("x", "a cause", size_db, across=across, evaluation="B", source="assumed")


def test_a_cause_that_moves_all_frequencies_is_interpolated_as_the_curve_is():
    curve = recd(Grid.tones([500, 2000]), [0, 0], cause([0.4, 0.8], "full"))
    assert np.allclose(on(curve, Grid.tones([500, 1000, 2000])).u_db, [0.4, 0.6, 0.8])


def test_opposite_contributions_of_one_cause_cancel_between_two_points():
    curve = recd(Grid.tones([500, 2000]), [0, 0], cause([0.5, -0.5], "full"))
    assert np.allclose(on(curve, Grid.tones([500, 1000, 2000])).u_db, [0.5, 0.0, 0.5])


def test_noise_of_each_frequency_averages_between_two_points():
    curve = recd(Grid.tones([500, 2000]), [0, 0], cause([0.6, 0.8], "none"))
    expected = [0.6, np.hypot(0.3, 0.4), 0.8]
    assert np.allclose(on(curve, Grid.tones([500, 1000, 2000])).u_db, expected)


def test_noise_cancels_against_its_reverse_where_its_sum_is_nothing():
    """Halfway between +0.5 and −0.5 the sign is a matter of choice; reversed, it must be the other one."""
    curve, tones = recd(Grid.tones([500, 2000]), [0, 0], cause([0.5, -0.5], "none")), Grid.tones([1000])
    there, back = on(curve, tones), on(-curve, tones)
    assert np.allclose(there.u_db, np.hypot(0.25, 0.25))
    assert np.allclose(there.uncertainty.plus(back.uncertainty).u_db, 0)


def test_noise_still_cancels_after_regridding():
    """An RECD carries the coupler's noise with a minus sign; added to the coupler level, it is gone."""
    fine, tones = Grid.tones([500, 1000, 2000, 4000]), Grid.tones([500, 1414, 4000])
    noise = cause([0.3, 0.5, 0.4, 0.6], "none")
    coupler = Level.given(
        fine, [70, 71, 72, 73], plane=Plane.coupler("ha1"), tags=TAGS, source="drawn", components=[noise]
    )
    ear = Level.given(fine, [75, 77, 79, 81], plane=Plane.eardrum(), tags=TAGS, source="drawn")
    there = on(coupler, tones) + on(ear - coupler, tones)
    assert np.allclose(there.level_db, on(ear, tones).level_db)
    assert np.allclose(there.u_db, 0)


def test_the_plan_cannot_be_written_to():
    plan = regrid(Grid.tones([500, 1000]), Grid.tones([700]), "curve", "refuse")
    with pytest.raises(ValueError, match="read-only"):
        plan.weight[0, 0] = 0.0


def test_a_state_is_worse_than_being_interpolated():
    curve = recd(Grid.tones([500, 2000]), [0, 0]).marked(PointState.BELOW_NOISE, [False, True], "too quiet")
    assert on(curve, Grid.tones([500, 1000, 2000])).states.words == ("ok", "below_noise", "below_noise")


def level(bandwidth):
    grid = Grid(np.array([500.0, 1000.0]), bandwidth)
    return Level.given(grid, [60, 60], plane=Plane.eardrum(), tags=TAGS, source="entered")


@pytest.mark.parametrize("bandwidth", [Bandwidth.TONE, Bandwidth.THIRD_OCTAVE, Bandwidth.TWELFTH_OCTAVE])
def test_single_tones_stand_for_bands_and_back(bandwidth):
    wanted = Grid(np.array([500.0]), bandwidth)
    assert on(level(Bandwidth.TONE), wanted).grid == wanted
    assert on(level(bandwidth), Grid.tones([500])).grid == Grid.tones([500])
