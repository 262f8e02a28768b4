"""Verdict: pass, fail or cannot tell, each with the sentence why."""

from umbo.verdict._judgement import (
    COVERAGE,
    Judgement,
    Outcome,
    PointJudgement,
    judge_above_limit,
    judge_within,
    worst,
)
from umbo.verdict._match import audible_speech, match_to_target
from umbo.verdict._maximum import maximum_output, no_maximum_output
from umbo.verdict._rms import RMS_HZ, rms_deviation, rms_error, rms_u_db
from umbo.verdict._verdict import Verdict, conclude

__all__ = [
    "COVERAGE",
    "RMS_HZ",
    "Judgement",
    "Outcome",
    "PointJudgement",
    "Verdict",
    "audible_speech",
    "conclude",
    "judge_above_limit",
    "judge_within",
    "match_to_target",
    "maximum_output",
    "no_maximum_output",
    "rms_deviation",
    "rms_error",
    "rms_u_db",
    "worst",
]
