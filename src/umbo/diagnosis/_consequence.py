"""What a cause costs in decibels: a fault too small to matter is no fault."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from math import erf, sqrt

import numpy as np

from umbo import refdata
from umbo.core import FloatArray, lies_within
from umbo.diagnosis._forward import Predicted
from umbo.diagnosis._parameters import ABSENT, Parameter

__all__ = ["Limit", "cost_db", "limits", "share_above"]

#: The parameter that is taken out of the model to see what a cause costs.
_TAKEN_OUT = {
    "leak": Parameter.LEAK_HEIGHT_M,
    "open_middle_ear": Parameter.HOLE_RADIUS_M,
    "effusion": Parameter.EFFUSION_M3,
    "coupler_leak": Parameter.COUPLER_LEAK_HEIGHT_M,
}

#: What else changes the level between probe and drum, and is not a matter of the probe's depth.
_OFF_THE_PROBE = (
    Parameter.ATTENUATION_DB,
    Parameter.CORNER_HZ,
    Parameter.PROBE_TUBE_LENGTH_M,
    Parameter.BORE_DEPTH_M,
    Parameter.HOLE_RADIUS_M,
)

#: Smallest standard uncertainty a cost is given: the models themselves are not better (assumed). [dB]
_LEAST_U_DB = 0.1


@dataclass(frozen=True, slots=True)
class Limit:
    """From which cost a cause counts, and where the cost is looked for.

    Parameters
    ----------
    limit_db : float
        Largest cost that is still nothing wrong. [dB]
    from_hz, to_hz : float
        Frequencies. [Hz]
    """

    limit_db: float
    from_hz: float
    to_hz: float

    def largest(self, frequency_hz: FloatArray, change_db: FloatArray) -> FloatArray:
        """Largest size of a change (rows, n) [dB] inside these frequencies (n,) [Hz], shape (rows,). [dB]"""
        inside = lies_within(frequency_hz, self.from_hz, self.to_hz)
        return np.asarray(np.abs(change_db[:, inside]).max(axis=1))


@lru_cache(maxsize=1)
def limits() -> dict[str, Limit]:
    """Limits by cause; a cause without one always counts."""
    table = refdata.table("diagnosis_consequence", source="engineering-judgement")
    columns = (table.column("limit_db"), table.column("from_hz"), table.column("to_hz"))
    rows = zip(table.text("cause"), *columns, strict=True)
    return {cause: Limit(float(limit), float(low), float(high)) for cause, limit, low, high in rows}


def cost_db(
    cause: str, frequency_hz: FloatArray, values: FloatArray, predict: Callable[[FloatArray], Predicted]
) -> FloatArray:
    """Cost of one cause under parameter sets.

    For a leak, an open or wet middle ear: how far the level at the drum moves. For a leaking coupler: how far its
    reading moves. For a source that drifts: by how much. For a probe: how far it reads from the level at the drum.

    Parameters
    ----------
    cause : str
        One with a limit.
    frequency_hz : array (n,)
        Frequencies. [Hz]
    values : array (rows, parameters)
        Parameter sets in the order of :class:`Parameter`.
    predict : callable
        The model.

    Returns
    -------
    array (rows,)
        Cost. [dB]
    """
    limit = limits()[cause]
    if cause == "source_drift":
        return np.abs(values[:, Parameter.DRIFT_DB])
    if cause not in _TAKEN_OUT:
        clean = values.copy()
        if cause == "shallow_probe":
            for parameter in _OFF_THE_PROBE:
                clean[:, parameter] = ABSENT.get(parameter, 0.0)
        at = predict(clean)
        return limit.largest(frequency_hz, at.ear_db - at.drum_db)
    without = values.copy()
    without[:, _TAKEN_OUT[cause]] = ABSENT.get(_TAKEN_OUT[cause], 0.0)
    there, away = predict(values), predict(without)
    change = there.coupler_db - away.coupler_db if cause == "coupler_leak" else there.drum_db - away.drum_db
    return limit.largest(frequency_hz, change)


def share_above(limit_db: float, cost: float, u_db: float) -> float:
    """Probability that a cost with a standard uncertainty lies above a limit.

    Parameters
    ----------
    limit_db, cost, u_db : float
        Limit, cost and its standard uncertainty. [dB]
    """
    return 0.5 * (1 + erf((cost - limit_db) / (sqrt(2) * max(u_db, _LEAST_U_DB))))
