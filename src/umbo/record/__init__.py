"""Records: what happened, as plain frozen data that can be stored, printed and exchanged."""

from umbo.record._answers import (
    AidedRun,
    ClosingRecord,
    EarVerification,
    JudgementRecord,
    PointRecord,
    RecdAnswer,
    ResponseAnswer,
    SpeechRun,
    TargetRecord,
    ThresholdRecord,
    VerdictRecord,
    VerifyAnswer,
)
from umbo.record._base import SCHEMA, Part
from umbo.record._case_answers import CAUTIONS, recd_answer, response_answer, verify_answer
from umbo.record._comparison import CouplerComparison, CouplerSide
from umbo.record._curves import (
    CurveRecord,
    ExplainLine,
    FindingRecord,
    GradedRecd,
    Harmonic,
    LimitRecord,
    ResponseRecord,
)

__all__ = [
    "CAUTIONS",
    "SCHEMA",
    "AidedRun",
    "ClosingRecord",
    "CouplerComparison",
    "CouplerSide",
    "CurveRecord",
    "EarVerification",
    "ExplainLine",
    "FindingRecord",
    "GradedRecd",
    "Harmonic",
    "JudgementRecord",
    "LimitRecord",
    "Part",
    "PointRecord",
    "RecdAnswer",
    "ResponseAnswer",
    "ResponseRecord",
    "SpeechRun",
    "TargetRecord",
    "ThresholdRecord",
    "VerdictRecord",
    "VerifyAnswer",
    "recd_answer",
    "response_answer",
    "verify_answer",
]
