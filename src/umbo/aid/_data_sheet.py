"""Data sheets: what an aid is specified to do, and how far it may stray from that."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from umbo.aid._constants import constant, constant_source
from umbo.aid._measure import Item
from umbo.core import FloatArray, Plane
from umbo.errors import InputError

__all__ = ["DataSheet", "NominalCurve", "Tolerance", "tolerance"]


@dataclass(frozen=True, slots=True, eq=False)
class NominalCurve:
    """A curve of a data sheet.

    Parameters
    ----------
    frequency_hz, value_db : array (n,)
        Points, ascending frequency. [Hz], [dB]
    """

    frequency_hz: FloatArray
    value_db: FloatArray

    def __post_init__(self) -> None:
        hz, value = np.asarray(self.frequency_hz, np.float64), np.asarray(self.value_db, np.float64)
        if hz.shape != value.shape or hz.size == 0 or np.any(np.diff(hz) <= 0):
            raise InputError(
                "read the curve of a data sheet",
                f"it has {hz.size} frequencies and {value.size} values, or its frequencies do not ascend",
                "give one value for each frequency, ascending",
            )
        object.__setattr__(self, "frequency_hz", hz)
        object.__setattr__(self, "value_db", value)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class DataSheet:
    """Nominal values of a model; what is not stated is not judged.

    Parameters
    ----------
    name : str
        What the sheet is called.
    plane : Plane
        Coupler the values hold for.
    standard : str
        By which standard: "ANSI S3.22", "IEC 60118-0".
    nominal : mapping of Item to float
        Nominal values. [each item's unit]
    distortion_percent : mapping of float to float
        Total harmonic distortion by frequency [Hz]. [%]
    response : NominalCurve or None
        Gain at the reference test setting. [dB]
    """

    name: str
    plane: Plane
    standard: str
    nominal: Mapping[Item, float]
    distortion_percent: Mapping[float, float] = field(default_factory=dict)
    response: NominalCurve | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "nominal", MappingProxyType(dict(self.nominal)))
        object.__setattr__(self, "distortion_percent", MappingProxyType(dict(self.distortion_percent)))
        for item, value in self.nominal.items():
            if not np.isfinite(value) or (item.unit in ("mA", "s", "%", "Hz") and value < 0):
                raise InputError(
                    f"read the data sheet '{self.name}'",
                    f"its {item.label} of {value} {item.unit} cannot be",
                    "correct the value or leave it out",
                )

    def value(self, item: Item, frequency_hz: float | None) -> float | None:
        """Nominal value of an item; of the distortion, at its frequency. None where the sheet does not state it.

        Parameters
        ----------
        item : Item
            What is looked for.
        frequency_hz : float or None
            Frequency of a distortion. [Hz]
        """
        if item is Item.DISTORTION and frequency_hz is not None and frequency_hz in self.distortion_percent:
            return self.distortion_percent[frequency_hz]
        return self.nominal.get(item)


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far a measured value may lie from the nominal one.

    Parameters
    ----------
    low, high : float or None
        Lowest and highest deviation allowed; none where there is no such bound. [the item's unit]
    source : str
        Whose tolerance it is, and how it was obtained.
    """

    low: float | None
    high: float | None
    source: str

    def phrase(self, nominal: float, unit: str) -> str:
        """How a sentence says what is allowed.

        Parameters
        ----------
        nominal : float
            Nominal value. [the item's unit]
        unit : str
            Unit of the value.
        """
        shown = "" if unit == "1" else f" {unit}"
        low, high = (None if bound is None else f"{nominal + bound:.4g}" for bound in (self.low, self.high))
        if low is None:
            return f"at most {high}{shown}"
        return f"at least {low}{shown}" if high is None else f"{low} to {high}{shown}"


_BOTH_SIDES = {
    Item.HFA_OSPL90: "tolerance_hfa_ospl90",
    Item.SPA_OSPL90: "tolerance_hfa_ospl90",
    Item.HFA_FULL_ON_GAIN: "tolerance_hfa_full_on_gain",
    Item.SPA_FULL_ON_GAIN: "tolerance_hfa_full_on_gain",
    Item.COIL_DIFFERENCE: "tolerance_coil_hfa",
}
_ABOVE = {
    Item.MAXIMUM_OSPL90: "tolerance_max_ospl90",
    Item.DISTORTION: "tolerance_thd",
    Item.INPUT_NOISE: "tolerance_ein",
}


def tolerance(item: Item, nominal: float) -> Tolerance | None:
    """Look the tolerance of an item up.

    Parameters
    ----------
    item : Item
        The item.
    nominal : float
        Its nominal value, which some tolerances are a share of. [the item's unit]

    Returns
    -------
    Tolerance or None
        None where no tolerance is known.
    """
    if item in _BOTH_SIDES:
        size = constant(_BOTH_SIDES[item])
        return Tolerance(-size, size, constant_source(_BOTH_SIDES[item]))
    if item in _ABOVE:
        return Tolerance(None, constant(_ABOVE[item]), constant_source(_ABOVE[item]))
    if item is Item.BATTERY_CURRENT:
        share = constant("tolerance_battery_current") / 100
        return Tolerance(None, share * nominal, constant_source("tolerance_battery_current"))
    if item in (Item.ATTACK, Item.RELEASE):
        fixed = constant("tolerance_attack_release_time") / 1000
        size = max(fixed, constant("tolerance_attack_release_share") / 100 * nominal)
        return Tolerance(-size, size, constant_source("tolerance_attack_release_time"))
    return None
