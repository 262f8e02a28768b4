"""A vent as a plug of air on the springy volume of the ear: what it takes from the aid and what it lets in."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt
from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.acoustics import COUPLER_AIR
from umbo.core import Component, Plane, Tags, Transfer
from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from collections.abc import Callable

    from umbo.core import Ear, FloatArray, Grid

__all__ = ["Vent", "ear_volume_m3", "end_correction_m", "vent_corner_hz", "vent_effect", "vent_transmission"]

#: End correction of a tube in units of its radius: 8/(3 pi) with a wide flange (Rayleigh, The Theory of Sound), 0.6133
#: without (Levine & Schwinger 1948, Phys. Rev. 73, 383); both from memory. [1]
FLANGED, UNFLANGED = 8 / (3 * pi), 0.6133

#: Quality of the resonance of vent and ear: lossy vents of 1 to 3 mm on canals closed by model drums peak by 5 to 7 dB
#: in adults and 2 dB in infants (computed with umbo.acoustics). [1]
VENT_Q = 2.0

#: Standard uncertainties of the logarithms of quality (infant against adult drums, computed) and of the corner: a
#: volume known to 20 % (sd of 0.20 to 0.28 of 1.06 to 1.23 cm³, abstract read) and a bore to 5 % (assumed). [1]
_LN_Q_U, _LN_CORNER_U = 0.4, 0.11

#: Lumped form against lossy bores on canals with model drums, from the corner down: an adult's, and below 12 months,
#: where the drum's own resistance takes 4 to 6 dB off above the corner (computed with umbo.acoustics). [dB], [month]
_FORM_U_DB, _INFANT_FORM_U_DB, _INFANT_MONTHS = 1.0, 3.0, 12.0

#: Level at the vent's mouth, in the concha, against that of the field, as a standard uncertainty (assumed). [dB]
_MOUTH_U_DB = 2.0

#: Widest and longest vent the lumped form is used for (engineering judgement: short against the wavelength). [m]
_WIDEST_M, _LONGEST_M = 0.010, 0.040


@dataclass(frozen=True, slots=True)
class Vent:
    """Straight bore through a mould, from its face in the concha to its face in the canal.

    Parameters
    ----------
    diameter_m : float
        Inner diameter. [m], above 0 to 10 mm (enforced)
    length_m : float
        Length of the bore, without end corrections. [m], above 0 to 40 mm (enforced)

    Raises
    ------
    OutOfRangeError
        If one of them lies outside.
    """

    diameter_m: float
    length_m: float

    def __post_init__(self) -> None:
        for name, value, most in (
            ("diameter", self.diameter_m, _WIDEST_M),
            ("length", self.length_m, _LONGEST_M),
        ):
            if not 0 < value <= most * (1 + 1e-9):
                raise OutOfRangeError(
                    f"describe a vent with a {name} of {1e3 * value:g} mm",
                    f"vents are described with a {name} above 0 and up to {1e3 * most:g} mm",
                    "give the size in metres, or declare the fitting open or closed",
                )

    @property
    def area_m2(self) -> float:
        """Cross-section. [m²]"""
        return pi * self.diameter_m**2 / 4

    @property
    def effective_length_m(self) -> float:
        """Length with two flanged ends: the faces of the mould are wide against the bore. [m]"""
        return self.length_m + 2 * end_correction_m(self.diameter_m / 2, flanged=True)

    @property
    def phrase(self) -> str:
        """How a sentence says it: "a vent of 2 mm x 18 mm"."""
        return f"a vent of {1e3 * self.diameter_m:g} mm x {1e3 * self.length_m:g} mm"


def end_correction_m(radius_m: float, *, flanged: bool) -> float:
    r"""Length by which the air in front of one end of a tube moves with it.

    .. math:: \Delta = \tfrac{8}{3\pi}\,a \ \text{(flanged)}, \qquad \Delta = 0.6133\,a \ \text{(unflanged)} \qquad (1)

    Parameters
    ----------
    radius_m : float
        Radius of the tube. [m]
    flanged : bool
        Whether the end lies in a face that is wide against the bore, as in a mould.

    Returns
    -------
    float
        Correction for this end. [m]

    References
    ----------
    Rayleigh, The Theory of Sound (flanged, low frequencies); Levine & Schwinger 1948, Phys. Rev. 73, 383 (unflanged):
    both from memory.
    """
    return (FLANGED if flanged else UNFLANGED) * radius_m  # Eq. (1)


def ear_volume_m3(age_months: float | None) -> float:
    """Effective volume of the ear behind a mould, by age.

    Parameters
    ----------
    age_months : float or None
        Age; None, not known, is an adult. Between the ages of the table straight over the logarithm of 1 + age, held
        beyond. [month]

    Returns
    -------
    float
        Volume of air of the same compliance. [m³]

    References
    ----------
    Table ``ear_volume``: adult from memory, infant computed and judged.
    """
    ages, volumes_cm3 = refdata.table("ear_volume", source="engineering-judgement").series("effective_volume_cm3")
    age = ages[-1] if age_months is None else max(age_months, 0.0)
    return 1e-6 * float(np.interp(np.log1p(age), np.log1p(ages), volumes_cm3))


def vent_corner_hz(vent: Vent, volume_m3: float) -> float:
    r"""Frequency below which a vent lets the aid's sound out and the sound of the field in (F13).

    .. math:: f_H = \frac{c}{2\pi}\sqrt{\frac{S}{V\,L'}}, \qquad L' = L + 2\Delta \qquad (2)

    Parameters
    ----------
    vent : Vent
        Bore and length.
    volume_m3 : float
        Effective volume of the ear behind it. [m³]

    Returns
    -------
    float
        Corner. [Hz]

    Raises
    ------
    OutOfRangeError
        For a volume that is not above zero.

    Notes
    -----
    The plug of air sets the speed of sound: that of 23 °C, 345 m/s. With two unflanged ends the corner of a 2 mm x
    18 mm vent lies 1 % higher; which form fits is part of the corner's uncertainty.
    """
    if not volume_m3 > 0:
        raise OutOfRangeError(
            f"find the corner of {vent.phrase}", f"the ear's volume is {volume_m3:g} m³", "give a volume above zero"
        )
    compliance = volume_m3 * vent.effective_length_m
    return COUPLER_AIR.sound_speed_m_s / (2 * pi) * sqrt(vent.area_m2 / compliance)  # Eq. (2)


def vent_effect(grid: Grid, vent: Vent, *, ear: Ear, age_months: float | None, never_lowers: bool = False) -> Transfer:
    r"""What a vent does to the aid's sound at the eardrum, against the same fitting closed.

    .. math:: H = \frac{-x^2}{1 - x^2 + \mathrm{j}x/Q}, \quad x = \frac{f}{f_H} \qquad (3)

    It falls by 12 dB per octave below the corner.

    Parameters
    ----------
    grid : Grid
        Frequencies.
    vent : Vent
        Bore and length.
    ear : Ear
        Side.
    age_months : float or None
        Age, for the ear's volume; None is an adult's. [month]
    never_lowers : bool
        Give the upper bound, H or 0 dB, for a maximum output: a vent that is blocked takes nothing away.

    Returns
    -------
    Transfer
        From the eardrum to the eardrum: added where the closed fitting's level has arrived. [dB]

    Notes
    -----
    For a source whose flow does not depend on the load, a receiver behind a tube: an open vent then shunts the ear.
    Lumped: above about 3 kHz the bore is a line, and Eq. (3) is near 0 dB anyway.
    """
    return _transfer(
        grid,
        vent,
        _raise_db if never_lowers else _loss_db,
        start=Plane.eardrum(),
        name=("most a vent adds" if never_lowers else "vent effect", ear),
        age_months=age_months,
        extra=(),
    )


def vent_transmission(grid: Grid, vent: Vent, *, ear: Ear, age_months: float | None) -> Transfer:
    r"""What a vent lets in: sound of the field at the eardrum of a fitted ear with the aid silent, a model of the REOG.

    .. math:: L = \frac{1}{1 - x^2 + \mathrm{j}x/Q}, \quad x = \frac{f}{f_H} \qquad (4)

    Below the corner sound enters unattenuated, above it falls by 12 dB per octave.

    Parameters
    ----------
    grid : Grid
        Frequencies.
    vent : Vent
        Bore and length.
    ear : Ear
        Side.
    age_months : float or None
        Age, for the ear's volume; None is an adult's. [month]

    Returns
    -------
    Transfer
        From the free field to the eardrum. [dB]

    Notes
    -----
    The level at the vent's mouth is taken as that of the field. Hoover, Stelmachowicz & Lewis 2000 (abstract read)
    found sound to enter unattenuated at 250 and 500 Hz whatever the mould's fit or vent.
    """
    mouth = Component(
        f"vent_mouth:{ear}",
        "level at the vent's mouth against the field",
        np.array([_MOUTH_U_DB]),
        "full",
        "B",
        "assumed",
    )
    return _transfer(
        grid,
        vent,
        _entering_db,
        start=Plane.free_field(),
        name=("sound through the vent", ear),
        age_months=age_months,
        extra=(mouth,),
    )


def _loss_db(x: FloatArray, q: float) -> FloatArray:
    return np.asarray(40 * np.log10(x) + _entering_db(x, q))  # Eq. (3)


def _raise_db(x: FloatArray, q: float) -> FloatArray:
    return np.maximum(_loss_db(x, q), 0.0)


def _entering_db(x: FloatArray, q: float) -> FloatArray:
    return np.asarray(-20 * np.log10(np.abs(1 - x**2 + 1j * x / q)))  # Eq. (4)


def _transfer(
    grid: Grid,
    vent: Vent,
    response: Callable[[FloatArray, float], FloatArray],
    *,
    start: Plane,
    name: tuple[str, Ear],
    age_months: float | None,
    extra: tuple[Component, ...],
) -> Transfer:
    """A vent's response with the doubts of its corner and of its resonance."""
    quantity, ear = name
    corner_hz = vent_corner_hz(vent, ear_volume_m3(age_months))
    x = grid.frequency_hz / corner_hz
    by_corner = 0.5 * (response(x * np.exp(-_LN_CORNER_U), VENT_Q) - response(x * np.exp(_LN_CORNER_U), VENT_Q))
    by_quality = 0.5 * (response(x, VENT_Q * np.exp(_LN_Q_U)) - response(x, VENT_Q * np.exp(-_LN_Q_U)))
    is_infant = age_months is not None and age_months < _INFANT_MONTHS
    by_form = (_INFANT_FORM_U_DB if is_infant else _FORM_U_DB) / np.maximum(1.0, x)
    components = (
        Component(f"vent_form:{ear}", "lumped form of the vent", by_form, "full", "B", "computed for model ears"),
        Component(
            f"vent_corner:{ear}", "corner frequency of the vent", by_corner, "full", "B", "volume and bore, assumed"
        ),
        Component(
            f"vent_quality:{ear}", "resonance of vent and ear", by_quality, "full", "B", "computed for model ears"
        ),
        *extra,
    )
    return Transfer.given(
        grid,
        response(x, VENT_Q),
        start=start,
        end=Plane.eardrum(),
        tags=Tags(quantity=quantity, ear=ear, stimulus=None, statistic=None, coupling=None, source=None),
        source=f"{vent.phrase}, corner {corner_hz:.0f} Hz (F13, computed)",
        components=components,
    )
