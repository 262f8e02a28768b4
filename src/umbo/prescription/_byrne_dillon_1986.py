"""NAL-R: the linear prescription of Byrne & Dillon (1986)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.prescription._thresholds import OCTAVES_HZ, checked_levels, three_octave_sum

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
    Byrne, D. & Dillon, H. (1986). Ear and Hearing 7, 257-265. Slopes and the constants at octaves: one public library
    and memory; constants at 750, 1500 and 3000 Hz from memory.
    """
    k, _ = nal_r_constants()
    table = refdata.table("prescription_constants", source="byrne-dillon-1986")
    levels = checked_levels("NAL-R", frequency_hz, hearing_level_db, known_hz=k, needed_hz=OCTAVES_HZ)
    x = table.at("slope_on_sum", "value") * three_octave_sum(frequency_hz, levels)  # Eq. (1)
    return np.asarray(
        x + table.at("slope_on_hl", "value") * levels + np.array([k[float(f)] for f in frequency_hz])
    )  # Eq. (2)
