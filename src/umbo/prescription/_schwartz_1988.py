"""POGO II: POGO for severe losses, of Schwartz, Lyregaard & Lundh (1988)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.prescription._straight_rules import straight_gain

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["pogo_ii_insertion_gain"]


def pogo_ii_insertion_gain(frequency_hz: FloatArray, hearing_level_db: FloatArray) -> FloatArray:
    r"""Insertion gain by POGO II.

    .. math:: IG(f) = 0.5\,H(f) + c(f) + 0.5\,\max(H(f) - 65, 0) \qquad (1)

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies out of :data:`POGO_HZ`. [Hz]
    hearing_level_db : array (..., n)
        Hearing levels. [dB HL], -20 to 130.

    Returns
    -------
    array (..., n)
        Insertion gain; negative values are returned as they come, a user of the gain decides about zero. [dB]

    Raises
    ------
    OutOfRangeError
        For a frequency without a constant, or a level outside the range.

    Notes
    -----
    The output part of the procedure is not implemented.

    References
    ----------
    Schwartz, D. M., Lyregaard, P. E. & Lundh, P. (1988). All constants from memory.
    """
    table = refdata.table("prescription_constants", source="schwartz-1988")
    earlier = straight_gain("POGO II", "mccandless-lyregaard-1983", frequency_hz, hearing_level_db)
    above = np.maximum(np.asarray(hearing_level_db, dtype=np.float64) - table.at("severe_from", "value"), 0.0)
    return np.asarray(earlier + table.at("extra_slope", "value") * above)  # Eq. (1)
