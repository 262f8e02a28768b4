"""The speech intelligibility index of ANSI S3.5-1997, clause 4, on arrays whose last axis is the band.

Equation numbers are the standard's as a public implementation quotes them (5, 7, 9 to 14); 6 and 8 are from memory.
"""

from __future__ import annotations

from math import log
from typing import TYPE_CHECKING

import numpy as np

from umbo.audibility._procedures import Procedure, bands
from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = [
    "BINAURAL_DB",
    "NO_NOISE_DB",
    "band_audibility",
    "internal_noise_spectrum_level",
    "level_distortion_factor",
    "masking_spectrum_level",
    "speech_intelligibility_index",
]

#: Spectrum level that stands for "no noise" (ANSI S3.5-1997, note in 4.2, as a public implementation quotes it). [dB]
NO_NOISE_DB = -50.0

#: By how much two ears hear better than one: taken off the hearing threshold level (ANSI S3.5-1997 5.1.5, as a public
#: implementation quotes it). [dB]
BINAURAL_DB = 1.7

#: Levels that the functions take; wide enough for every draw of a simulation, too narrow for a wrong unit. [dB]
_RANGE_DB = 300.0

_NEPERS = log(10) / 10  # 10^(L/10) = exp(nepers L)


def masking_spectrum_level(speech_db: FloatArray, noise_db: FloatArray, procedure: Procedure) -> FloatArray:
    r"""Equivalent masking spectrum level: noise, speech that masks itself, and both spread upwards.

    .. math:: V_i = E_i - 24 \qquad (5)
    .. math:: B_i = \max(N_i, V_i) \qquad (6)
    .. math:: C_i = -80 + 0.6\,(B_i + 10 \lg \Delta f_i) \qquad (7)
    .. math:: Z_i = 10 \lg\left(10^{N_i/10} + \sum_{k<i} 10^{(B_k + 3.32\,C_k \lg(f_i/h_k))/10}\right) \qquad (8, 9)

    :math:`h_k` is the upper edge of band k. The lowest band has :math:`Z_1 = B_1`. For third octaves the standard
    writes :math:`10 \lg f_i - 6.353` for the bandwidth and :math:`0.89\,f_i/f_k` for the ratio. The octave procedure
    knows neither self-masking nor spread: :math:`Z_i = N_i`.

    Parameters
    ----------
    speech_db, noise_db : array (..., bands)
        Equivalent speech and noise spectrum levels, -300 to 300. [dB SPL per Hz]
    procedure : Procedure
        Which bands.

    Returns
    -------
    array (..., bands)
        Masking spectrum level Z. [dB SPL per Hz]

    Raises
    ------
    OutOfRangeError
        If there is not one level per band, or a level lies outside the range.

    References
    ----------
    ANSI S3.5-1997, 4.3.
    """
    speech, noise = _checked(procedure, speech_db, noise_db)
    if procedure is Procedure.OCTAVE:
        return np.array(noise)  # 4.3.1
    band = bands(procedure)
    masker = np.ascontiguousarray(np.moveaxis(np.maximum(noise, speech - 24.0), -1, 0))  # Eq. (5), (6)
    each = (slice(None), *(np.newaxis,) * (masker.ndim - 1))
    slope = 3.32 * (-80.0 + 0.6 * (masker + band.slope_width_db[each]))  # 3.32 times Eq. (7)
    reach = np.log10(band.frequency_hz / band.upper_hz[:, np.newaxis])  # row: masker k, column: masked band i
    power = np.exp(_NEPERS * np.moveaxis(noise, -1, 0))
    for k in range(band.size - 1):
        spread = slope[k] * reach[k, k + 1 :][each]
        spread += masker[k]
        spread *= _NEPERS
        power[k + 1 :] += np.exp(spread, out=spread)  # Eq. (8), (9)
    level = np.log(power) / _NEPERS
    level[0] = masker[0]  # 4.3.2.4
    return np.asarray(np.moveaxis(level, 0, -1))


def internal_noise_spectrum_level(threshold_db: FloatArray, procedure: Procedure) -> FloatArray:
    r"""Equivalent internal noise spectrum level: what a threshold does, as a noise that would do the same.

    .. math:: X'_i = X_i + T'_i \qquad (10)

    Parameters
    ----------
    threshold_db : array (..., bands)
        Equivalent hearing threshold levels, -300 to 300. [dB HL]
    procedure : Procedure
        Which bands.

    Returns
    -------
    array (..., bands)
        Internal noise X'. [dB SPL per Hz]

    Raises
    ------
    OutOfRangeError
        If there is not one level per band, or a level lies outside the range.

    References
    ----------
    ANSI S3.5-1997, 4.4.
    """
    (threshold,) = _checked(procedure, threshold_db)
    return np.asarray(bands(procedure).internal_noise_db + threshold)  # Eq. (10)


def level_distortion_factor(speech_db: FloatArray, procedure: Procedure) -> FloatArray:
    r"""Level distortion factor: what is lost because speech is loud.

    .. math:: L_i = \min\left(\max\left(1 - \frac{E_i - U_i - 10}{160}, 0\right), 1\right) \qquad (11)

    Parameters
    ----------
    speech_db : array (..., bands)
        Equivalent speech spectrum level, -300 to 300. [dB SPL per Hz]
    procedure : Procedure
        Which bands.

    Returns
    -------
    array (..., bands)
        Factor, 0 to 1. [1]

    Raises
    ------
    OutOfRangeError
        If there is not one level per band, or a level lies outside the range.

    References
    ----------
    ANSI S3.5-1997, 4.6.
    """
    (speech,) = _checked(procedure, speech_db)
    factor = 1.0 - (speech - bands(procedure).normal_speech_db - 10.0) / 160.0
    return np.clip(factor, 0.0, 1.0)  # Eq. (11)


