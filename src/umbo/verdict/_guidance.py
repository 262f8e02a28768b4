"""Named guidances: by whose tolerances speech is judged against its target."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from math import log2, nan

import numpy as np

from umbo import refdata
from umbo.core import FloatArray
from umbo.errors import InputError

__all__ = ["PROJECT_RULE", "Guidance", "ToleranceBand", "guidance", "guidances", "rms_bounds"]

#: Key of the rule that is used, and named, where nobody has chosen one.
PROJECT_RULE = "project"

#: A nominal frequency and its exact one (3000 and 2985 Hz) differ by up to this; a range includes both. [1]
_EDGE = 1.03

_BAND_ITEM = re.compile(r"match_(\d+)_to_(\d+)_hz")


@dataclass(frozen=True, slots=True)
class ToleranceBand:
    """What a guidance allows in a range of frequencies.

    Parameters
    ----------
    from_hz, to_hz : float
        Lowest and highest frequency it speaks of. [Hz]
    tolerance_db : float
        Allowed on both sides of the target. [dB]
    """

    from_hz: float
    to_hz: float
    tolerance_db: float

    def octaves_from(self, frequency_hz: float) -> float:
        """Distance of a frequency from the range, 0 inside it.

        Parameters
        ----------
        frequency_hz : float
            Where. [Hz]

        Returns
        -------
        float
            Octaves. [1]
        """
        return max(log2(self.from_hz / frequency_hz), log2(frequency_hz / self.to_hz), 0.0)


@dataclass(frozen=True, slots=True)
class Guidance:
    """Whose criteria a fitting is judged by.

    Parameters
    ----------
    key : str
        Its name in a case and on a command line.
    title, whom, source, status : str
        What it is called, whom it is for, whose it is, and how its numbers were obtained.
    bands : tuple of ToleranceBand
        Tolerances per frequency in ascending order; none where it has no such criterion.
    rms_db : float or None
        Largest rms deviation at 0.5, 1, 2 and 4 kHz; none where it has no such criterion. [dB]
    slope_db_per_octave : float or None
        Allowed difference between the slopes of response and target; none where it has no such criterion. [dB/octave]
    is_held : bool
        Whether the first and last tolerance are held beyond the frequencies the guidance speaks of.
    tables : tuple of (str, str)
        Quantity and source of the tables its numbers stand in.
    """

    key: str
    title: str
    whom: str
    source: str
    status: str
    bands: tuple[ToleranceBand, ...]
    rms_db: float | None
    slope_db_per_octave: float | None
    is_held: bool = False
    tables: tuple[tuple[str, str], ...] = ()

    @property
    def attribution(self) -> str:
        """Source and status, as a report prints them."""
        beyond = "; held below and above these frequencies, engineering judgement" if self.is_held else ""
        return f"{self.source} ({self.status}){beyond}"

    def tolerance_at(self, frequency_hz: FloatArray) -> FloatArray:
        """Tolerance at frequencies; NaN where the guidance does not speak of one.

        Between two ranges the nearer one on the logarithmic axis counts (engineering judgement).

        Parameters
        ----------
        frequency_hz : array (n,)
            Frequencies. [Hz]

        Returns
        -------
        array (n,)
            Allowed on both sides. [dB]
        """
        return np.array([self._tolerance_at(float(hz)) for hz in np.atleast_1d(frequency_hz)])

    def _tolerance_at(self, frequency_hz: float) -> float:
        if not self.bands:
            return nan
        low, high = self.bands[0].from_hz / _EDGE, self.bands[-1].to_hz * _EDGE
        if not self.is_held and not low <= frequency_hz <= high:
            return nan
        return min(self.bands, key=lambda band: band.octaves_from(frequency_hz)).tolerance_db


def guidance(key: str) -> Guidance:
    """One guidance by its name; none is ever guessed from an age.

    Parameters
    ----------
    key : str
        "bsa", "mccreery_2013", "wiseman_2023" or "project".

    Returns
    -------
    Guidance
        With the numbers of its table.

    Raises
    ------
    InputError
        If there is no guidance of that name.
    """
    for one in guidances():
        if one.key == key:
            return one
    names = ", ".join(one.key for one in guidances())
    raise InputError(f"judge by the guidance '{key}'", f"there is none of that name among {names}", "name one of these")


@cache
def guidances() -> tuple[Guidance, ...]:
    """Every guidance there is: BSA for adults, two for children, and the project's own rule."""
    return (_bsa(), _rms_only("mccreery-2013", "rms_criterion"), _rms_only("wiseman-2023", "rms_stricter"), _project())


@cache
def rms_bounds() -> tuple[tuple[float, str], ...]:
    """Every published rms criterion with its source, the widest first: bound [dB], source and status."""
    children = [one for one in guidances() if one.rms_db is not None and not one.bands]
    return tuple((one.rms_db, one.attribution) for one in children if one.rms_db is not None)


def _bsa() -> Guidance:
    table = refdata.table("fit_tolerances", source="bsa-undated")
    bands, statuses = [], set()
    for item in table.text("item"):
        statuses.add(table.status_at(item, "value"))
        if found := _BAND_ITEM.fullmatch(item):
            bands.append(ToleranceBand(float(found[1]), float(found[2]), table.at(item, "value")))
    low, high = bands
    text = f"BSA guidance on real-ear measurement: ±{low.tolerance_db:g} dB to {low.to_hz / 1000:g} kHz, "
    return Guidance(
        key="bsa",
        title=table.sidecar.title,
        whom="adults",
        source=f"{text}±{high.tolerance_db:g} dB at 3 and 4 kHz",
        status=", ".join(sorted(statuses)),
        bands=tuple(bands),
        rms_db=None,
        slope_db_per_octave=table.at("slope", "value"),
        tables=((table.quantity, "bsa-undated"),),
    )


def _rms_only(source: str, item: str) -> Guidance:
    table = refdata.table("fit_tolerances", source=source)
    bound = table.at(item, "value")
    return Guidance(
        key=source.replace("-", "_"),
        title=f"Children: rms deviation from target below {bound:g} dB",
        whom="children",
        source=table.edition,
        status=table.status_at(item, "value"),
        bands=(),
        rms_db=bound,
        slope_db_per_octave=None,
        tables=((table.quantity, source),),
    )


def _project() -> Guidance:
    adults, children = _bsa(), _rms_only("mccreery-2013", "rms_criterion")
    return Guidance(
        key=PROJECT_RULE,
        title="The project's own rule: tolerances of adults at every frequency of the target, and the children's rms",
        whom="anyone for whom no guidance was chosen",
        source=adults.source,
        status=adults.status,
        bands=adults.bands,
        rms_db=children.rms_db,
        slope_db_per_octave=None,
        is_held=True,
        tables=(*adults.tables, *children.tables),
    )
