"""Verdict: pass, fail or cannot tell, each with the sentence why."""

from umbo.verdict._caution import LOUD_SOUND_CAUTIONS, caution_findings, caution_level_db
from umbo.verdict._change import Change, Watched, change_between, change_since
from umbo.verdict._contrast import Contrast, contrast
from umbo.verdict._drawn import DrawnCount, DrawnCriterion, DrawnRms, VerdictDraws
from umbo.verdict._draws import SpeechToDraw, draw_verdicts, with_shares
from umbo.verdict._fit import fit_to_target
from umbo.verdict._guidance import PROJECT_RULE, Guidance, ToleranceBand, guidance, guidances
from umbo.verdict._joint import joint_draws, joint_factor
from umbo.verdict._judgement import (
    BoundOutcome,
    Judgement,
    PointJudgement,
    judge_above_limit,
    judge_at_most,
    judge_within,
)
from umbo.verdict._match import audible_speech, match_to_target
from umbo.verdict._maximum import maximum_output, no_maximum_output
from umbo.verdict._maximum_points import maximum_hz
from umbo.verdict._recd_expiry import RecdExpiry, recd_expiry, recd_lifetime
from umbo.verdict._rms import RMS_HZ, rms_deviation, rms_error, rms_u_db
from umbo.verdict._share_words import share_text, share_words
from umbo.verdict._slope import SLOPE_HZ, slope_db_per_octave, slope_deviation, slope_difference
from umbo.verdict._suggest import Suggestion, output_margin, suggest_changes, total_change
from umbo.verdict._swapped import mirror_parts, swapped_ears
from umbo.verdict._two_ears import EarComparison, compare_aided, compare_recds, compare_sii
from umbo.verdict._verdict import Verdict, conclude
from umbo.verdict._what_if import WhatIf, what_if

__all__ = [
    "LOUD_SOUND_CAUTIONS",
    "PROJECT_RULE",
    "RMS_HZ",
    "SLOPE_HZ",
    "BoundOutcome",
    "Change",
    "Contrast",
    "DrawnCount",
    "DrawnCriterion",
    "DrawnRms",
    "EarComparison",
    "Guidance",
    "Judgement",
    "PointJudgement",
    "RecdExpiry",
    "SpeechToDraw",
    "Suggestion",
    "ToleranceBand",
    "Verdict",
    "VerdictDraws",
    "Watched",
    "WhatIf",
    "audible_speech",
    "caution_findings",
    "caution_level_db",
    "change_between",
    "change_since",
    "compare_aided",
    "compare_recds",
    "compare_sii",
    "conclude",
    "contrast",
    "draw_verdicts",
    "fit_to_target",
    "guidance",
    "guidances",
    "joint_draws",
    "joint_factor",
    "judge_above_limit",
    "judge_at_most",
    "judge_within",
    "match_to_target",
    "maximum_hz",
    "maximum_output",
    "mirror_parts",
    "no_maximum_output",
    "output_margin",
    "recd_expiry",
    "recd_lifetime",
    "rms_deviation",
    "rms_error",
    "rms_u_db",
    "share_text",
    "share_words",
    "slope_db_per_octave",
    "slope_deviation",
    "slope_difference",
    "suggest_changes",
    "swapped_ears",
    "total_change",
    "what_if",
    "with_shares",
]
