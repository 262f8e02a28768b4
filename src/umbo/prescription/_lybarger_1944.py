"""The half-gain rule (attributed from memory to S. F. Lybarger, 1944)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.prescription._thresholds import checked_levels

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["HALF_GAIN_HZ", "half_gain_insertion_gain"]

#: Frequencies the rule is used at: those of an audiogram; the rule itself names none. [Hz]
HALF_GAIN_HZ = (250.0, 500.0, 750.0, 1000.0, 1500.0, 2000.0, 3000.0, 4000.0, 6000.0, 8000.0)


def half_gain_insertion_gain(frequency_hz: FloatArray, hearing_level_db: FloatArray) -> FloatArray:
    r"""Insertion gain by the half-gain rule.

    .. math:: IG(f) = 0.5\,H(f) \qquad (1)

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies out of :data:`HALF_GAIN_HZ`. [Hz]
    hearing_level_db : array (..., n)
        Hearing levels. [dB HL], -20 to 130.

    Returns
    -------
    array (..., n)
        Insertion gain; negative values are returned as they come, a user of the gain decides about zero. [dB]

    Raises
    ------
    OutOfRangeError
        For another frequency, or a level outside the range.

    References
    ----------
    The half-gain rule, attributed from memory to S. F. Lybarger (1944); no paper was read. Constants from memory.
    """
    table = refdata.table("simple_rules", source="half-gain-undated")
    levels = checked_levels("half-gain", frequency_hz, hearing_level_db, known_hz=HALF_GAIN_HZ)
    return np.asarray(table.at("slope_on_hl", "value") * levels + table.at("constant", "value"))  # Eq. (1)
