"""The one-third gain rule of Libby (1986)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.prescription._straight_rules import straight_gain

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["LIBBY_HZ", "libby_insertion_gain"]

#: Frequencies of the rule. [Hz]
LIBBY_HZ = (250.0, 500.0, 1000.0, 2000.0, 3000.0, 4000.0, 6000.0)


def libby_insertion_gain(frequency_hz: FloatArray, hearing_level_db: FloatArray) -> FloatArray:
    r"""Insertion gain by Libby.

    .. math:: IG(f) = H(f) / 3 + c(f) \qquad (1)

    with c = -5 dB at 250 Hz, -3 dB at 500 Hz, -5 dB at 6000 Hz, and 0 dB between.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies out of :data:`LIBBY_HZ`. [Hz]
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
    For mild to moderate loss; the steeper rule of the same author for severe loss is not implemented.

    References
    ----------
    Libby (1986), as cited by Sammeth et al. 1993, J. Am. Acad. Audiol. 4, 33; the paper was not read.
    All constants from memory: check before use.
    """
    return straight_gain("Libby", "libby-undated", frequency_hz, hearing_level_db)  # Eq. (1)
