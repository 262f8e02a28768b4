"""The highest frequency at which a curve lies above zero, between what is known for sure and what is possible."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.audibility._draws import Draws, coverage_interval

if TYPE_CHECKING:
    from umbo.core import BoolArray, Difference, FloatArray

__all__ = ["Reach", "highest_hz", "reach_of"]


@dataclass(frozen=True, slots=True)
class Reach:
    """Up to which frequency speech lies above threshold.

    Parameters
    ----------
    at_least_hz : float or None
        Highest frequency at which it is known to; None if it is known to nowhere. [Hz]
    at_most_hz : float or None
        Frequency above which it does not, as far as was looked; 0 if it does nowhere, None if the curve ends before.
        [Hz]
    least_interval_hz, most_interval_hz : (float or None, float or None)
        Coverage intervals of 95 % of both, with the same meaning of None. [Hz]
    known_to_hz : float or None
        Highest frequency about which anything is known. [Hz]
    """

    at_least_hz: float | None
    at_most_hz: float | None
    least_interval_hz: tuple[float | None, float | None]
    most_interval_hz: tuple[float | None, float | None]
    known_to_hz: float | None

    @property
    def interval_hz(self) -> tuple[float | None, float | None]:
        """From the lower end of what is known to the upper end of what is possible. [Hz]"""
        return self.least_interval_hz[0], self.most_interval_hz[1]

    @property
    def relation(self) -> str:
        """How the result is meant: "equal", "at_least", "at_most", "nowhere" or "not_known"."""
        if self.known_to_hz is None:
            return "not_known"
        if self.at_most_hz == 0.0:
            return "nowhere"
        if self.at_most_hz is None:
            return "not_known" if self.at_least_hz is None else "at_least"
        return "equal" if self.at_least_hz == self.at_most_hz else "at_most"

    @property
    def phrase(self) -> str:
        """How a sentence says it, with its uncertainty."""
        low, high = (_kilohertz(end) for end in self.interval_hz)
        between = f"(95 %: {low or 'nowhere'} to {high or 'beyond what was measured'})"
        match self.relation:
            case "not_known":
                return "could not be compared with thresholds"
            case "nowhere":
                return f"above threshold nowhere up to {_kilohertz(self.known_to_hz)}"
            case "at_least":
                return f"above threshold up to at least {_kilohertz(self.at_least_hz)} {between}"
            case "at_most":
                return f"above threshold up to at most {_kilohertz(self.at_most_hz)} {between}"
        return f"above threshold up to {_kilohertz(self.at_most_hz)} {between}"


def reach_of(margin: Difference, is_known: BoolArray, is_bound: BoolArray, draws: Draws) -> Reach:
    """Find how far a margin above threshold reaches, with its uncertainty.

    Parameters
    ----------
    margin : Difference
        Level above threshold. [dB]
    is_known, is_bound : array (n,), bool
        Points at which it is known, and at which the true margin is at most that.
    draws : Draws
        Number and seed of the draws.

    Returns
    -------
    Reach
        Between what is known for sure (points that are not known, or bounds, do not count as audible) and what is
        possible (they do, as far as a bound allows). Points beyond the last one of which anything is known are left
        out.
    """
    told = np.flatnonzero(is_known | is_bound)
    if not told.size:
        return Reach(None, None, (None, None), (None, None), None)
    end = int(told[-1]) + 1
    hz, known, bound = margin.frequency_hz[:end], is_known[:end], is_bound[:end]

    def both(values: FloatArray) -> tuple[FloatArray, FloatArray]:
        sure = highest_hz(np.where(known, values, -np.inf), hz)
        possible = highest_hz(np.where(known | bound, values, np.inf), hz)
        return sure, np.where(values[..., -1] >= 0, np.inf, possible)

    least, most = both(margin.level_db[:end])
    least_drawn, most_drawn = both((margin.level_db + _errors_db(margin, draws))[:, :end])
    return Reach(
        _or_none(float(least)),
        None if np.isinf(most) else float(most),
        _ends(least_drawn),
        _ends(most_drawn),
        float(hz[-1]),
    )


def _errors_db(margin: Difference, draws: Draws) -> FloatArray:
    """Errors of this curve alone: causes that move each point by itself are drawn as one. Shape (draws, n). [dB]."""
    rng, causes = draws.generator(), margin.uncertainty.components
    alone = [cause.contribution_db**2 for cause in causes if cause.across == "none"]
    common = [cause.contribution_db for cause in causes if cause.across != "none"]
    total = rng.standard_normal((draws.n, margin.grid.size)) * np.sqrt(np.sum(alone, axis=0)) if alone else 0.0
    return np.asarray(total + rng.standard_normal((draws.n, len(common))) @ np.reshape(common, (-1, margin.grid.size)))


def highest_hz(margin_db: FloatArray, frequency_hz: FloatArray) -> FloatArray:
    """Highest frequency at which a margin is not negative; straight lines over log frequency between points.

    Parameters
    ----------
    margin_db : array (..., n)
        Margins; minus and plus infinity stand for "not audible" and "audible" without a number. [dB]
    frequency_hz : array (n,)
        Frequencies, ascending. [Hz]

    Returns
    -------
    array (...,)
        Frequency; 0 where the margin is negative everywhere. A line that starts or ends at infinity is audible up to
        its last audible point, or up to its first one that is not. [Hz]
    """
    audible = margin_db >= 0
    last = margin_db.shape[-1] - 1 - np.argmax(audible[..., ::-1], axis=-1)
    after = np.minimum(last + 1, margin_db.shape[-1] - 1)
    here, there = (np.take_along_axis(margin_db, i[..., np.newaxis], axis=-1)[..., 0] for i in (last, after))
    start = np.where(np.isfinite(here), here, 0.0)
    drop = np.where(np.isfinite(here) & (after > last), start - there, np.inf)
    part = np.where(np.isinf(here), 1.0, start / drop)
    log_hz = np.log(frequency_hz)
    crossing = np.exp(log_hz[last] + part * (log_hz[after] - log_hz[last]))
    return np.where(audible.any(axis=-1), crossing, 0.0)


def _ends(values_hz: FloatArray) -> tuple[float | None, float | None]:
    """Coverage interval of draws; None for an end that is nowhere (0) or open (infinite)."""
    low, high = coverage_interval(values_hz)
    return _or_none(low), _or_none(high)


def _or_none(value_hz: float) -> float | None:
    return value_hz if 0 < value_hz < np.inf else None


def _kilohertz(frequency_hz: float | None) -> str:
    return "" if frequency_hz is None else f"{frequency_hz / 1000:.2g} kHz"
