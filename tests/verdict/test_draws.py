"""Draws of a full verdict: against the deterministic one, against closed forms, and in their algebra."""

from dataclasses import replace

import numpy as np
import pytest
from eardrum_levels import HZ, difference, level
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy import stats

from umbo.core import Bandwidth, Component, Outcome, PointState
from umbo.errors import InputError
from umbo.verdict import (
    Guidance,
    SpeechToDraw,
    ToleranceBand,
    draw_verdicts,
    fit_to_target,
    guidance,
    joint_factor,
    maximum_output,
    rms_u_db,
    share_text,
    share_words,
    with_shares,
)

N = len(HZ)
PROJECT, BSA = guidance("project"), guidance("bsa")
vectors = arrays(np.float64, N, elements=st.floats(-15, 15))
FEW = settings(max_examples=30, deadline=None)


def allowing(tolerance_db, *, rms_db=5.0, slope=5.0):
    band = (ToleranceBand(100.0, 10000.0, tolerance_db),)
    return Guidance("x", "x", "x", "x", "x", band, rms_db, slope, is_held=True)


def drawn(deviation, excess=None, *, chosen=PROJECT, n=10_000, seed=1):
    return draw_verdicts([SpeechToDraw("65", deviation)], excess, guidance=chosen, seed=seed, n=n)


def share(draws, criterion):
    return draws.share_of(criterion).share


@FEW
@given(d=vectors, e=vectors, chosen=st.sampled_from([PROJECT, BSA, guidance("wiseman_2023"), allowing(4.0)]))
def test_without_uncertainty_the_draws_are_the_verdict(d, e, chosen):
    target, limit = level(0.0, cause="target"), level(0.0, cause="limit")
    _, judgements = fit_to_target(level(d), target, "65", guidance=chosen)
    _, loudest = maximum_output(level(e), limit, is_child=False, limit_source="x")
    speech = SpeechToDraw.of("65", level(d), target)
    draws = draw_verdicts([speech], level(e).above(limit, quantity="e"), guidance=chosen, seed=1, n=7)
    outcomes = {j.criterion: j.outcome for j in (*judgements, loudest)}
    assert {c.criterion: c.share for c in draws.criteria} == {
        name: 1.0 if outcome is Outcome.PASS else 0.0 for name, outcome in outcomes.items()
    }
    assert draws.whole.share == float(all(outcome is Outcome.PASS for outcome in outcomes.values()))
    assert draws.whole.is_complete


def test_a_slope_is_per_octave_also_between_exact_frequencies():
    """Three exact third-octaves are 0.9966 octave: a step of 4.99 dB is 5.007 dB/octave."""
    hz = (501.187, 1000.0, 1995.262)
    for step, expected in ((4.98, 1.0), (4.99, 0.0)):
        steep = difference([0.0, 0.0, step], hz=hz)
        assert share(drawn(steep, chosen=BSA, n=3), "slope_65") == expected


@pytest.mark.parametrize(("d", "u"), [(0.0, 2.0), (4.0, 2.0), (-6.0, 1.0), (9.0, 2.0)])
def test_one_shared_cause_against_the_normal_distribution(d, u):
    """All bands move together, so the match is kept where one normal value lies within the smallest tolerance."""
    chosen = replace(PROJECT, bands=(ToleranceBand(250.0, 6000.0, 5.0),))
    expected = stats.norm.cdf(5.0, d, u) - stats.norm.cdf(-5.0, d, u)
    found = drawn(difference(d, u_db=u), chosen=chosen).share_of("match_65")
    assert found.share == pytest.approx(expected, abs=4 * found.standard_error + 1e-9)


def test_independent_causes_against_the_product():
    expected = (stats.norm.cdf(5.0, 2.0, 2.0) - stats.norm.cdf(-5.0, 2.0, 2.0)) ** N
    found = drawn(difference(2.0, u_db=2.0, across="none"), chosen=allowing(5.0)).share_of("match_65")
    assert found.share == pytest.approx(expected, abs=4 * found.standard_error)


def test_a_value_at_the_limit_exceeds_it_in_half_of_the_draws_and_the_upper_edge_of_a_child_in_1_of_44():
    """JCGM 106 clause 8: simple acceptance at the limit; a guard band of two standard uncertainties leaves 2.3 %."""
    deviation = difference(0.0)
    assert share(drawn(deviation, difference(0.0, u_db=1.5)), "maximum_output") == pytest.approx(0.5, abs=0.02)
    guarded = share(drawn(deviation, difference(-3.0, u_db=1.5)), "maximum_output")
    assert guarded == pytest.approx(stats.norm.cdf(2.0), abs=0.006)


