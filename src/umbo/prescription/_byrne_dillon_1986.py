"""NAL-R: the linear prescription of Byrne & Dillon (1986)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["NAL_R_HZ", "nal_r_constants", "nal_r_insertion_gain"]

#: Frequencies of the prescription. [Hz]
NAL_R_HZ = (250.0, 500.0, 750.0, 1000.0, 1500.0, 2000.0, 3000.0, 4000.0, 6000.0)


def nal_r_constants() -> tuple[dict[float, float], str]:
    """Constants k(f) of the method by frequency [Hz], in dB, and the table they come from."""
    table = refdata.table("nal_r", source="byrne-dillon-1986")
    hz, k = table.series("k_db")
    return dict(zip(hz.tolist(), k.tolist(), strict=True)), table.brief("k_db")


def nal_r_insertion_gain(frequency_hz: FloatArray, hearing_level_db: FloatArray) -> FloatArray:
    r"""Insertion gain by NAL-R.

    .. math:: X = 0.05\,(H_{500} + H_{1000} + H_{2000}) \qquad (1)
    .. math:: IG(f) = X + 0.31\,H(f) + k(f) \qquad (2)

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies out of :data:`NAL_R_HZ`; 500, 1000 and 2000 Hz must be among them. [Hz]
    hearing_level_db : array (..., n)
        Hearing levels. [dB HL], -20 to 130.

    Returns
    -------
    array (..., n)
        Insertion gain; negative values are returned as they come, a user of the gain decides about zero. [dB]

    Raises
    ------
    OutOfRangeError
        For a frequency without a constant, a missing octave, or a level outside the range.

    References
    ----------
    Byrne, D. & Dillon, H. (1986). Ear and Hearing 7, 257-265.
    """
    k, _ = nal_r_constants()
    frequencies = [float(f) for f in frequency_hz]
    strange = [f for f in frequencies if f not in k]
    if strange:
        raise OutOfRangeError(
            f"prescribe NAL-R gain at {strange[0]:g} Hz",
            "the method has constants at 250, 500, 750, 1000, 1500, 2000, 3000, 4000 and 6000 Hz",
            "leave that frequency out",
        )
    missing = [f for f in (500.0, 1000.0, 2000.0) if f not in frequencies]
    if missing:
        raise OutOfRangeError(
            "prescribe NAL-R gain",
            f"the threshold at {missing[0]:g} Hz is missing, and the method needs 500, 1000 and 2000 Hz",
            "measure it",
        )
    levels = np.asarray(hearing_level_db, dtype=np.float64)
    if np.any((levels < -20) | (levels > 130)):
        raise OutOfRangeError(
            "prescribe NAL-R gain", "a hearing level lies outside -20 to 130 dB HL", "check the entered thresholds"
        )
    at = [frequencies.index(f) for f in (500.0, 1000.0, 2000.0)]
    x = 0.05 * levels[..., at].sum(axis=-1, keepdims=True)  # Eq. (1)
    return np.asarray(x + 0.31 * levels + np.array([k[f] for f in frequencies]))  # Eq. (2)
