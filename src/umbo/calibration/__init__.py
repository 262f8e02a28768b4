"""Calibration: from samples in full scale to sound pressures in pascals, and nothing else does that."""

from umbo.calibration._calibration import (
    DRIFT_STOP_DB,
    DRIFT_WARN_DB,
    MAX_AGE_DAYS,
    REFERENCE_PRESSURE_PA,
    Calibration,
    Drift,
)
from umbo.calibration._calibrator import CALIBRATOR_LEVELS_DB, calibration_from_calibrator
from umbo.calibration._probe_tube import ProbeTubeResponse, probe_tube_response
from umbo.calibration._recording import Recording
from umbo.calibration._spectrum import HarmonicSpectrum, PressureSpectrum, require_same_rate, sweep_spectrum

__all__ = [
    "CALIBRATOR_LEVELS_DB",
    "DRIFT_STOP_DB",
    "DRIFT_WARN_DB",
    "MAX_AGE_DAYS",
    "REFERENCE_PRESSURE_PA",
    "Calibration",
    "Drift",
    "HarmonicSpectrum",
    "PressureSpectrum",
    "ProbeTubeResponse",
    "Recording",
    "calibration_from_calibrator",
    "probe_tube_response",
    "require_same_rate",
    "sweep_spectrum",
]
