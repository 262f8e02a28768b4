"""Sessions: a plan names every method and source; a run follows it and each result names them back."""

from typing import TYPE_CHECKING

from umbo._later import later
from umbo.session._aid_plan import AidTest, AidTestPlan, AidTestRun, EnteredReadings
from umbo.session._aided import AidedMaximum, AidedSpeech
from umbo.session._drawing import DRAW_SEED, DRAWS
from umbo.session._earlier import Earlier, EarlierCurve, EarlierEar, EarlierRecd
from umbo.session._heard import HEARD_DRAWS, HeardPart, HeardSpeech, heard_speech
from umbo.session._hearing import Hearing, hearing_at_eardrum, predicted_at_eardrum
from umbo.session._plan import (
    AidState,
    Client,
    EarPlan,
    ImportedCurve,
    Plan,
    Recordings,
    StimulusPlan,
    Take,
    TargetSet,
    ThresholdSet,
)
from umbo.session._readings import Readings, read_all, read_take
from umbo.session._recds import MeasuredRecd, measured_recds
from umbo.session._result import EarResult, JudgedMaximum, JudgedSpeech, SessionResult, ToTry
from umbo.session._routes import OnEar, Route, Way
from umbo.session._run import run, run_recds

if TYPE_CHECKING:
    from umbo.session._aid_result import (
        AidChange,
        AidComparisons,
        AidInCoupler,
        AidResult,
        CheckSource,
        CurveComparison,
        DataSheetTests,
        FeatureTests,
        Unmeasured,
    )
    from umbo.session._aid_run import run_aid
    from umbo.session._compared import (
        ComparedEar,
        ComparedInput,
        ImportedBeside,
        PrescriptionComparison,
        compare_prescriptions,
    )
    from umbo.session._trying import Tried, try_change

__getattr__ = later(
    __name__,
    {
        "_aid_result": (
            "AidChange",
            "AidComparisons",
            "AidInCoupler",
            "AidResult",
            "CheckSource",
            "CurveComparison",
            "DataSheetTests",
            "FeatureTests",
            "Unmeasured",
        ),
        "_aid_run": ("run_aid",),
        "_compared": (
            "ComparedEar",
            "ComparedInput",
            "ImportedBeside",
            "PrescriptionComparison",
            "compare_prescriptions",
        ),
        "_trying": ("Tried", "try_change"),
    },
)

__all__ = [
    "DRAWS",
    "DRAW_SEED",
    "HEARD_DRAWS",
    "AidChange",
    "AidComparisons",
    "AidInCoupler",
    "AidResult",
    "AidState",
    "AidTest",
    "AidTestPlan",
    "AidTestRun",
    "AidedMaximum",
    "AidedSpeech",
    "CheckSource",
    "Client",
    "ComparedEar",
    "ComparedInput",
    "CurveComparison",
    "DataSheetTests",
    "EarPlan",
    "EarResult",
    "Earlier",
    "EarlierCurve",
    "EarlierEar",
    "EarlierRecd",
    "EnteredReadings",
    "FeatureTests",
    "HeardPart",
    "HeardSpeech",
    "Hearing",
    "ImportedBeside",
    "ImportedCurve",
    "JudgedMaximum",
    "JudgedSpeech",
    "MeasuredRecd",
    "OnEar",
    "Plan",
    "PrescriptionComparison",
    "Readings",
    "Recordings",
    "Route",
    "SessionResult",
    "StimulusPlan",
    "Take",
    "TargetSet",
    "ThresholdSet",
    "ToTry",
    "Tried",
    "Unmeasured",
    "Way",
    "compare_prescriptions",
    "heard_speech",
    "hearing_at_eardrum",
    "measured_recds",
    "predicted_at_eardrum",
    "read_all",
    "read_take",
    "run",
    "run_aid",
    "run_recds",
    "try_change",
]
