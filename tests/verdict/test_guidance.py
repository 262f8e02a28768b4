"""Guidances are named, never guessed, and each says what it speaks of."""

import numpy as np
import pytest
from eardrum_levels import HZ, difference, level

from umbo.core import Outcome
from umbo.errors import InputError
from umbo.verdict import (
    PROJECT_RULE,
    fit_to_target,
    guidance,
    guidances,
    match_to_target,
    rms_deviation,
    slope_deviation,
)


def test_every_guidance_says_whose_it_is_and_for_whom():
    keys = [one.key for one in guidances()]
    assert keys == ["bsa", "mccreery_2013", "wiseman_2023", PROJECT_RULE]
    for one in guidances():
        assert one.title
        assert one.whom
        assert one.status in one.attribution
        assert one.bands or one.rms_db is not None


def test_an_unknown_name_is_refused_with_those_that_exist():
    with pytest.raises(InputError, match="none of that name among bsa, mccreery_2013, wiseman_2023, project"):
        guidance("adult")


def test_tolerances_where_the_guidance_speaks_and_where_it_does_not():
    hz = np.array([125.0, 251.19, 2000.0, 2400.0, 2500.0, 3000.0, 4120.0, 6000.0])
    found = guidance("bsa").tolerance_at(hz)
    assert np.isnan(found[[0, -1]]).all()
    assert found[1:-1].tolist() == [5, 5, 5, 8, 8, 8]  # between the ranges the nearer one, geometric mean 2449 Hz
    assert guidance(PROJECT_RULE).tolerance_at(hz).tolist() == [5, 5, 5, 5, 8, 8, 8, 8]
    assert np.isnan(guidance("mccreery_2013").tolerance_at(hz)).all()


def test_a_frequency_of_which_the_guidance_says_nothing_is_compared_and_not_judged():
    deviation, judgement = match_to_target(
        level([0.0, 0, 0, 0, 0, 30.0]), level(0.0, cause="target"), "65", guidance=guidance("bsa")
    )
    assert deviation.value_at(6000) == 30.0
    assert judgement.outcome is Outcome.PASS
    assert judgement.sentence == (
        "Speech at 65 dB meets the target within tolerance at 5 frequencies. 1 more frequency was compared, of which "
        "the guidance says nothing."
    )


def test_nothing_the_guidance_speaks_of_cannot_be_told():
    hz = (6000.0, 8000.0)
    _, judgement = match_to_target(level(0.0, hz=hz), level(0.0, hz=hz), "65", guidance=guidance("bsa"))
    assert judgement.outcome is Outcome.CANNOT_TELL
    assert "at no frequency the guidance speaks of. 2 more frequencies were compared" in judgement.sentence
    assert judgement.action == "Compare at frequencies the guidance speaks of, or choose another guidance."


def test_an_unnamed_guidance_is_the_project_s_and_says_so():
    _, judgement = match_to_target(level(0.0), level(0.0), "65")
    assert judgement.source == guidance(PROJECT_RULE).attribution
    assert judgement.source.endswith("held below and above these frequencies, engineering judgement")


@pytest.mark.parametrize(
    ("key", "criteria"),
    [
        ("bsa", ["match_65", "slope_65"]),
        ("mccreery_2013", ["rms_65"]),
        ("wiseman_2023", ["rms_65"]),
        (PROJECT_RULE, ["match_65", "rms_65"]),
    ],
)
def test_a_fit_is_judged_by_the_criteria_the_guidance_has(key, criteria):
    deviation, judgements = fit_to_target(level(4.0), level(0.0, cause="t"), "65", guidance=guidance(key))
    assert [judgement.criterion for judgement in judgements] == criteria
    assert deviation.level_db.tolist() == [4.0] * 6
    assert [j.outcome for j in judgements if j.criterion == "rms_65"] == (
        [] if key == "bsa" else [Outcome.FAIL if key == "wiseman_2023" else Outcome.PASS]
    )


def test_a_criterion_the_guidance_has_not_is_refused():
    with pytest.raises(InputError, match="'bsa' has no rms criterion"):
        rms_deviation(difference(0.0), "65", guidance=guidance("bsa"))
    with pytest.raises(InputError, match="'wiseman_2023' has no slope criterion"):
        slope_deviation(difference(0.0), "65", guidance=guidance("wiseman_2023"))
    with pytest.raises(InputError, match="'mccreery_2013' has no tolerance per frequency"):
        match_to_target(level(0.0), level(0.0), "65", guidance=guidance("mccreery_2013"))
    with pytest.raises(InputError, match="give one of the two"):
        match_to_target(level(0.0), level(0.0), "65", guidance=guidance("bsa"), tolerance_db=np.full(len(HZ), 5.0))
