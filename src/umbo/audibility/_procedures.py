"""Band procedures of ANSI S3.5-1997: centre frequencies, importances and standard spectra, from its tables."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.errors import NotPossibleHereError, OutOfRangeError

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["Bands", "Effort", "Procedure", "bands", "importance", "speech_spectrum_level"]

_SOURCE = "ansi-s3.5-1997"


class Procedure(StrEnum):
    """How the standard divides the frequency axis; third octaves are the usual choice."""

    THIRD_OCTAVE = "third_octave"
    OCTAVE = "octave"
    CRITICAL_BAND = "critical_band"

    @property
    def table_name(self) -> str:
        """Name of the reference table that carries the bands."""
        return f"sii_{self}"


class Effort(StrEnum):
    """Vocal effort of a talker, as the standard names its speech spectra."""

    NORMAL = "normal"
    RAISED = "raised"
    LOUD = "loud"
    SHOUT = "shout"


_EFFORT_COLUMNS = {
    Effort.NORMAL: "speech_normal_spectrum_level_db",
    Effort.RAISED: "speech_raised_db",
    Effort.LOUD: "speech_loud_db",
    Effort.SHOUT: "speech_shout_db",
}


@dataclass(frozen=True, slots=True, eq=False)
class Bands:
    """The bands of one procedure with the spectra that belong to them; every array is read-only.

    Parameters
    ----------
    procedure : Procedure
        Which procedure.
    frequency_hz : array (bands,)
        Band centres. [Hz]
    upper_hz : array (bands,)
        Where the spread of masking counts from: the band's upper edge. [Hz]
    width_db : array (bands,)
        Bandwidth, ten times its base-10 logarithm. [dB re 1 Hz]
    slope_width_db : array (bands,)
        The same as the slope of masking takes it (Eq. 7): a third octave as 10 lg f - 6.353. [dB re 1 Hz]
    internal_noise_db : array (bands,)
        Reference internal noise spectrum level X, a normal ear in the free field. [dB SPL per Hz]
    normal_speech_db : array (bands,)
        Standard speech spectrum level U, normal effort, 1 m. [dB SPL per Hz]
    to_eardrum_db : array (bands,)
        Level at the eardrum minus free-field level, frontal incidence. [dB]
    """

    procedure: Procedure
    frequency_hz: FloatArray
    upper_hz: FloatArray
    width_db: FloatArray
    slope_width_db: FloatArray
    internal_noise_db: FloatArray
    normal_speech_db: FloatArray
    to_eardrum_db: FloatArray

    @property
    def size(self) -> int:
        """Number of bands: 18, 6 or 21."""
        return int(self.frequency_hz.size)


@cache
def bands(procedure: Procedure) -> Bands:
    """Bands of a procedure (ANSI S3.5-1997, tables ``sii_*``).

    Parameters
    ----------
    procedure : Procedure
        Which procedure.

    Returns
    -------
    Bands
        Edges: those of the table; a third octave has none there, and the standard's factor 0.89 takes their place.
    """
    table = refdata.table(procedure.table_name, source=_SOURCE)
    hz = table.column("frequency_hz")
    if procedure is Procedure.THIRD_OCTAVE:
        width = table.column("bandwidth_10log_hz_db")
        upper, slope_width = hz / 0.89, 10 * np.log10(hz) - 6.353  # the standard's own form of both (Eq. 7, 9)
    else:
        upper = table.column("upper_hz")
        width = slope_width = 10 * np.log10(upper - table.column("lower_hz"))
    for array in (upper, width, slope_width):
        array.setflags(write=False)
    return Bands(
        procedure=procedure,
        frequency_hz=hz,
        upper_hz=upper,
        width_db=width,
        slope_width_db=slope_width,
        internal_noise_db=table.column("reference_internal_noise_spectrum_level_db"),
        normal_speech_db=table.column(_EFFORT_COLUMNS[Effort.NORMAL]),
        to_eardrum_db=table.column("free_field_to_eardrum_db"),
    )


def importance(procedure: Procedure, *, material: str) -> FloatArray:
    """Band importance function: how much each band weighs.

    Parameters
    ----------
    procedure : Procedure
        Which procedure.
    material : str
        Speech material: "average_speech", and for third octaves "nonsense_syllables", "cid22", "nu6", "drt",
        "short_passages" or "spin".

    Returns
    -------
    array (bands,)
        Importances, which sum to 1 within the rounding of the table. [1]

    Raises
    ------
    NotPossibleHereError
        If the procedure has no such function.
    """
    table = refdata.table(procedure.table_name, source=_SOURCE)
    prefix = "importance_"
    known = [info.name.removeprefix(prefix) for info in table.sidecar.columns if info.name.startswith(prefix)]
    if material not in known:
        raise NotPossibleHereError(
            f"weigh the bands of the {procedure.replace('_', '-')} procedure for '{material}'",
            f"its table has importances for {', '.join(known)} only",
            "choose one of these, or use the third-octave procedure",
        )
    return table.column(prefix + material)


def speech_spectrum_level(procedure: Procedure, effort: Effort, *, distance_m: float) -> FloatArray:
    r"""Spectrum level of standard speech in the free field at the listener's place.

    .. math:: E(d) = E(1\,\mathrm{m}) - 20 \lg \frac{d}{1\,\mathrm{m}} \qquad (16)

    Parameters
    ----------
    procedure : Procedure
        Which bands.
    effort : Effort
        Vocal effort.
    distance_m : float
        From the talker's lips to the listener, 0.1 to 100: a free field, frontal. [m]

    Returns
    -------
    array (bands,)
        Spectrum level. [dB SPL per Hz]

    Raises
    ------
    OutOfRangeError
        If the distance lies outside its range.

    References
    ----------
    ANSI S3.5-1997, tables 1, 3 and 4 (numbers from memory) and 5.1; values as transcribed in the tables ``sii_*``.
    """
    if not 0.1 <= distance_m <= 100.0:
        raise OutOfRangeError(
            f"place a talker at {distance_m:g} m",
            "the law of distance in a free field is used from 0.1 to 100 m",
            "give the distance in metres, or measure the speech where the listener is",
        )
    column = _EFFORT_COLUMNS[effort]
    at_1_m = refdata.table(procedure.table_name, source=_SOURCE).column(column)
    return np.asarray(at_1_m - 20 * np.log10(distance_m))  # Eq. (16)
