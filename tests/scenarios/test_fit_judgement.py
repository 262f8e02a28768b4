"""S1, S2, S6, S8 through the fit judgement: guidances, draws, suggestions, two ears, cautions."""

import numpy as np
import pytest
from invented_clients import TOLERANCE_DB, client, columns, coupler_output, recd, tags, thresholds

from umbo.core import Bandwidth, Ear, Grid, Level, Outcome, Plane, Source, Statistic
from umbo.verdict import (
    SpeechToDraw,
    caution_findings,
    compare_aided,
    compare_recds,
    conclude,
    draw_verdicts,
    fit_to_target,
    guidance,
    maximum_output,
    output_margin,
    suggest_changes,
    what_if,
)

S1, S1_EXPECTED = client("S1")
S2, S2_EXPECTED = client("S2")
S6, S6_EXPECTED = client("S6")


def at_eardrum(values, *, quantity="speech 65", bandwidth=Bandwidth.THIRD_OCTAVE, ear=Ear.RIGHT):
    hz, db = columns(values)
    described = tags(quantity, ear=ear, stimulus=quantity, statistic=Statistic.RMS, source=Source.AID)
    return Level.given(Grid(hz, bandwidth), db, plane=Plane.eardrum(), tags=described, source="invented client")


def s1_speech():
    return at_eardrum(S1_EXPECTED["REAR65"]), at_eardrum(S1["target65_eardrum"], quantity="target")


def s1_excess():
    output = at_eardrum(S1_EXPECTED["RESR"], quantity="maximum output", bandwidth=Bandwidth.TONE)
    limit = at_eardrum(S1["limit_eardrum"], quantity="limit", bandwidth=Bandwidth.TONE)
    return maximum_output(output, limit, is_child=True, limit_source="imported")


@pytest.mark.parametrize(
    ("key", "outcomes"),
    [
        ("mccreery_2013", {"rms_65": Outcome.PASS}),
        ("wiseman_2023", {"rms_65": Outcome.FAIL}),
        ("bsa", {"match_65": Outcome.PASS, "slope_65": Outcome.PASS}),
    ],
)
def test_s1_by_each_guidance(key, outcomes):
    """3.17 dB rms: within 5 dB, not within 3 dB; deviations -1.5/+1/-1/-6 have slopes +2.5/-2/-5 dB/octave."""
    deviation, judgements = fit_to_target(*s1_speech(), "65", guidance=guidance(key))
    expected = columns(S1_EXPECTED["deviation"])[1]
    assert deviation.level_db == pytest.approx(expected, abs=TOLERANCE_DB)
    assert {j.criterion: j.outcome for j in judgements} == outcomes
    for judgement in judgements:
        if judgement.criterion == "rms_65":
            assert judgement.value_db == pytest.approx(S1_EXPECTED["rms4"], abs=0.005)
            assert [b.outcome for b in judgement.bounds] == [Outcome.PASS, Outcome.FAIL]
        if judgement.criterion == "slope_65":
            assert [p.deviation_db for p in judgement.points] == pytest.approx([2.5, -2.0, -5.0])


def test_s1_is_not_verified_whatever_the_guidance():
    excess, loudest = s1_excess()
    assert excess.level_db == pytest.approx(columns(S1_EXPECTED["over_limit"])[1], abs=TOLERANCE_DB)
    assert [p.outcome is Outcome.FAIL for p in loudest.points] == [False, False, True, True]
    for key in ("mccreery_2013", "bsa", "project"):
        _, judgements = fit_to_target(*s1_speech(), "65", guidance=guidance(key))
        verdict = conclude([*judgements, loudest], [])
        assert verdict.outcome is Outcome.FAIL
        assert verdict.reasons == (loudest.sentence,)


def test_s1_draws_without_uncertainty_agree():
    deviation, _ = fit_to_target(*s1_speech(), "65", guidance=guidance("mccreery_2013"))
    excess, _ = s1_excess()
    draws = draw_verdicts([SpeechToDraw("65", deviation)], excess, guidance=guidance("mccreery_2013"), seed=1, n=10)
    assert {c.criterion: c.share for c in draws.criteria} == {"rms_65": 1.0, "maximum_output": 0.0}
    assert draws.whole.share == 0.0


