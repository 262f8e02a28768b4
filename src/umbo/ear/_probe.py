"""From the probe tip to the eardrum."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from umbo import acoustics
from umbo.core import Component, Ear, Finding, FloatArray, Grid, Level, Plane, Severity, Tags, Transfer
from umbo.ear._notch import NotchEstimate, distance_from_notch

__all__ = ["DECLARED_U_MM", "ProbePosition", "probe_position", "probe_to_eardrum"]

#: Standard uncertainty of a declared distance: repeat placement within 2 mm (fit tolerances table), read as k = 2. [mm]
DECLARED_U_MM = 1.0

#: Beyond this distance a probe is shallow: within 6 mm the error is at most 2 dB to 6 kHz (Dirks & Kincaid 1987, as
#: cited in a professional article). [mm]
SHALLOW_MM = 6.0

#: Adult canal radii near the drum: area at the annulus 56 (sd 8) mm2 (CT study 2023, abstract read). [m]
_ADULT_RADII_M = np.sqrt(np.array([48e-6, 56e-6, 64e-6]) / np.pi)
#: Young infant: radius 1.7 mm (Sankowsky-Rothe et al. 2022), spread assumed. [m]
_INFANT_RADII_M = np.array([1.5e-3, 1.7e-3, 2.1e-3])
_INFANT_MONTHS = 12.0


@dataclass(frozen=True, slots=True)
class ProbePosition:
    """Distance from probe tip to eardrum, and how it is known.

    Parameters
    ----------
    distance_mm, u_mm : float
        Distance and its standard uncertainty. [mm]
    known_by : str
        "declared", "notch" or "bound".
    findings : tuple of Finding
        What should be said about it.
    """

    distance_mm: float
    u_mm: float
    known_by: Literal["declared", "notch", "bound"]
    findings: tuple[Finding, ...]


def probe_position(declared_mm: float | None, notch: NotchEstimate) -> ProbePosition:
    """Decide how far the probe tip is from the drum: declared, from the notch, or bounded by there being none.

    A notch that contradicts the declared distance wins, because it was measured; the finding says so.

    Parameters
    ----------
    declared_mm : float or None
        Declared distance. [mm]
    notch : NotchEstimate
        What the ear curve says.
    """
    if notch.notch_hz is None:
        if declared_mm is not None:
            u = DECLARED_U_MM if declared_mm > 0 else 0.0
            return ProbePosition(declared_mm, u, "declared", _shallow(declared_mm, "as declared"))
        text = (
            f"The distance from probe tip to eardrum was not given; no notch was found, so it lies between 0 and "
            f"{2 * notch.distance_mm:.1f} mm."
        )
        action = "Note the insertion depth, or advance the tube until no notch remains below 12 kHz."
        finding = Finding("probe_distance_bounded", Severity.INFO, text, action, "quarter-wave relation (computed)")
        return ProbePosition(notch.distance_mm, notch.u_mm, "bound", (finding,))
    said = f"a notch at {notch.notch_hz:.0f} Hz"
    findings = _shallow(notch.distance_mm, said)
    if declared_mm is not None and abs(declared_mm - notch.distance_mm) > 2 * np.hypot(DECLARED_U_MM, notch.u_mm):
        text = (
            f"The declared distance of {declared_mm:.1f} mm and the notch at {notch.notch_hz:.0f} Hz "
            f"({notch.distance_mm:.1f} mm) disagree; the notch is used."
        )
        action = "Check the probe's depth and measure the ear again."
        findings += (Finding("probe_distance_disagrees", Severity.WARN, text, action, "Chan & Geisler 1990"),)
    return ProbePosition(notch.distance_mm, notch.u_mm, "notch", findings)


def _shallow(distance_mm: float, evidence: str) -> tuple[Finding, ...]:
    if distance_mm <= SHALLOW_MM:
        return ()
    low = 26e3 / distance_mm
    text = (
        f"The probe tip is {distance_mm:.1f} mm from the eardrum ({evidence}): the level at the eardrum is "
        f"under-read by more than 1 dB from {low:.0f} Hz."
    )
    action = "Advance the tube by 3 to 5 mm under otoscopy and measure again; the notch moves up or vanishes."
    source = "Dirks & Kincaid 1987, as cited in a professional article; quarter-wave error (computed)"
    return (Finding("shallow_probe", Severity.WARN, text, action, source, from_hz=low),)


def probe_to_eardrum(
    position: ProbePosition, grid: Grid, *, tip: Plane, ear: Ear | None, age_months: float | None
) -> Transfer:
    r"""Transfer from the probe tip to the eardrum in a canal closed by a real drum.

    .. math:: T(f) = -20 \lg \left| \cos kd + j \frac{Z_c}{Z_d} \sin kd \right| \qquad (1)

    evaluated for an ensemble of published drum impedances and canal radii. The mean is the correction, the spread one
    component of uncertainty, the change with distance another.

    Parameters
    ----------
    position : ProbePosition
        Distance and its standard uncertainty. [mm]
    grid : Grid
        Frequencies.
    tip : Plane
        The probe tip plane the transfer starts at.
    ear : Ear or None
        Side.
    age_months : float or None
        Chooses the infant ensemble below 12 months; unknown means adult. [month]

    Returns
    -------
    Transfer
        From ``tip`` to the eardrum. [dB]
    """
    d, u = position.distance_mm, position.u_mm
    distances = np.maximum([d - u, d, d + u], 0.0)
    lower, at, upper = (_ensemble_db(grid.frequency_hz, x * 1e-3, age_months) for x in distances)
    key = f"probe:{ear}:{tip.distance_mm}"
    step = 0.5 * (upper.mean(axis=0) - lower.mean(axis=0))
    components = (
        Component(f"{key}:distance", "distance probe tip to eardrum", step, "full", "B", f"u = {u:.1f} mm, {position.known_by}"),
        Component(
            f"{key}:ear",
            "eardrum impedance and canal radius",
            at.std(axis=0, ddof=1),
            "full",
            "B",
            "spread over published drums and radii",
        ),
    )
    tags = Tags(quantity="probe tip to eardrum", ear=ear, stimulus=None, statistic=None, coupling=None, source=None)
    source = f"tip {d:.1f} mm from the drum ({position.known_by}), mean of {at.shape[0]} model ears"
    return Transfer.given(
        grid, at.mean(axis=0), start=tip, end=Plane.eardrum(), tags=tags, source=source, components=components
    )


def _ensemble_db(frequency_hz: FloatArray, distance_m: float, age_months: float | None) -> FloatArray:
    """Equation (1) for each member of the ensemble. Shape (members, n). [dB]."""
    infant = age_months is not None and age_months < _INFANT_MONTHS
    radii = _INFANT_RADII_M if infant else _ADULT_RADII_M
    adult = (acoustics.drum_impedance_kringlebotn_1988, acoustics.drum_impedance_hudde_engel_1998)
    drums = (acoustics.drum_impedance_infant_2022,) if infant else adult
    constants = acoustics.line_constants(frequency_hz, radii, acoustics.EAR_AIR)
    ratios = [acoustics.pressure_ratio_at(distance_m, constants, drum(frequency_hz)) for drum in drums]
    return -20 * np.log10(np.abs(np.concatenate(ratios)))


def notch_of(ear_level: Level, coupler_level: Level | None) -> NotchEstimate:
    """Notch estimate from an ear curve, smoothed by its coupler curve where one is to be had."""
    usable = ear_level.states.is_usable.copy()
    curve = ear_level.level_db
    return distance_from_notch(ear_level.frequency_hz, curve if coupler_level is None else curve - coupler_level.level_db, usable)
