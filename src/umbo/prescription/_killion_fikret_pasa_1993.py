"""FIG6: gain for soft, conversational and loud sounds, after Killion & Fikret-Pasa (1993)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.errors import OutOfRangeError
from umbo.prescription._thresholds import checked_levels

if TYPE_CHECKING:
    from umbo.core import FloatArray
    from umbo.refdata import Table

__all__ = ["FIG6_HZ", "fig6_insertion_gain"]

#: Frequencies the rule is used at: those of an audiogram; the rule itself is the same at all of them. [Hz]
FIG6_HZ = (250.0, 500.0, 750.0, 1000.0, 1500.0, 2000.0, 3000.0, 4000.0, 6000.0, 8000.0)


def fig6_insertion_gain(frequency_hz: FloatArray, hearing_level_db: FloatArray, input_db_spl: float) -> FloatArray:
    r"""Insertion gain by FIG6 for one input level.

    .. math:: G_{40} = \max(H - 20, 0) - 0.5\,\max(H - 60, 0) \qquad (1)
    .. math:: G_{65} = 0.6\,\max(H - 20, 0), \quad H \le 60; \qquad G_{65} = 0.8\,H - 23, \quad H > 60 \qquad (2)
    .. math:: G_{95} = 0.1\,\max(H - 40, 0)^{1.4} \qquad (3)
    .. math:: G_L = G_a + (G_b - G_a)\,\frac{L - a}{b - a}, \quad a \le L \le b \qquad (4)

    with (a, b) the two of 40, 65 and 95 dB SPL that enclose L.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies out of :data:`FIG6_HZ`. [Hz]
    hearing_level_db : array (..., n)
        Hearing levels. [dB HL], -20 to 130.
    input_db_spl : float
        Overall input level. [dB SPL], 40 to 95.

    Returns
    -------
    array (..., n)
        Insertion gain, never negative. [dB]

    Raises
    ------
    OutOfRangeError
        For another frequency, or a hearing or input level outside the range.

    Notes
    -----
    Eq. (4) is common practice, no source: the rule was stated for three inputs (from memory). Eq. (2) steps up by 1 dB
    at 60 dB HL. Above 110 dB HL Eq. (2) gives conversational speech more gain than Eq. (1) gives soft sounds: the rule
    was not meant for such losses.

    References
    ----------
    Killion, M. C. & Fikret-Pasa, S. (1993); Gitles, T. C. & Niquette, P. T. (1995). All constants from memory.
    """
    levels = checked_levels("FIG6", frequency_hz, hearing_level_db, known_hz=FIG6_HZ)
    table = refdata.table("prescription_constants", source="killion-fikret-pasa-1993")
    soft, average, loud = (table.at(f"{name}_input", "value") for name in ("soft", "average", "loud"))
    if not soft <= input_db_spl <= loud:
        raise OutOfRangeError(
            f"prescribe FIG6 gain for an input of {input_db_spl:g} dB SPL",
            f"the rule is stated from {soft:g} to {loud:g} dB SPL",
            "ask for a level in that range",
        )
    if input_db_spl <= average:
        share = (input_db_spl - soft) / (average - soft)
        return np.asarray((1 - share) * _soft(table, levels) + share * _average(table, levels))  # Eq. (4)
    share = (input_db_spl - average) / (loud - average)
    return np.asarray((1 - share) * _average(table, levels) + share * _loud(table, levels))  # Eq. (4)


def _soft(table: Table, levels: FloatArray) -> FloatArray:
    above_mild = np.maximum(levels - table.at("mild_from", "value"), 0.0)
    above_moderate = np.maximum(levels - table.at("moderate_from", "value"), 0.0)
    return np.asarray(above_mild - (1 - table.at("soft_slope_above", "value")) * above_moderate)  # Eq. (1)


def _average(table: Table, levels: FloatArray) -> FloatArray:
    lower = table.at("average_slope", "value") * np.maximum(levels - table.at("mild_from", "value"), 0.0)
    upper = table.at("average_slope_above", "value") * levels + table.at("average_constant_above", "value")
    return np.where(levels > table.at("moderate_from", "value"), upper, lower)  # Eq. (2)


def _loud(table: Table, levels: FloatArray) -> FloatArray:
    above = np.maximum(levels - table.at("loud_from", "value"), 0.0)
    power: FloatArray = above ** table.at("loud_exponent", "value")
    return table.at("loud_factor", "value") * power  # Eq. (3)
