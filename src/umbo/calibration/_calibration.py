"""Calibrations: the only way from full scale to pascals."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from umbo.calibration._probe_tube import ProbeTubeResponse
from umbo.core import Component, Finding, FloatArray, Severity
from umbo.errors import CalibrationError

__all__ = ["MAX_AGE_DAYS", "REFERENCE_PRESSURE_PA", "Calibration", "Drift"]

#: Reference sound pressure, ISO 1683. [Pa]
REFERENCE_PRESSURE_PA = 20e-6

#: A traceable calibration is due once a year (ASHA Evidence Map summary of BSA 2018). [d]
MAX_AGE_DAYS = 366

#: Limits of the daily check with a fixed source (engineering judgement, no published source). [dB]
DRIFT_WARN_DB = 1.0
DRIFT_STOP_DB = 2.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Calibration:
    """The pressure sensitivity of one microphone chain, dated, with its uncertainty.

    Parameters
    ----------
    name : str
        Name of the chain. It is the identity of the error: two readings through one chain share it.
    pa_per_full_scale : float
        Pressure of a sample of 1.0 (a peak value). [Pa]
    u_db : float
        Standard uncertainty of that factor. [dB]
    date : date
        When it was made.
    method : str
        How: "entered", "calibrator 94 dB at 1000 Hz", ...
    tube : ProbeTubeResponse or None
        Response of the probe tube before the microphone, where there is one that was calibrated apart.

    Raises
    ------
    CalibrationError
        If the factor or its uncertainty cannot be.
    """

    name: str
    pa_per_full_scale: float
    u_db: float
    date: dt.date
    method: str
    tube: ProbeTubeResponse | None = None

    def __post_init__(self) -> None:
        if not (np.isfinite(self.pa_per_full_scale) and self.pa_per_full_scale > 0):
            raise CalibrationError(
                f"use the calibration '{self.name}'",
                f"{self.pa_per_full_scale} pascals per full scale is no sensitivity",
                "give a positive factor",
            )
        if not (np.isfinite(self.u_db) and self.u_db >= 0):
            raise CalibrationError(
                f"use the calibration '{self.name}'",
                f"an uncertainty of {self.u_db} dB cannot be",
                "give the standard uncertainty in decibels, 0 or more",
            )

    def pressure_pa(self, samples_fs: FloatArray) -> FloatArray:
        """Sound pressure of samples. [FS] -> [Pa]"""
        return self.pa_per_full_scale * samples_fs

    def component(self) -> Component:
        """The error of the factor, as a cause with this chain's identity; one draw moves all frequencies."""
        return Component(
            id=f"calibration:{self.name}",
            label=f"calibration of {self.name}",
            contribution_db=np.array([self.u_db]),
            across="full",
            evaluation="B",
            source=f"{self.method}, {self.date.isoformat()}",
        )

    def age_finding(self, on: dt.date) -> Finding | None:
        """A finding when the calibration is older than a year, or lies after the measurement."""
        days = (on - self.date).days
        if days < 0:
            text = f"The calibration of {self.name} is dated {self.date}, after the measurement on {on}."
            return Finding("calibration_after", Severity.WARN, text, "Check both dates.", "common practice, no source")
        if days > MAX_AGE_DAYS:
            text = f"The calibration of {self.name} is {days} days old."
            return Finding(
                "calibration_old",
                Severity.WARN,
                text,
                "Have the microphone chain calibrated.",
                "ASHA Evidence Map summary of BSA 2018: annual traceable calibration",
            )
        return None


@dataclass(frozen=True, slots=True)
class Drift:
    """Change of a check source's level since an earlier reading.

    Parameters
    ----------
    change_db : float
        Level now minus level then. [dB]
    """

    change_db: float

    def finding(self) -> Finding | None:
        """A warning above 1 dB and a stop above 2 dB; nothing below."""
        size = abs(self.change_db)
        if size <= DRIFT_WARN_DB:
            return None
        severity = Severity.STOP if size > DRIFT_STOP_DB else Severity.WARN
        return Finding(
            "check_source_drift",
            severity,
            f"The check source reads {self.change_db:+.1f} dB against its earlier reading.",
            "Check microphone, seal and levelling before measuring on.",
            "common practice, no source",
        )
