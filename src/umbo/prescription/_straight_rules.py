"""What the rules have in common that are one straight line a frequency: slope on hearing level and constant."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.prescription._thresholds import checked_levels

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["straight_gain"]


def straight_gain(rule: str, source: str, frequency_hz: FloatArray, hearing_level_db: FloatArray) -> FloatArray:
    r"""Insertion gain of a tabulated rule that is a straight line at each frequency.

    .. math:: IG(f) = a(f)\,H(f) + c(f)

    Parameters
    ----------
    rule : str
        Name of the rule, for the sentence.
    source : str
        Source of its table ``simple_rules``.
    frequency_hz : array (n,)
        Tabulated frequencies. [Hz]
    hearing_level_db : array (..., n)
        Hearing levels. [dB HL], -20 to 130.

    Returns
    -------
    array (..., n)
        Insertion gain. [dB]

    Raises
    ------
    OutOfRangeError
        For a frequency without a constant, or a level outside the range.
    """
    table = refdata.table("simple_rules", source=source)
    known, _ = table.series("slope_on_hl")
    levels = checked_levels(rule, frequency_hz, hearing_level_db, known_hz=known.tolist())
    slope = np.array([table.at(float(f), "slope_on_hl") for f in frequency_hz])
    constant = np.array([table.at(float(f), "constant_db") for f in frequency_hz])
    return np.asarray(slope * levels + constant)
