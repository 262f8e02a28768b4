"""What an RECD is expected to look like: the standards' adult row and a broad band by age."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from umbo import refdata
from umbo.core import CouplerKind, FloatArray
from umbo.errors import NotPossibleHereError

__all__ = ["VOLUME_RATIO_DB", "PlausibleRange", "adult_recd_row", "plausible_range"]

#: 20 lg (2 cm³ / 0.4 cm³): level in a 0.4 cc minus a 2 cc coupler for a source that no load changes (F14). [dB]
VOLUME_RATIO_DB = 20 * np.log10(2.0 / 0.4)

#: Below this, a source's own impedance decides how far a 0.4 cc curve lies above a 2 cc curve: 14 dB for an ideal
#: source, 4 to 7 dB for an insert earphone at 250 Hz (computed with umbo.acoustics). [Hz]
_CC04_FROM_HZ = 400.0

#: Above this, an RECD re HA-2 depends on the source by 8 to 16 dB (computed; 11 dB in group means, Munro & Toal 2005):
#: a range without the source says nothing. [Hz]
_HA2_TO_HZ = 1500.0

#: The range speaks for these frequencies: those of the band's table. [Hz]
_FROM_HZ, _TO_HZ = 250.0, 6000.0

#: Doubt of the adult row: models of couplers and scanned canals lie below the row from RETSPLs, by 4 dB at 4 kHz and by
#: 6 dB at 6 kHz (computed), so the lower edge is moved down there. [Hz], [dB]
_ROW_DOUBT_HZ, _ROW_DOUBT_DB = (3000.0, 4000.0, 6000.0), (0.0, 4.0, 6.0)


@dataclass(frozen=True, slots=True, eq=False)
class PlausibleRange:
    """Lower and upper edge of plausible RECDs, and the frequencies the range speaks for.

    Parameters
    ----------
    low_db, high_db : array (n,)
        Edges. [dB]
    from_hz, to_hz : float
        The range says nothing outside. [Hz]
    source : str
        How it was obtained.
    """

    low_db: FloatArray
    high_db: FloatArray
    from_hz: float
    to_hz: float
    source: str

    @property
    def middle_db(self) -> FloatArray:
        """Middle of the range. [dB]"""
        return 0.5 * (self.low_db + self.high_db)

    def on(self, old_hz: FloatArray, new_hz: FloatArray) -> PlausibleRange:
        """Take the range onto other frequencies.

        Parameters
        ----------
        old_hz, new_hz : array
            Frequencies it stands on, and wanted ones; the edges are log-interpolated and held at the ends. [Hz]
        """
        low, high = (np.interp(np.log(new_hz), np.log(old_hz), edge) for edge in (self.low_db, self.high_db))
        return replace(self, low_db=low, high_db=high)


def adult_recd_row(kind: CouplerKind, frequency_hz: FloatArray) -> FloatArray:
    r"""Adult mean RECD for an insert earphone with foam tip, from standards alone.

    .. math:: RECD_k(f) = RETSPL_{OES}(f) - RETSPL_k(f)

    For the 0.4 cc coupler the HA-1 row is lowered by the volume ratio, 14.0 dB; for the occluded-ear simulator the row
    is zero by definition.

    Parameters
    ----------
    kind : CouplerKind
        Coupler the RECD refers to.
    frequency_hz : array (n,)
        Frequencies; log-interpolated between tabulated ones and held at the ends. [Hz]

    Returns
    -------
    array (n,)
        RECD. [dB]

    Raises
    ------
    NotPossibleHereError
        For HA-4, for which no RETSPL is tabulated.

    References
    ----------
    ISO 389-2:1994 as transcribed in the table ``retspl_insert`` (HA-1 column from memory).
    """
    if kind is CouplerKind.OES:
        return np.zeros(frequency_hz.size)
    if kind is CouplerKind.HA4:
        raise NotPossibleHereError(
            "name the adult mean RECD re HA-4", "no RETSPL is tabulated for that coupler", "use HA-1, HA-2 or 0.4 cc"
        )
    base = CouplerKind.HA2 if kind is CouplerKind.HA2 else CouplerKind.HA1
    hz, row = refdata.table("recd_adult_mean", source="derived-iso-389-2-1994").series(f"recd_re_{base}_db")
    at = np.interp(np.log(frequency_hz), np.log(hz), row)
    return at - VOLUME_RATIO_DB if kind is CouplerKind.CC04 else at


def plausible_range(kind: CouplerKind, frequency_hz: FloatArray, age_months: float | None) -> PlausibleRange | None:
    """Broad range of plausible RECDs for an age: engineering judgement around the adult row.

    Parameters
    ----------
    kind : CouplerKind
        Coupler the RECD refers to.
    frequency_hz : array (n,)
        Frequencies. [Hz]
    age_months : float or None
        Age; unknown joins the ranges of all ages. [month]

    Returns
    -------
    PlausibleRange or None
        None for a coupler without an adult row.
    """
    if kind is CouplerKind.HA4:
        return None
    hz, low, high, source = _band(age_months)
    x = np.log(frequency_hz)
    row = adult_recd_row(kind, frequency_hz)
    doubt = np.interp(x, np.log(_ROW_DOUBT_HZ), _ROW_DOUBT_DB)
    low_db = row + np.interp(x, np.log(hz), low) - doubt
    high_db = row + np.interp(x, np.log(hz), high)
    start_hz = _CC04_FROM_HZ if kind is CouplerKind.CC04 else _FROM_HZ
    end_hz = _HA2_TO_HZ if kind is CouplerKind.HA2 else _TO_HZ
    return PlausibleRange(low_db, high_db, start_hz, end_hz, source)


def _band(age_months: float | None) -> tuple[FloatArray, FloatArray, FloatArray, str]:
    """Frequencies, lower and upper edge relative to the adult row, and the source, for an age."""
    table = refdata.table("recd_plausibility_band", source="engineering-judgement")
    first, last = table.column("age_from_months"), np.ma.filled(table.column("age_to_months"), np.inf)
    rows = np.ones(first.size, bool) if age_months is None else (first <= age_months) & (age_months < last)
    hz, low, high = [], [], []
    for edge in sorted({*table.column("frequency_from_hz")[rows], *table.column("frequency_to_hz")[rows]}):
        here = rows & (table.column("frequency_from_hz") <= edge) & (table.column("frequency_to_hz") >= edge)
        hz.append(edge)
        low.append(table.column("low_db")[here].min())
        high.append(table.column("high_db")[here].max())
    return np.array(hz), np.array(low), np.array(high), f"table {table.name} (engineering judgement, no source)"