def test_a_cause_shared_by_two_curves_moves_both():
    """Too loud speech and too loud maximum output come together when one RECD error makes both."""
    excess = difference(0.0, u_db=2.0)  # one cause "u" moves both curves
    together = drawn(difference(5.0, u_db=2.0), excess, chosen=allowing(5.0, rms_db=None, slope=None)).whole.share
    other = level(0.0, u_db=2.0, cause="another").above(level(0.0, cause="x"), quantity="e")
    apart = drawn(difference(5.0, u_db=2.0), other, chosen=allowing(5.0, rms_db=None, slope=None)).whole.share
    assert together == pytest.approx(0.5, abs=0.02)
    assert apart == pytest.approx(0.25, abs=0.02)


def test_a_cause_without_correlation_is_one_draw_per_band_on_any_grid():
    """1995 Hz of one grid and 2000 Hz of the other are one band; 1000 Hz is another."""
    some = difference(0.0, u_db=1.0, across="none", hz=(1000.0, 1995.26))
    tones = level(0.0, u_db=1.0, across="none", hz=(2000.0, 4000.0), bandwidth=Bandwidth.TONE)
    curves = [some, tones.above(level(0.0, cause="x", hz=(2000.0, 4000.0), bandwidth=Bandwidth.TONE), quantity="e")]
    factor = joint_factor(curves)
    assert factor.T @ factor == pytest.approx(
        np.array([[1.0, 0, 0, 0], [0, 1, 1, 0], [0, 1, 1, 0], [0, 0, 0, 1]]), abs=1e-12
    )


@FEW
@given(full=arrays(np.float64, (9, 4), elements=st.floats(-3, 3)), none=arrays(np.float64, 4, elements=st.floats(0, 3)))
def test_the_factor_gives_the_covariance_of_each_curve(full, none):
    causes = [Component(f"f{i}", "x", row, "full", "B", "x") for i, row in enumerate(full)]
    curve = difference(0.0, hz=HZ[:4]).with_uncertainty(*causes, Component("n", "x", none, "none", "B", "x"))
    factor = joint_factor([curve])
    assert len(factor) <= 4
    assert factor.T @ factor == pytest.approx(curve.uncertainty.covariance_db2(), abs=1e-9)


@FEW
@given(d=vectors, u=st.floats(0, 5), tolerance=st.floats(0, 10), more=st.floats(0, 10))
def test_a_wider_tolerance_never_lowers_a_share(d, u, tolerance, more):
    excess = difference(d - 10.0, u_db=u)
    narrow, wide = (
        drawn(difference(d, u_db=u), excess, chosen=allowing(t, rms_db=t, slope=t or 0.1), n=200)
        for t in (tolerance, tolerance + more)
    )
    for one, other in zip((*narrow.criteria, narrow.whole), (*wide.criteria, wide.whole), strict=True):
        assert other.share >= one.share


@FEW
@given(d=vectors, u=st.floats(0, 5))
def test_the_whole_is_never_kept_more_often_than_a_part(d, u):
    draws = drawn(difference(d, u_db=u), difference(d - 5, u_db=u), n=200)
    assert draws.whole.share <= min(c.share for c in draws.criteria)
    assert draws.whole.share >= sum(c.share for c in draws.criteria) - len(draws.criteria) + 1 - 1e-9  # Bonferroni


@pytest.mark.parametrize("across", ["full", "none"])
@pytest.mark.parametrize("d", [0.0, 1.5, 6.0])
def test_the_spread_of_the_rms_agrees_with_its_uncertainty(across, d):
    """rms_u_db says: 3 % for large deviations, never smaller, at most 26 % too wide around zero."""
    deviation = difference(d, u_db=1.5, across=across)
    (rms,) = drawn(deviation).rms
    stated = rms_u_db(np.full(4, d), deviation.uncertainty.covariance_db2()[1:5, 1:5])
    assert 0.96 * rms.u_db <= stated <= 1.28 * rms.u_db
    if d == 6.0:
        assert stated == pytest.approx(rms.u_db, rel=0.03)
    assert rms.mean_db >= d - 0.05
    low, high = rms.interval_db()
    assert np.mean((rms.draws_db >= low) & (rms.draws_db <= high)) == pytest.approx(0.95, abs=0.001)


def test_mean_square_grows_by_the_mean_variance():
    """E(S) = (dᵀd + tr C)/n, as in rms_u_db."""
    (rms,) = drawn(difference(3.0, u_db=2.0, across="none")).rms
    assert np.mean(rms.draws_db**2) == pytest.approx(13.0, rel=0.02)


