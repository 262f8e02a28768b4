"""Joining criteria and findings: never verified without maximum output, speech target, or against a stop."""

from itertools import product

import pytest

from umbo.core import Finding, Outcome, Severity
from umbo.verdict import Judgement, conclude


def judged(criterion, outcome=Outcome.PASS):
    return Judgement(criterion, outcome, f"{criterion} is {outcome}.", "" if outcome is Outcome.PASS else "Do it.", "x")


COMPLETE = ("match_65", "rms_65", "maximum_output")


def found(severity):
    return Finding("odd", severity, "Something is odd.", "Look at it.", "x")


def test_everything_passes():
    verdict = conclude([judged(name) for name in COMPLETE], [found(Severity.WARN), found(Severity.INFO)])
    assert verdict.is_verified
    assert verdict.reasons == tuple(f"{name} is pass." for name in COMPLETE)
    assert verdict.actions == ()


@pytest.mark.parametrize("outcomes", list(product(Outcome, repeat=3)))
def test_outcome_is_the_worst(outcomes):
    verdict = conclude([judged(n, o) for n, o in zip(COMPLETE, outcomes, strict=True)], [])
    order = [Outcome.PASS, Outcome.CANNOT_TELL, Outcome.FAIL]
    assert verdict.outcome is max(outcomes, key=order.index)
    assert verdict.is_verified is all(o is Outcome.PASS for o in outcomes)


@pytest.mark.parametrize(
    ("left_out", "sentence"),
    [
        ({"maximum_output"}, "No maximum output was measured: nothing is verified without it."),
        ({"match_65", "rms_65"}, "No speech was compared with a target."),
    ],
)
def test_not_verified_without(left_out, sentence):
    verdict = conclude([judged(name) for name in COMPLETE if name not in left_out], [])
    assert verdict.outcome is Outcome.CANNOT_TELL
    assert verdict.reasons == (sentence,)
    assert len(verdict.actions) == 1


@pytest.mark.parametrize("left_out", ["match_65", "rms_65"])
def test_one_criterion_of_speech_is_enough_where_the_guidance_has_one(left_out):
    assert conclude([judged(name) for name in COMPLETE if name != left_out], []).is_verified


def test_a_stop_forbids_a_pass_but_hides_no_failure():
    stop = found(Severity.STOP)
    verdict = conclude([judged(name) for name in COMPLETE], [stop])
    assert verdict.outcome is Outcome.CANNOT_TELL
    assert verdict.reasons == ("Something is odd.",)
    failed = conclude([*(judged(n) for n in COMPLETE[:2]), judged("maximum_output", Outcome.FAIL)], [stop])
    assert failed.outcome is Outcome.FAIL
    assert failed.reasons == ("maximum_output is fail.", "Something is odd.")


def test_what_failed_comes_first_and_nothing_twice():
    judgements = [
        judged("match_65", Outcome.CANNOT_TELL),
        judged("rms_65", Outcome.FAIL),
        judged("maximum_output", Outcome.FAIL),
    ]
    verdict = conclude(judgements, [])
    assert verdict.reasons == ("maximum_output is fail.", "rms_65 is fail.", "match_65 is cannot_tell.")
    assert verdict.actions == ("Do it.",)
    untold = conclude([judged(name, Outcome.CANNOT_TELL) for name in COMPLETE], [])
    assert untold.reasons[0] == "maximum_output is cannot_tell."


def test_nothing_judged():
    verdict = conclude([], [])
    assert verdict.outcome is Outcome.CANNOT_TELL
    assert len(verdict.reasons) == 2
