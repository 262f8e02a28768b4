"""S8: the check source of the morning, and what a drift of it says."""

from umbo.calibration import Drift
from umbo.core import Outcome, Severity
from umbo.verdict import Judgement, conclude

PASSED = (
    Judgement("match_65", Outcome.PASS, "Matched.", "", ""),
    Judgement("maximum_output", Outcome.PASS, "Low.", "", ""),
)


def test_drift_of_1_4_db_warns_and_does_not_block():
    finding = Drift(1.4).finding()
    assert finding is not None
    assert finding.severity is Severity.WARN
    assert "+1.4 dB" in finding.text
    assert conclude(PASSED, [finding]).is_verified


def test_drift_above_2_db_blocks():
    finding = Drift(-2.1).finding()
    assert finding is not None
    assert finding.severity is Severity.STOP
    verdict = conclude(PASSED, [finding])
    assert verdict.outcome is Outcome.CANNOT_TELL
    assert verdict.reasons == (finding.text,)


def test_small_drift_says_nothing():
    assert Drift(0.9).finding() is None
