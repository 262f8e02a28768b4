"""The prescription of Berger and colleagues; the gain."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.prescription._straight_rules import straight_gain

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["BERGER_HZ", "berger_insertion_gain"]

#: Frequencies of the rule. [Hz]
BERGER_HZ = (500.0, 1000.0, 2000.0, 3000.0, 4000.0, 6000.0)


def berger_insertion_gain(frequency_hz: FloatArray, hearing_level_db: FloatArray) -> FloatArray:
    r"""Insertion gain by Berger.

    .. math:: IG(f) = H(f) / r(f), \quad r = 2,\ 1.6,\ 1.5,\ 1.7,\ 1.9,\ 2 \qquad (1)

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies out of :data:`BERGER_HZ`. [Hz]
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
    ``r`` belongs to 0.5, 1, 2, 3, 4 and 6 kHz. Additions for conductive losses, for reserve gain and for output are not
    implemented.

    References
    ----------
    Berger et al. (1984), as cited by Sammeth et al. 1993, J. Am. Acad. Audiol. 4, 33; the paper was not read.
    All constants from memory: check before use.
    """
    return straight_gain("Berger", "berger-undated", frequency_hz, hearing_level_db)  # Eq. (1)
