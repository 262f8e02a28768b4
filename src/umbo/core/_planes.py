"""Reference planes: where a level was, or would be, measured."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import inf
from typing import TypeVar

from umbo.errors import InputError

__all__ = ["CouplerKind", "Plane", "PlaneKind", "Transducer"]


_E = TypeVar("_E", bound=StrEnum)


class PlaneKind(StrEnum):
    """The kinds of place a level can belong to."""

    FREE_FIELD = "free_field"
    DIFFUSE_FIELD = "diffuse_field"
    AID_MICROPHONE = "aid_microphone"
    REFERENCE_MICROPHONE = "reference_microphone"
    COUPLER = "coupler"
    PROBE_TIP = "probe_tip"
    EARDRUM = "eardrum"
    DIAL = "dial"
    FULL_SCALE = "full_scale"


class CouplerKind(StrEnum):
    """The couplers and the ear simulator (IEC 60318-5, IEC 60318-8, IEC 60318-4)."""

    HA1 = "ha1"
    HA2 = "ha2"
    HA4 = "ha4"
    CC04 = "cc04"
    OES = "oes"

    @property
    def display_name(self) -> str:
        """What the trade calls this coupler, for tables and charts."""
        return _COUPLER_TITLES[self]

    @property
    def is_2cc(self) -> bool:
        """Whether this is one of the 2 cm³ couplers of IEC 60318-5."""
        return self in (CouplerKind.HA1, CouplerKind.HA2, CouplerKind.HA4)


_COUPLER_TITLES = {
    CouplerKind.HA1: "2 cc coupler HA-1",
    CouplerKind.HA2: "2 cc coupler HA-2",
    CouplerKind.HA4: "2 cc coupler HA-4",
    CouplerKind.CC04: "0.4 cc coupler",
    CouplerKind.OES: "occluded-ear simulator",
}


class Transducer(StrEnum):
    """What a hearing threshold was taken with."""

    INSERT = "insert"
    SUPRA_AURAL = "supra_aural"
    CIRCUMAURAL = "circumaural"
    SOUND_FIELD = "sound_field"


_DETAILED = {PlaneKind.COUPLER: CouplerKind, PlaneKind.DIAL: Transducer}
_UNITS = {PlaneKind.DIAL: "dB HL", PlaneKind.FULL_SCALE: "dB FS"}


@dataclass(frozen=True, slots=True)
class Plane:
    """A place where a level is defined.

    Parameters
    ----------
    kind : PlaneKind
        What kind of place.
    detail : CouplerKind or Transducer or None
        Which coupler, or which transducer's dial; none for every other place.
    distance_mm : float or None
        Distance from the probe tip to the eardrum, when the place is a probe tip and it is known. [mm]

    Examples
    --------
    >>> str(Plane.coupler("ha1"))
    'coupler:ha1'
    >>> Plane.dial("insert").unit
    'dB HL'
    """

    kind: PlaneKind
    detail: CouplerKind | Transducer | None = None
    distance_mm: float | None = None

    def __post_init__(self) -> None:
        wanted = _DETAILED.get(self.kind)
        if wanted is not None and not isinstance(self.detail, wanted):
            names = ", ".join(wanted)
            raise InputError(
                f"name the place '{self.kind}'",
                f"it must say which one, and '{self.detail}' is none of {names}",
                "name one of these",
            )
        if wanted is None and self.detail is not None:
            raise InputError(
                f"name the place '{self.kind}'", f"it has no variant '{self.detail}'", "leave the variant out"
            )
        if self.distance_mm is not None and (self.kind is not PlaneKind.PROBE_TIP or not 0 <= self.distance_mm < inf):
            raise InputError(
                f"name the place '{self.kind}'",
                f"a distance of {self.distance_mm} mm to the eardrum does not belong to it",
                "give a distance of 0 mm or more, and only with a probe tip",
            )

    @classmethod
    def coupler(cls, kind: str) -> Plane:
        """Microphone of a coupler, by its identifier (ha1, ha2, ha4, cc04, oes)."""
        return cls(PlaneKind.COUPLER, _member(CouplerKind, kind, "coupler"))

    @classmethod
    def dial(cls, transducer: str) -> Plane:
        """Audiometer dial, in dB HL for this transducer."""
        return cls(PlaneKind.DIAL, _member(Transducer, transducer, "transducer"))

    @classmethod
    def probe_tip(cls, distance_mm: float | None = None) -> Plane:
        """Tip of a probe tube, at a distance from the eardrum when that is known. [mm]"""
        return cls(PlaneKind.PROBE_TIP, None, distance_mm)

    @classmethod
    def eardrum(cls) -> Plane:
        """Pressure at the eardrum."""
        return cls(PlaneKind.EARDRUM)

    @classmethod
    def free_field(cls) -> Plane:
        """Field at the head's place with the head absent, frontal incidence."""
        return cls(PlaneKind.FREE_FIELD)

    @classmethod
    def aid_microphone(cls) -> Plane:
        """Microphone port of the worn hearing aid."""
        return cls(PlaneKind.AID_MICROPHONE)

    @classmethod
    def parse(cls, text: str) -> Plane:
        """Read what ``str`` wrote: ``coupler:ha1``, ``dial:insert``, ``eardrum``."""
        kind, _, detail = text.partition(":")
        if kind == PlaneKind.COUPLER:
            return cls.coupler(detail)
        if kind == PlaneKind.DIAL:
            return cls.dial(detail)
        return cls(_member(PlaneKind, text, "place"))

    @property
    def unit(self) -> str:
        """Unit of a level here: dB SPL (re 20 µPa), dB HL at a dial, dB FS in a file."""
        return _UNITS.get(self.kind, "dB SPL")

    @property
    def phrase(self) -> str:
        """How a sentence says it: "in the 2 cc coupler HA-1", "at the eardrum"."""
        if isinstance(self.detail, CouplerKind):
            return f"in the {self.detail.display_name}"
        if isinstance(self.detail, Transducer):
            return f"on the {self.detail.replace('_', '-')} dial"
        if self.distance_mm is not None:
            return f"at the probe tip, {self.distance_mm:g} mm from the eardrum"
        return _PHRASES[self.kind]

    def __str__(self) -> str:
        return f"{self.kind}:{self.detail}" if self.detail is not None else str(self.kind)


_PHRASES = {
    PlaneKind.FREE_FIELD: "in the free field",
    PlaneKind.DIFFUSE_FIELD: "in the diffuse field",
    PlaneKind.AID_MICROPHONE: "at the hearing aid's microphone",
    PlaneKind.REFERENCE_MICROPHONE: "at the reference microphone",
    PlaneKind.PROBE_TIP: "at the probe tip",
    PlaneKind.EARDRUM: "at the eardrum",
    PlaneKind.FULL_SCALE: "re digital full scale",
}


def _member(kind: type[_E], text: str, what: str) -> _E:
    try:
        return kind(text)
    except ValueError:
        raise InputError(f"name a {what}", f"'{text}' is none of {', '.join(kind)}", "name one of these") from None
