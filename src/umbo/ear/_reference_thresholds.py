"""Reference thresholds of earphones in the coupler or ear simulator of their standard."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.core import Transducer
from umbo.errors import NotPossibleHereError, OutOfRangeError

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["ReferenceThresholds", "joined_rows", "reference_thresholds"]

_IEC_60318_1 = "ear simulator of IEC 60318-1"
_OES = "occluded-ear simulator"

#: Where each earphone's reference thresholds stand: load, then quantity, source and column of each part, low first.
_PARTS = {
    Transducer.INSERT: (
        _OES,
        (
            ("retspl_insert", "iso-389-2-1994", "er3a_oes_db_spl"),
            ("retspl_insert", "iso-389-5-2006", "er2_oes_db_spl"),
        ),
    ),
    Transducer.SUPRA_AURAL: (
        _IEC_60318_1,
        (("retspl_supra_aural", "iso-389-1-1998", "supraaural_iec60318_1_db_spl"),),
    ),
    Transducer.CIRCUMAURAL: (
        f"{_IEC_60318_1} with the circumaural adapter",
        (
            ("retspl_circumaural", "iso-389-8-2004", "hda200_db_spl"),
            ("retspl_circumaural", "iso-389-5-2006", "hda200_db_spl"),
        ),
    ),
}


@dataclass(frozen=True, slots=True, eq=False)
class ReferenceThresholds:
    """Levels that an earphone makes in its load at 0 dB HL.

    Parameters
    ----------
    frequency_hz, level_db : array (n,)
        Frequencies and levels. [Hz], [dB SPL]
    load : str
        Coupler or ear simulator the levels belong to.
    source : str
        Tables, and how their values were obtained.
    """

    frequency_hz: FloatArray
    level_db: FloatArray
    load: str
    source: str


def reference_thresholds(transducer: Transducer, frequency_hz: FloatArray) -> ReferenceThresholds:
    """Reference equivalent threshold levels of an earphone, conventional and extended high frequencies.

    These calibrate an audiometer. Of the loads only the occluded-ear simulator leads on to the eardrum by an RECD; from
    the ear simulator of IEC 60318-1 no published transfer to the eardrum was found, and :func:`average_redd` is used.

    Parameters
    ----------
    transducer : Transducer
        Earphone.
    frequency_hz : array (n,)
        Frequencies the standards tabulate: to 16 kHz for insert and circumaural earphones, to 8 kHz for supra-aural
        ones. [Hz]

    Returns
    -------
    ReferenceThresholds
        Levels with their load.

    Raises
    ------
    NotPossibleHereError
        For a sound field, which has no earphone.
    OutOfRangeError
        For a frequency that is not tabulated; beyond the end the sentence names the highest that is.

    References
    ----------
    ISO 389-1:1998, ISO 389-2:1994, ISO 389-8:2004 and, from 9 kHz, ISO 389-5:2006, as transcribed in the tables
    ``retspl_insert``, ``retspl_supra_aural`` and ``retspl_circumaural``.
    """
    if transducer not in _PARTS:
        raise NotPossibleHereError(
            "read the reference thresholds of an earphone",
            "thresholds in a sound field are referred to the field, not to a coupler",
            "use sound_field_threshold",
        )
    load, parts = _PARTS[transducer]
    what = f"the reference threshold of {transducer.replace('_', '-')} earphones in the {load}"
    levels, source = joined_rows(what, parts, frequency_hz)
    return ReferenceThresholds(np.asarray(frequency_hz, dtype=np.float64), levels, load, source)


def joined_rows(what: str, parts: tuple[tuple[str, str, str], ...], frequency_hz: FloatArray) -> tuple[FloatArray, str]:
    """Read tables that continue each other, exactly at their frequencies.

    Parameters
    ----------
    what : str
        What is read, for the message.
    parts : tuple of (quantity, source, column)
        Tables, low frequencies first; where two overlap the first one counts.
    frequency_hz : array (n,)
        Frequencies. [Hz]

    Returns
    -------
    (array (n,), str)
        Values, and the tables used. [dB]

    Raises
    ------
    OutOfRangeError
        For a frequency that is not tabulated.
    """
    tables = [(refdata.table(quantity, source=source), column) for quantity, source, column in parts]
    tabulated = [table.series(column)[0] for table, column in tables]
    highest = max(hz[-1] for hz in tabulated)
    used: dict[str, None] = {}
    values = []
    for f in np.asarray(frequency_hz, dtype=np.float64).tolist():
        if f > highest:
            raise OutOfRangeError(
                f"read {what} at {f:g} Hz",
                f"the highest tabulated frequency is {highest:g} Hz",
                "leave that threshold out, or use an earphone and a reference that go further",
            )
        holding = [i for i, hz in enumerate(tabulated) if f in hz]
        reaching = [i for i, hz in enumerate(tabulated) if f <= hz[-1]]
        table, column = tables[(holding or reaching)[0]]
        values.append(table.at(f, column))  # refuses what lies between tabulated frequencies
        used[table.brief(column)] = None
    return np.array(values), " and ".join(used)
