"""POGO: prescription of gain and output, of McCandless & Lyregaard (1983); the gain."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.prescription._straight_rules import straight_gain

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["POGO_HZ", "pogo_insertion_gain"]

#: Frequencies of the rule. [Hz]
POGO_HZ = (250.0, 500.0, 1000.0, 2000.0, 3000.0, 4000.0)


def pogo_insertion_gain(frequency_hz: FloatArray, hearing_level_db: FloatArray) -> FloatArray:
    r"""Insertion gain by POGO.

    .. math:: IG(f) = 0.5\,H(f) + c(f), \quad c(250) = -10, \quad c(500) = -5, \quad c = 0\ \mathrm{above} \qquad (1)

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
    The output part of the procedure (a limit from discomfort levels) is not implemented.

    References
    ----------
    McCandless, G. A. & Lyregaard, P. E. (1983). All constants from memory.
    """
    return straight_gain("POGO", "mccandless-lyregaard-1983", frequency_hz, hearing_level_db)  # Eq. (1)