def test_what_cannot_be_used_makes_an_upper_bound():
    dead = difference(0.0, u_db=3.0).marked(PointState.BELOW_NOISE, np.array(HZ) == 6000, "x")
    draws = drawn(dead, difference(-20.0))
    match = draws.share_of("match_65")
    assert not match.is_complete
    assert not draws.whole.is_complete
    assert match.sentence.endswith(
        "consistent with the stated uncertainty; less often if what could not be used is counted."
    )
    assert draws.share_of("rms_65").is_complete
    four = difference(0.0).marked(PointState.BELOW_NOISE, np.array(HZ) == 4000, "x")
    assert drawn(four).share_of("rms_65") is None
    assert drawn(difference(0.0, hz=HZ[:3])).share_of("rms_65") is None
    assert not drawn(four, chosen=BSA).share_of("slope_65").is_complete


def test_nothing_is_complete_without_speech_or_maximum_output():
    assert not drawn(difference(0.0)).whole.is_complete
    loud = draw_verdicts([], difference(-9.0), guidance=PROJECT, seed=1, n=10)
    assert not loud.whole.is_complete
    assert loud.share_of("maximum_output").share == 1.0
    assert drawn(difference(0.0), difference(-9.0)).whole.is_complete
    none = difference(0.0).marked(PointState.CLIPPED, np.ones(N, dtype=bool), "x")
    assert drawn(none).share_of("match_65") is None


def test_audible_frequencies_are_counted():
    aided, target = level(60.0), level(60.0, cause="t")
    threshold = level([50.0, 50, 60, 70, 70, 50], u_db=2.0, cause="threshold").marked(
        PointState.WITHDRAWN, np.array(HZ) == 6000, "no response"
    )
    speech = SpeechToDraw.of("65", aided, target, threshold)
    (count,) = draw_verdicts([speech], None, guidance=PROJECT, seed=1).audible
    assert (count.criterion, count.of) == ("audible_65", 5)
    assert count.mean == pytest.approx(2.5, abs=0.02)
    alone = draw_verdicts([SpeechToDraw("65", None, speech.sensation)], None, guidance=PROJECT, seed=1)
    assert alone.audible[0].mean == pytest.approx(2.5, abs=0.02)
    assert alone.criteria == ()


def test_a_seed_makes_the_same_draws():
    one, same, other = (drawn(difference(4.0, u_db=2.0), n=500, seed=s) for s in (3, 3, 4))
    assert one.criteria == same.criteria
    assert one.criteria != other.criteria


def test_shares_stand_beside_judgements():
    deviation, judgements = fit_to_target(level(4.0, u_db=2.0), level(0.0, cause="t"), "65", guidance=PROJECT)
    draws = drawn(deviation)
    beside = with_shares(judgements, draws)
    assert [j.pass_share for j in beside] == [share(draws, "match_65"), share(draws, "rms_65")]
    assert [replace(j, pass_share=None) for j in beside] == list(judgements)
    dead = deviation.marked(PointState.CLIPPED, np.array(HZ) == 250, "x")
    assert with_shares(judgements, drawn(dead))[0].pass_share is None


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (1.0, "in all of 10000 draws"),
        (0.9999, "in more than 99 % of 10000 draws"),
        (0.87, "in 87 % of 10000 draws"),
        (0.004, "in fewer than 1 % of 10000 draws"),
        (0.0, "in none of 10000 draws"),
    ],
)
def test_words(value, words):
    assert share_words(value, 10_000) == words


@pytest.mark.parametrize(
    ("value", "text"),
    [(1.0, "100 %"), (0.9999, "> 99 %"), (0.991, "> 99 %"), (0.87, "87 %"), (0.004, "< 1 %"), (0.0, "0 %")],
)
def test_a_column_never_says_all_or_none_by_rounding(value, text):
    assert share_text(value) == text


def test_sentences():
    draws = drawn(difference(0.0), difference(-9.0), n=10)
    assert draws.whole.sentence == (
        "Every criterion is kept in all of 10 draws that are consistent with the stated uncertainty."
    )
    assert draws.criteria[0].sentence.startswith("This criterion is kept in all of 10 draws")


def test_what_cannot_be_drawn_is_refused():
    with pytest.raises(InputError, match="there are 0 curves to draw"):
        draw_verdicts([], None, guidance=PROJECT, seed=1)
    with pytest.raises(InputError, match="ask for at least one draw"):
        drawn(difference(0.0), n=0)
    with pytest.raises(InputError, match=r"has points closer than 1\.5 %"):
        drawn(difference(0.0, u_db=1.0, across="none", hz=(1000.0, 1005.0)))
    with pytest.raises(InputError, match="moves all frequencies together in one and each by itself in another"):
        drawn(difference(0.0, u_db=1.0), difference(0.0, u_db=1.0, across="none"))
