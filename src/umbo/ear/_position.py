"""Where the probe tip was: declared, told by a notch, or bounded by there being none."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from umbo.core import Finding, Severity
from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from umbo.ear._notch import NotchEstimate

__all__ = ["DECLARED_U_MM", "ProbePosition", "probe_position"]

#: Standard uncertainty of a declared distance: repeat placement within 2 mm (Dirks & Kincaid 1987, as cited in a
#: professional article), read as k = 2. [mm]
DECLARED_U_MM = 1.0

#: Beyond this distance a probe is shallow: within 6 mm the error is at most 2 dB to 6 kHz (Dirks & Kincaid 1987, as
#: cited in a professional article). [mm]
SHALLOW_MM = 6.0

#: Farthest distance that can be declared: an adult canal is 31 (sd 3) mm long (CT study 2023, abstract read). [mm]
LONGEST_MM = 40.0

#: Frequency times distance at which a rigid drum's standing wave costs 1 dB, from 20 lg cos(2 pi f d / c) = -1 dB with
#: c = 345 m/s (computed). [Hz mm]
ONE_DB_HZ_MM = 26e3


@dataclass(frozen=True, slots=True)
class ProbePosition:
    """Distance from probe tip to eardrum, and how it is known.

    Parameters
    ----------
    distance_mm, u_mm : float
        Distance and its standard uncertainty. [mm]
    known_by : {"declared", "notch", "bound"}
        Declared, measured from a notch, or bounded by there being none.
    findings : tuple of Finding
        What should be said about it.
    """

    distance_mm: float
    u_mm: float
    known_by: Literal["declared", "notch", "bound"]
    findings: tuple[Finding, ...]


def probe_position(declared_mm: float | None, notch: NotchEstimate) -> ProbePosition:
    """Decide how far the probe tip is from the drum: declared, from the notch, or bounded by there being none.

    A notch that contradicts the declared distance wins, because it was measured; the finding says so. A notch that
    agrees with it leaves the declared distance as it is.

    Parameters
    ----------
    declared_mm : float or None
        Declared distance; 0 says that the reading is one at the drum. [mm], 0 to 40
    notch : NotchEstimate
        What the ear curve says.

    Returns
    -------
    ProbePosition
        Distance, its uncertainty, and findings.

    Raises
    ------
    OutOfRangeError
        If the declared distance is negative or longer than an ear canal.
    """
    if declared_mm is not None and not 0.0 <= declared_mm <= LONGEST_MM:
        raise OutOfRangeError(
            f"place the probe tip {declared_mm:g} mm from the eardrum",
            f"a canal is at most {LONGEST_MM:g} mm long",
            "give the distance from tip to eardrum in millimetres, or leave it out",
        )
    if notch.notch_hz is None:
        return _bounded(notch) if declared_mm is None else _declared(declared_mm)
    far_apart = 2 * np.hypot(DECLARED_U_MM, notch.u_mm)
    if declared_mm is not None and abs(declared_mm - notch.distance_mm) <= far_apart:
        return _declared(declared_mm)
    findings = _shallow(notch.distance_mm, f"a notch at {notch.notch_hz:.0f} Hz")
    if declared_mm is not None:
        findings += (_disagreement(declared_mm, notch.distance_mm, notch.notch_hz),)
    return ProbePosition(notch.distance_mm, notch.u_mm, "notch", findings)


def _declared(declared_mm: float) -> ProbePosition:
    u_mm = DECLARED_U_MM if declared_mm > 0 else 0.0
    return ProbePosition(declared_mm, u_mm, "declared", _shallow(declared_mm, "as declared"))


def _bounded(notch: NotchEstimate) -> ProbePosition:
    text = (
        "The distance from probe tip to eardrum was not given; no notch was found, so it is taken to lie between 0 and "
        f"{2 * notch.distance_mm:.1f} mm."
    )
    action = "Note the insertion depth, or advance the tube until no notch remains below 12 kHz."
    source = "quarter-wave relation (computed)"
    finding = Finding("probe_distance_bounded", Severity.INFO, text, action, source)
    return ProbePosition(notch.distance_mm, notch.u_mm, "bound", (finding,))


def _disagreement(declared_mm: float, distance_mm: float, notch_hz: float) -> Finding:
    text = (
        f"The declared distance of {declared_mm:.1f} mm and the notch at {notch_hz:.0f} Hz ({distance_mm:.1f} mm) "
        "disagree; the notch is used."
    )
    action = "Check the probe's depth and measure the ear again."
    source = "Chan & Geisler 1990 (abstract read)"
    return Finding("probe_distance_disagrees", Severity.WARN, text, action, source)


def _shallow(distance_mm: float, evidence: str) -> tuple[Finding, ...]:
    if distance_mm <= SHALLOW_MM:
        return ()
    low_hz = ONE_DB_HZ_MM / distance_mm
    text = (
        f"The probe tip is {distance_mm:.1f} mm from the eardrum ({evidence}): the level at the eardrum is under-read "
        f"by more than 1 dB from {low_hz:.0f} Hz."
    )
    action = "Advance the tube by 3 to 5 mm under otoscopy and measure again; the notch moves up or vanishes."
    source = "Dirks & Kincaid 1987, as cited in a professional article; quarter-wave error (computed)"
    return (Finding("shallow_probe", Severity.WARN, text, action, source, from_hz=low_hz),)
