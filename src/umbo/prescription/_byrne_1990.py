"""NAL-RP: the linear prescription revised for profound losses, of Byrne, Parkinson & Newall (1990)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.errors import OutOfRangeError
from umbo.prescription._byrne_dillon_1986 import NAL_R_HZ, nal_r_constants
from umbo.prescription._thresholds import OCTAVES_HZ, checked_levels, three_octave_sum

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from umbo.core import FloatArray

__all__ = ["nal_rp_insertion_gain", "nal_rp_profound_correction"]


def nal_rp_profound_correction(frequency_hz: FloatArray, threshold_2khz_db: ArrayLike) -> FloatArray:
    r"""Correction of the insertion gain for profound loss, by the threshold at 2 kHz.

    .. math:: PC(f) = \mathrm{table}(f, H_{2000}), \quad H_{2000} \ge 95; \qquad PC(f) = 0\ \mathrm{below} \qquad (1)

    Between two tabulated thresholds the correction is interpolated on a straight line (common practice, no source; the
    table stands in steps of 5 dB, as an audiogram does). At 95 dB HL it begins with a step.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies out of :data:`NAL_R_HZ`. [Hz]
    threshold_2khz_db : array (...)
        Hearing level at 2 kHz. [dB HL], -20 to 120.

    Returns
    -------
    array (..., n)
        Correction; positive in the low, negative in the high frequencies. [dB]

    Raises
    ------
    OutOfRangeError
        For a frequency without a column, or a threshold above the table: nothing is extrapolated.

    References
    ----------
    Byrne, D., Parkinson, A. & Newall, P. (1990). Ear and Hearing 11, 40-49. The table is from memory.
    """
    table = refdata.table("nal_rp_profound_correction", source="byrne-1990")
    begins = refdata.table("prescription_constants", source="byrne-1990").at("profound_from", "value")
    known_db = np.asarray(table.column("threshold_2khz_db_hl"))
    threshold = np.asarray(threshold_2khz_db, dtype=np.float64)
    strange = [float(f) for f in frequency_hz if float(f) not in NAL_R_HZ]
    if strange:
        raise OutOfRangeError(
            f"correct NAL-RP gain at {strange[0]:g} Hz",
            "the correction is tabulated at the frequencies of NAL-R",
            "leave that frequency out",
        )
    if not np.all((threshold >= -20.0) & (threshold <= known_db[-1])):
        raise OutOfRangeError(
            "correct NAL-RP gain for profound loss",
            f"a threshold at 2000 Hz lies outside -20 to {known_db[-1]:g} dB HL, where the correction is tabulated",
            "import a target of a method made for such losses",
        )
    columns = [np.asarray(table.column(f"pc_{f:.0f}_hz_db")) for f in frequency_hz]
    corrections = [np.where(threshold >= begins, np.interp(threshold, known_db, c), 0.0) for c in columns]  # Eq. (1)
    return np.stack(corrections, axis=-1)


def nal_rp_insertion_gain(frequency_hz: FloatArray, hearing_level_db: FloatArray) -> FloatArray:
    r"""Insertion gain by NAL-RP.

    .. math:: S = H_{500} + H_{1000} + H_{2000} \qquad (1)
    .. math:: X = 0.05\,S, \quad S \le 180; \qquad X = 9 + 0.116\,(S - 180), \quad S > 180 \qquad (2)
    .. math:: IG(f) = X + 0.31\,H(f) + k(f) + PC(f, H_{2000}) \qquad (3)

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies out of :data:`NAL_R_HZ`; 500, 1000 and 2000 Hz must be among them. [Hz]
    hearing_level_db : array (..., n)
        Hearing levels. [dB HL], -20 to 130; at 2 kHz to 120.

    Returns
    -------
    array (..., n)
        Insertion gain; negative values are returned as they come, a user of the gain decides about zero. [dB]

    Raises
    ------
    OutOfRangeError
        For a frequency without a constant, a missing octave, or a level outside the range.

    Notes
    -----
    More loss does not always give more gain: a higher threshold at 2 kHz takes gain from 1.5 kHz up, by the correction.

    References
    ----------
    Byrne, D., Parkinson, A. & Newall, P. (1990). Ear and Hearing 11, 40-49. Eq. (2): one public library and memory;
    the correction and the constants at 750, 1500 and 3000 Hz from memory.
    """
    k, _ = nal_r_constants()
    slope = refdata.table("prescription_constants", source="byrne-dillon-1986")
    severe = refdata.table("prescription_constants", source="byrne-1990")
    levels = checked_levels("NAL-RP", frequency_hz, hearing_level_db, known_hz=k, needed_hz=OCTAVES_HZ)
    total = three_octave_sum(frequency_hz, levels)  # Eq. (1)
    limit = severe.at("sum_limit", "value")
    above = severe.at("part_at_limit", "value") + severe.at("slope_above_limit", "value") * (total - limit)
    x = np.where(total <= limit, slope.at("slope_on_sum", "value") * total, above)  # Eq. (2)
    at_2khz = [float(f) for f in frequency_hz].index(2000.0)
    correction = nal_rp_profound_correction(frequency_hz, levels[..., at_2khz])
    constant = np.array([k[float(f)] for f in frequency_hz])
    return np.asarray(x + slope.at("slope_on_hl", "value") * levels + constant + correction)  # Eq. (3)
