"""Discomfort levels measured at the eardrum, and such as are only predicted."""

import numpy as np
import pytest

from umbo.core import Ear, Grid, Level, Plane, PointState, Statistic, Tags
from umbo.ear import (
    CONSTANT_RULE,
    NO_DISCOMFORT,
    DiscomfortRule,
    discomfort_rule,
    eardrum_discomfort,
    predicted_discomfort,
    standard_audiogram,
)
from umbo.errors import InputError, NotPossibleHereError

HZ = (500.0, 1000.0, 2000.0, 4000.0)


def at_drum(level_db):
    tags = Tags(
        quantity="threshold", ear=Ear.RIGHT, stimulus=None, statistic=Statistic.THRESHOLD, coupling=None, source=None
    )
    return Level.given(Grid.tones(HZ), level_db, plane=Plane.eardrum(), tags=tags, source="invented")


def line(**change):
    given = {"name": "line", "scale": "HL", "slope": 0.5, "intercept_db": 80.0, "u_db": 8.0, "source": "invented"}
    return DiscomfortRule(**(given | change))


def test_the_shipped_rule_is_the_abstracts_number_with_a_wide_spread():
    rule = discomfort_rule(CONSTANT_RULE)
    assert (rule.intercept_db, rule.slope, rule.scale) == (100.0, 0.0, "SPL")  # Dirks & Kamm 1976, abstract read
    found = predicted_discomfort(at_drum([60, 70, 80, 90]), rule)
    assert found.level_db.tolist() == [100.0] * 4
    assert found.u_db == pytest.approx(10.0)  # engineering judgement
    assert (found.tags.quantity, found.tags.statistic) == ("predicted discomfort level", Statistic.LIMIT)
    assert "predicted by 'constant-100-db-spl', 100 dB SPL whatever the threshold" in found.explain(at=1000)


def test_no_other_rule_is_shipped():
    with pytest.raises(InputError, match="the only rule that umbo ships is 'constant-100-db-spl'"):
        discomfort_rule("by threshold")


def test_where_the_threshold_reaches_the_prediction_nothing_is_predicted():
    found = predicted_discomfort(at_drum([60, 99.9, 100, 120]), discomfort_rule(CONSTANT_RULE))
    assert [found.states.at(i) for i in range(4)] == [PointState.OK] * 2 + [PointState.WITHDRAWN] * 2


def test_a_bound_predicts_nothing():
    silent = at_drum([60, 70, 80, 90]).marked(PointState.WITHDRAWN, [False, False, False, True], "no response")
    found = predicted_discomfort(silent, line(scale="SPL"))
    assert found.state_at(4000) is PointState.WITHDRAWN


def test_a_line_of_ones_own_passes_the_thresholds_doubt_on():
    dial = standard_audiogram("N3", ear=Ear.RIGHT)
    found = predicted_discomfort(dial, line())
    assert found.plane == dial.plane
    assert found.value_at(1000) == pytest.approx(80 + 0.5 * 40)
    sure = predicted_discomfort(at_drum([60, 70, 80, 90]), line(scale="SPL"))
    assert sure.u_db == pytest.approx(8.0)
    doubted = eardrum_discomfort(HZ, (60, 70, 80, 90), ear=Ear.RIGHT, no_response=[False] * 4, source="x")
    assert predicted_discomfort(doubted, line(scale="SPL")).u_db == pytest.approx(
        np.sqrt(8.0**2 + 0.25 * (2.5**2 + 2.0**2))
    )


def test_a_rule_wants_its_scale():
    with pytest.raises(NotPossibleHereError, match="the rule wants thresholds in dB HL, and these are at the eardrum"):
        predicted_discomfort(at_drum([60, 70, 80, 90]), line())


@pytest.mark.parametrize("change", [{"slope": -0.1}, {"slope": 1.6}, {"u_db": 0.0}, {"intercept_db": float("inf")}])
def test_a_rule_that_is_none_is_refused(change):
    with pytest.raises(InputError, match="use the discomfort rule 'line'"):
        line(**change)


def test_measured_at_the_eardrum_needs_no_conversion():
    found = eardrum_discomfort(
        HZ, (105, 108, 110, 112), ear=Ear.LEFT, no_response=[False, False, False, True], source="entered, dB SPL"
    )
    assert (found.plane, found.unit) == (Plane.eardrum(), "dB SPL")
    assert found.level_db.tolist() == [105, 108, 110, 112]
    assert found.states.reasons(3) == (f"withdrawn: {NO_DISCOMFORT}",)
    assert found.u_db == pytest.approx(np.hypot(2.5, 2.0))
