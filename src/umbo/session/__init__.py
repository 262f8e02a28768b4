"""Sessions: a plan names every method and source; a run follows it and each result names them back."""

from umbo.session._aided import AidedMaximum, AidedSpeech
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
from umbo.session._result import EarResult, JudgedMaximum, JudgedSpeech, SessionResult
from umbo.session._routes import OnEar, Route, Way
from umbo.session._run import run, run_recds

__all__ = [
    "AidState",
    "AidedMaximum",
    "AidedSpeech",
    "Client",
    "EarPlan",
    "EarResult",
    "Hearing",
    "ImportedCurve",
    "JudgedMaximum",
    "JudgedSpeech",
    "MeasuredRecd",
    "OnEar",
    "Plan",
    "Readings",
    "Recordings",
    "Route",
    "SessionResult",
    "StimulusPlan",
    "Take",
    "TargetSet",
    "ThresholdSet",
    "Way",
    "hearing_at_eardrum",
    "measured_recds",
    "predicted_at_eardrum",
    "read_all",
    "read_take",
    "run",
    "run_recds",
]
