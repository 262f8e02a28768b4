"""DSL[i/o], core mapping: the normal range of levels onto an impaired one (Cornelisse, Seewald & Jamieson 1995)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from umbo.core import FloatArray

__all__ = ["DSL_IO_HZ", "dsl_io_output", "dsl_io_share"]

#: Frequencies the mapping is used at: those of an audiogram; the mapping itself is the same at all of them. [Hz]
DSL_IO_HZ = (250.0, 500.0, 750.0, 1000.0, 1500.0, 2000.0, 3000.0, 4000.0, 6000.0, 8000.0)


def dsl_io_share(
    input_db_spl: ArrayLike, *, normal_threshold_db_spl: ArrayLike, normal_limit_db_spl: ArrayLike
) -> FloatArray:
    r"""Where in the range of normal hearing a level lies: 0 at threshold, 1 at the upper limit and above it.

    .. math:: x = \min\left(\frac{I - I_{min}}{I_{max} - I_{min}}, 1\right), \quad I \ge I_{min} \qquad (1)

    Parameters
    ----------
    input_db_spl : array (...)
        Input level. [dB SPL]
    normal_threshold_db_spl, normal_limit_db_spl : array (...)
        Threshold and upper limit of comfortable levels in normal hearing, at the same place. [dB SPL]

    Returns
    -------
    array (...)
        The share. [1]

    Raises
    ------
    OutOfRangeError
        If the limit does not lie above the threshold, or the input lies below the threshold.
    """
    level = np.asarray(input_db_spl, dtype=np.float64)
    low, high = np.asarray(normal_threshold_db_spl, dtype=np.float64), np.asarray(normal_limit_db_spl, dtype=np.float64)
    asked = "map a level by DSL[i/o] 1995"
    if not np.all(high > low):
        raise OutOfRangeError(
            asked, "the normal upper limit does not lie above the normal threshold", "check both levels"
        )
    if not np.all(level >= low):
        raise OutOfRangeError(
            asked,
            "the input lies below the normal threshold, where the mapping begins",
            "ask for a level a normal ear can hear",
        )
    return np.minimum((level - low) / (high - low), 1.0)  # Eq. (1)


def dsl_io_output(
    share: ArrayLike, *, threshold_db_spl: ArrayLike, limit_db_spl: ArrayLike, exponent: float
) -> FloatArray:
    r"""Output level at which an impaired ear is given a sound, by the core mapping of 1995.

    .. math:: O = O_{min} + x^M\,(O_{max} - O_{min}) \qquad (2)

    ``M = 1`` is the fixed ratio: the compression ratio is the normal range over the impaired one. Other exponents bend
    the line (curvilinear).

    Parameters
    ----------
    share : array (...)
        From :func:`dsl_io_share`. [1], 0 to 1.
    threshold_db_spl, limit_db_spl : array (...)
        Threshold and upper limit of the impaired ear, at the same place. [dB SPL]
    exponent : float
        Exponent M. [1], above 0.

    Returns
    -------
    array (...)
        Output level; at the upper limit and above it, the limit. [dB SPL]

    Raises
    ------
    OutOfRangeError
        If the share or the exponent lies outside its range, or the limit does not lie above the threshold.

    Notes
    -----
    Implemented: the mapping between threshold and upper limit, and output limiting above (from memory). Not
    implemented, because no allowed source gave them: what the method does below the normal threshold; how it predicts
    the upper limit from thresholds; its own exponent as a function of hearing loss; its transforms and average speech
    spectra; anything a later version added.

    References
    ----------
    Cornelisse, L. E., Seewald, R. C. & Jamieson, D. G. (1995). J. Acoust. Soc. Am. 97, 1854-1864. From memory.
    """
    x = np.asarray(share, dtype=np.float64)
    low, high = np.asarray(threshold_db_spl, dtype=np.float64), np.asarray(limit_db_spl, dtype=np.float64)
    asked = "map a level by DSL[i/o] 1995"
    if not np.all((x >= 0.0) & (x <= 1.0)):
        raise OutOfRangeError(asked, "a share lies outside 0 to 1", "take it from dsl_io_share")
    if not np.isfinite(exponent) or exponent <= 0:
        raise OutOfRangeError(
            asked, f"the exponent is {exponent:g}, and it must lie above 0", "use 1 for a fixed ratio"
        )
    if not np.all(high > low):
        raise OutOfRangeError(
            asked,
            "the upper limit of this ear does not lie above its threshold",
            "check thresholds and discomfort levels",
        )
    return np.asarray(low + x**exponent * (high - low))  # Eq. (2)
