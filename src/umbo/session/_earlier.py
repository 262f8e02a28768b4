"""An earlier visit as plain data: what is kept of it to compare this one with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from umbo.core import Bandwidth, CouplerKind, Coupling, Ear, Plane, PointState, Source

__all__ = ["Earlier", "EarlierCurve", "EarlierEar", "EarlierRecd"]


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierCurve:
    """One curve of an earlier visit.

    Its uncertainty is one number a point: which causes made it up, and how they act across frequency, was not kept.

    Parameters
    ----------
    plane : Plane
        Where a level was; where a transfer ends.
    bandwidth : Bandwidth
        How wide each point is.
    frequency_hz : tuple of float (n,)
        Frequencies, ascending. [Hz]
    level_db : tuple of float (n,)
        Values. [dB]
    u_db : tuple of float (n,)
        Standard uncertainty, k = 1. [dB]
    states : tuple of PointState (n,)
        State of each point.
    """

    plane: Plane
    bandwidth: Bandwidth
    frequency_hz: tuple[float, ...]
    level_db: tuple[float, ...]
    u_db: tuple[float, ...]
    states: tuple[PointState, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierRecd:
    """An RECD of an earlier visit.

    Parameters
    ----------
    kind : CouplerKind
        Coupler it refers to.
    source, coupling : Source, Coupling
        What made the sound, and what joined it to the ear.
    grade : str
        A to D.
    curve : EarlierCurve
        From the coupler to where it ends. [dB]
    """

    kind: CouplerKind
    source: Source
    coupling: Coupling
    grade: str
    curve: EarlierCurve


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierEar:
    """One ear of an earlier visit.

    Parameters
    ----------
    middle_ear : str
        State of the middle ear as declared.
    recds : tuple of EarlierRecd
        Every RECD.
    thresholds : EarlierCurve or None
        At the eardrum; points without a response cannot be used. [dB SPL]
    aided : mapping of float to EarlierCurve
        Aided speech at the eardrum by its input level. [dB SPL]
    maximum : mapping of float to EarlierCurve
        Maximum output at the eardrum by its input level; at most one. [dB SPL]
    """

    middle_ear: str
    recds: tuple[EarlierRecd, ...]
    thresholds: EarlierCurve | None
    aided: Mapping[float, EarlierCurve]
    maximum: Mapping[float, EarlierCurve]


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """An earlier visit.

    Parameters
    ----------
    case_id, client : str
        Name of its case, and pseudonym.
    measured_on : date or None
        Its day; None where it was not stated.
    ears : mapping of Ear to EarlierEar
        Its ears.
    """

    case_id: str
    client: str
    measured_on: date | None
    ears: Mapping[Ear, EarlierEar]
