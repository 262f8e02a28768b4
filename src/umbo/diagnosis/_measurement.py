"""A measurement to be diagnosed, and what of it a fit can look at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.core import BoolArray, Component, CouplerKind, FloatArray, Level, PlaneKind, lies_within
from umbo.curves import NOT_MEASURED_BELOW_DB
from umbo.diagnosis._error_model import ErrorModel, covariance
from umbo.diagnosis._fit_grid import FIT_HZ, onto_fit_grid
from umbo.diagnosis._sound_source import SourceModel
from umbo.errors import OutOfRangeError, PlaneMismatchError

__all__ = ["Measurement"]

#: Uncertainty of a point by itself where the curve states none (assumed). [dB]
_POINT_U_DB = 0.5

#: Standard deviation that leaves a point out of a fit. [dB]
_LEFT_OUT_DB = 60.0

#: Noise limits a measurement where more than this share of the points from 250 Hz to 6 kHz is lost to it (assumed). [1]
_NOISE_SHARE = 0.25

_COUPLERS = (CouplerKind.HA1, CouplerKind.HA2, CouplerKind.HA4, CouplerKind.CC04)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Measurement:
    """Ear and coupler readings of one source, and what was declared.

    Parameters
    ----------
    ear : Level
        Reading at the probe tip. [dB SPL]
    coupler : Level
        Reading in the coupler, with the same source. [dB SPL]
    source : KnownSource or SourceClass or None
        The source; None where nothing is known of it, and every class is tried.
    age_months : float
        Declared age. [month]
    ear_noise_db, coupler_noise_db : array or None
        Noise of each reading on its grid, from repeats; None where it is not known. [dB SPL]

    Raises
    ------
    PlaneMismatchError
        If the readings are not at a probe tip and in a 2 cc or 0.4 cc coupler.
    OutOfRangeError
        For an age below zero.
    """

    ear: Level
    coupler: Level
    source: SourceModel | None
    age_months: float
    ear_noise_db: FloatArray | None = None
    coupler_noise_db: FloatArray | None = None

    def __post_init__(self) -> None:
        asked = "diagnose a measurement"
        if self.ear.plane.kind is not PlaneKind.PROBE_TIP or self.coupler.plane.detail not in _COUPLERS:
            raise PlaneMismatchError(
                asked,
                f"the readings are {self.ear.plane.phrase} and {self.coupler.plane.phrase}",
                "give one at a probe tip and one in a 2 cc or 0.4 cc coupler",
            )
        if not self.age_months >= 0:
            raise OutOfRangeError(asked, f"the age is {self.age_months:g} months", "give an age of 0 months or more")

    @property
    def declared(self) -> CouplerKind:
        """Coupler the label names."""
        return CouplerKind(str(self.coupler.plane.detail))

    def readings(self) -> Readings:
        """What a fit looks at."""
        ear = _seen(self.ear, self.ear_noise_db)
        coupler = _seen(self.coupler, self.coupler_noise_db)
        return Readings(coupler[0], ear[0], coupler[1], ear[1], coupler[2], ear[2])

    def is_noise_limited(self) -> bool:
        """Whether noise leaves too little of either reading to tell anything from its shape."""
        return any(
            _lost(level, noise) > _NOISE_SHARE
            for level, noise in ((self.ear, self.ear_noise_db), (self.coupler, self.coupler_noise_db))
        )


@dataclass(frozen=True, slots=True, eq=False)
class Readings:
    """Readings at the frequencies of the fit; arrays (n,).

    Parameters
    ----------
    coupler_db, ear_db : array (n,)
        Levels, held from the nearest known one where there is none. [dB SPL]
    coupler_u_db, ear_u_db : array (n,)
        Standard uncertainty of each point by itself. [dB]
    coupler_known, ear_known : array (n,), bool
        Where there is a reading.
    """

    coupler_db: FloatArray
    ear_db: FloatArray
    coupler_u_db: FloatArray
    ear_u_db: FloatArray
    coupler_known: BoolArray
    ear_known: BoolArray

    def observed(self) -> FloatArray:
        """Readings as one vector [coupler, ear]. [dB SPL]"""
        return np.concatenate([self.coupler_db, self.ear_db])

    def whitening(self, model: ErrorModel) -> FloatArray:
        """Matrix that makes their errors independent with standard deviation one."""
        coupler = np.where(self.coupler_known, self.coupler_u_db, _LEFT_OUT_DB)
        ear = np.where(self.ear_known, self.ear_u_db, _LEFT_OUT_DB)
        factor = np.linalg.cholesky(covariance(FIT_HZ, model, coupler, ear))
        return np.asarray(np.linalg.inv(factor))


def _seen(level: Level, noise_db: FloatArray | None) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Level, uncertainty and presence at the frequencies of the fit."""
    usable = level.states.is_usable & ~_drowned(level, noise_db)
    u_db = _by_itself(level.uncertainty.components, level.grid.size)
    value, u, known = onto_fit_grid(level.frequency_hz, level.level_db, u_db, usable)
    held = np.interp(np.log(FIT_HZ), np.log(FIT_HZ[known]), value[known]) if known.any() else np.zeros_like(value)
    return held, u, known


def _by_itself(components: tuple[Component, ...], size: int) -> FloatArray:
    """Uncertainty of each point by itself: causes that move each frequency on its own. [dB]"""
    square = sum((c.contribution_db**2 for c in components if c.across == "none"), np.zeros(size))
    return np.where(square > 0, np.sqrt(square), _POINT_U_DB)


def _drowned(level: Level, noise_db: FloatArray | None) -> BoolArray:
    if noise_db is None:
        return np.zeros(level.grid.size, bool)
    return np.asarray(level.level_db - noise_db < NOT_MEASURED_BELOW_DB)


def _lost(level: Level, noise_db: FloatArray | None) -> float:
    """Share of the points from 250 Hz to 6 kHz that noise takes. [1]"""
    inside = lies_within(level.frequency_hz, 250.0, 6000.0)
    drowned = _drowned(level, noise_db) | np.array([word == "below_noise" for word in level.states.words])
    return float(drowned[inside].mean()) if inside.any() else 1.0