def band_audibility(
    speech_db: FloatArray,
    noise_db: FloatArray,
    threshold_db: FloatArray,
    procedure: Procedure,
    *,
    level_distortion: bool = True,
) -> FloatArray:
    r"""Band audibility function: how much of the range of speech counts in each band.

    .. math:: D_i = \max(Z_i, X'_i)
    .. math:: K_i = \min\left(\max\left(\frac{E_i - D_i + 15}{30}, 0\right), 1\right) \qquad (12)
    .. math:: A_i = L_i\,K_i \qquad (13)

    Parameters
    ----------
    speech_db, noise_db : array (..., bands)
        Equivalent speech and noise spectrum levels, -300 to 300; :data:`NO_NOISE_DB` stands for no noise.
        [dB SPL per Hz]
    threshold_db : array (..., bands)
        Equivalent hearing threshold levels, -300 to 300; with two ears :data:`BINAURAL_DB` lower. [dB HL]
    procedure : Procedure
        Which bands.
    level_distortion : bool
        Whether loud speech counts less (Eq. 11); without it the result is no index of the standard.

    Returns
    -------
    array (..., bands)
        Audibility, 0 to 1. [1]

    Raises
    ------
    OutOfRangeError
        If there is not one level per band, or a level lies outside the range.

    References
    ----------
    ANSI S3.5-1997, 4.5 to 4.7.
    """
    (speech,) = _checked(procedure, speech_db)
    masking = masking_spectrum_level(speech, noise_db, procedure)
    disturbance = np.maximum(masking, internal_noise_spectrum_level(threshold_db, procedure))  # 4.5
    audibility = np.clip((speech - disturbance + 15.0) / 30.0, 0.0, 1.0)  # Eq. (12)
    if level_distortion:
        audibility = level_distortion_factor(speech, procedure) * audibility  # Eq. (13)
    return np.asarray(audibility)


def speech_intelligibility_index(
    speech_db: FloatArray,
    noise_db: FloatArray,
    threshold_db: FloatArray,
    importance: FloatArray,
    procedure: Procedure,
    *,
    level_distortion: bool = True,
) -> FloatArray:
    r"""Speech intelligibility index.

    .. math:: S = \sum_i I_i\,A_i \qquad (14)

    A measure of audibility, 0 to 1; it is not the share of words or sounds that are understood.

    Parameters
    ----------
    speech_db, noise_db : array (..., bands)
        Equivalent speech and noise spectrum levels, -300 to 300; :data:`NO_NOISE_DB` stands for no noise.
        [dB SPL per Hz]
    threshold_db : array (..., bands)
        Equivalent hearing threshold levels, -300 to 300; with two ears :data:`BINAURAL_DB` lower. [dB HL]
    importance : array (..., bands)
        Band importances, none below 0, with a sum of at most 1. [1]
    procedure : Procedure
        Which bands.
    level_distortion : bool
        Whether loud speech counts less (Eq. 11); without it the result is no index of the standard.

    Returns
    -------
    array (...,)
        Index, 0 to 1. [1]

    Raises
    ------
    OutOfRangeError
        If there is not one level per band, a level lies outside the range, or the importances are none.

    References
    ----------
    ANSI S3.5-1997, clause 4.
    """
    weight = np.asarray(importance, dtype=np.float64)
    if weight.shape[-1:] != (bands(procedure).size,) or weight.min() < 0 or weight.sum(axis=-1).max() > 1 + 1e-9:
        raise OutOfRangeError(
            "compute a speech intelligibility index",
            f"the importances are not {bands(procedure).size} numbers from 0 on with a sum of at most 1",
            "use importance(procedure, material=...), or numbers of your own that sum to 1",
        )
    audibility = band_audibility(speech_db, noise_db, threshold_db, procedure, level_distortion=level_distortion)
    index = np.sum(weight * audibility, axis=-1)  # Eq. (14)
    return np.asarray(np.minimum(index, 1.0))  # a sum of 1 may end a rounding above it


def _checked(procedure: Procedure, *levels_db: FloatArray) -> tuple[FloatArray, ...]:
    size = bands(procedure).size
    arrays = np.broadcast_arrays(*(np.asarray(level, dtype=np.float64) for level in levels_db))
    asked = f"compute audibility in the bands of the {procedure.replace('_', '-')} procedure"
    if arrays[0].shape[-1:] != (size,):
        shape = " x ".join(map(str, arrays[0].shape)) or "none"
        raise OutOfRangeError(asked, f"it has {size} bands, and the levels given are {shape}", "give one per band")
    if not all(np.all(np.abs(array) <= _RANGE_DB) for array in arrays):
        raise OutOfRangeError(
            asked,
            f"a level is no finite number between {-_RANGE_DB:g} and {_RANGE_DB:g} dB",
            "check the levels and their unit",
        )
    return tuple(arrays)
