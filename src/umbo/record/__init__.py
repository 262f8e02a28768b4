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
from umbo.record._targets_answer import (
    ConstantsRecord,
    EarTargets,
    ImportedLevels,
    InputTargets,
    MethodLevels,
    PrescriptionRecord,
    TargetsAnswer,
    WantedLevels,
)
from umbo.record._targets_record import TARGET_CAUTIONS, targets_answer

__all__ = [
    "CAUTIONS",
    "SCHEMA",
    "TARGET_CAUTIONS",
    "AidedRun",
    "ClosingRecord",
    "ConstantsRecord",
    "CouplerComparison",
    "CouplerSide",
    "CurveRecord",
    "EarTargets",
    "EarVerification",
    "ExplainLine",
    "FindingRecord",
    "GradedRecd",
    "Harmonic",
    "ImportedLevels",
    "InputTargets",
    "JudgementRecord",
    "LimitRecord",
    "MethodLevels",
    "Part",
    "PointRecord",
    "PrescriptionRecord",
    "RecdAnswer",
    "ResponseAnswer",
    "ResponseRecord",
    "SpeechRun",
    "TargetRecord",
    "TargetsAnswer",
    "ThresholdRecord",
    "VerdictRecord",
    "VerifyAnswer",
    "WantedLevels",
    "recd_answer",
    "response_answer",
    "targets_answer",
    "verify_answer",
]