def test_s1_more_gain_at_4_khz_waits_for_the_maximum_output():
    """By the rule of 5 dB at every frequency 4 kHz is 6 dB low, and its maximum output is 2 dB over the limit."""
    deviation, _ = fit_to_target(*s1_speech(), "65", guidance=guidance("project"))
    margin = output_margin(s1_excess()[0], deviation.frequency_hz, is_child=True)
    assert margin == pytest.approx(-columns(S1_EXPECTED["over_limit"])[1], abs=TOLERANCE_DB)
    (held,) = suggest_changes(deviation, np.full(4, 5.0), margin_db=margin)
    assert (held.frequency_hz, held.change_db) == ((4000.0,), 0.0)
    assert "lower the maximum output first" in held.sentence
    tried = what_if(deviation, np.array([0.0, 0, 0, 6]), "65", guidance=guidance("wiseman_2023"), margin_db=margin)
    assert tried.rms_after_db == pytest.approx(np.sqrt((1.5**2 + 1 + 1) / 4))
    assert tried.judgements[0].outcome is Outcome.PASS
    assert tried.cautions[0].startswith(
        "At 4000 Hz the maximum output, if it rises with the gain, would pass its limit"
    )


def test_s2_left_ear_stands_15_db_below_and_the_tube_explains_it():
    left, right = recd(S2["RECD_L"], ear=Ear.LEFT), recd(S2["RECD_R"])
    found = compare_recds(left, right)
    assert found.contrast.difference_db == pytest.approx(columns(S2_EXPECTED["L_minus_R"])[1], abs=TOLERANCE_DB)
    (finding,) = found.findings
    assert finding.code == "recd_ears_differ_much"
    assert "by more than 6 dB at 500, 750 Hz: left is 15.0 dB (u 0.0 dB) below right at 500 Hz" in finding.text
    assert "tympanogram" in finding.action
    known = compare_recds(left, right, known_reason="an open tube in the left ear").findings[0]
    assert known.action == "Use each ear's own RECD, and measure again when this changes."


def test_s6_output_passes_limit_and_caution_level():
    """3.5/12/17 dB over; 132 dB in the coupler is at the caution level, the eardrum is above it from 500 Hz up."""
    output = at_eardrum(S6_EXPECTED["RESR"], quantity="maximum output", bandwidth=Bandwidth.TONE)
    hz, limit_db = columns(S6_EXPECTED["UCL_eardrum"])
    known = output.on(Grid.tones(hz), method="log_frequency", outside="refuse")
    limit = at_eardrum(S6_EXPECTED["UCL_eardrum"], quantity="limit", bandwidth=Bandwidth.TONE)
    excess, judgement = maximum_output(known, limit, is_child=False, limit_source="discomfort levels")
    assert excess.level_db == pytest.approx(columns(S6_EXPECTED["over_UCL"])[1], abs=TOLERANCE_DB)
    assert limit_db == pytest.approx([118.5, 120.5, 121.0])
    assert judgement.outcome is Outcome.FAIL
    coupler = coupler_output(S6["OSPL90"], stimulus="maximum output", bandwidth=Bandwidth.TONE)
    at_level, above = caution_findings(coupler, output)
    assert at_level.code == "output_near_caution"
    assert "in the 2 cc coupler HA-1 reaches, within twice its uncertainty, 132 dB SPL at 1000 Hz" in at_level.text
    assert above.code == "output_above_caution"
    assert (above.from_hz, above.to_hz) == (500.0, 4000.0)


def test_s8_left_6_db_below_right_at_2_khz_with_equal_thresholds():
    hz = {"500": 80, "1000": 85, "2000": 88, "4000": 84}
    heard = {"500": 40, "1000": 45, "2000": 50, "4000": 55}
    left = at_eardrum(hz | {"2000": 82}, ear=Ear.LEFT)
    ears = {side: thresholds(heard, ear=side) for side in (Ear.LEFT, Ear.RIGHT)}
    (finding,) = compare_aided(left, at_eardrum(hz), ears[Ear.LEFT], ears[Ear.RIGHT]).findings
    assert finding.code == "aided_ears_differ"
    assert "left is 6.0 dB" in finding.text
    assert (finding.from_hz, finding.to_hz) == (2000.0, 2000.0)
