"""Unaided gain of the open ear, from a sound field to the eardrum, by age."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

from umbo import refdata
from umbo.core import ADULT_EAR_MONTHS, Component, Grid, Plane, PlaneKind, PointState, States, Tags, Transfer
from umbo.errors import NotPossibleHereError, OutOfRangeError

if TYPE_CHECKING:
    from umbo.core import Ear, FloatArray

__all__ = ["RESONANCE_U", "UNAIDED_SOURCE", "field_to_eardrum", "resonance_hz", "unaided_gain"]

Field = Literal["free", "diffuse"]

#: The adult curve of a session: third-octaves, two sources read. Its name in the tables ``field_to_eardrum``.
UNAIDED_SOURCE = "ansi-s3.5-1997"

#: Standard uncertainty of the logarithm of one ear's resonance frequency: 2298 to 3763 Hz in 250 children (Dempster &
#: Mackenzie 1990, abstract read), read as 5.6 standard deviations, the expected range of 250 normal values. [1]
RESONANCE_U = 0.088

#: Spread of the individual unaided gain around an average, apart from its resonance frequency (assumed). [dB]
INDIVIDUAL_U_DB = 3.0

#: How much of what the move does to the curve is in doubt, as a standard uncertainty: one half (assumed). [1]
_MOVE_DOUBT = 0.5

#: Here the unaided gain is 0 dB: head and ear are small against the wavelength (17 m);
#: where exactly that begins is assumed. [Hz]
_NO_GAIN_HZ = 20.0

_COLUMNS: dict[str, dict[str, str]] = {
    "free": {
        "ansi-s3.5-1997": "ansi_s3p5_free_field_to_eardrum_db",
        "iso-11904-1-2002": "iso11904_1_free_field_db",
        "moore-2016": "moore_2016_free_field_db",
    },
    "diffuse": {"iso-11904-1-2002": "iso11904_1_diffuse_db", "moore-2016": "moore_2016_diffuse_db"},
}

#: Published resonances: age in months, source and item of the table ``external_ear_resonance``. The mean of infants of
#: 0 to 6 months stands at 3 months. The 2700 Hz "from the second year of life on" (Kruger 1987) lie 7 % below the value
#: at 24 months that is used, within the spread.
_RESONANCES = (
    (0.0, "kruger-1987", "birth"),
    (1.0, "keefe-1994", "canal_1_month"),
    (3.0, "westwood-bamford-undated", "infant_mean"),
    (24.0, "keefe-1994", "canal_24_months"),
    (48.0, "dempster-mackenzie-1990", "mean_4_years"),
)


def resonance_hz(age_months: float, *, field: Field, source: str) -> float:
    r"""Resonance frequency of the open ear at an age.

    .. math:: \ln f_r(a) = \text{straight between published ages over } \ln(1 + a/\text{month}) \qquad (1)

    From 84 months on it is the resonance of the adult curve: the vertex of the parabola over log frequency through its
    highest point and the two beside it.

    Parameters
    ----------
    age_months : float
        Age. [month], 0 or more (enforced)
    field : {"free", "diffuse"}
        Field of the adult curve.
    source : str
        Adult curve, by its name in the tables ``field_to_eardrum``.

    Returns
    -------
    float
        Resonance frequency. [Hz]

    Raises
    ------
    OutOfRangeError
        For a negative age.
    NotPossibleHereError
        If the source has no curve for this field.

    Notes
    -----
    The published values come from different fields, ears and definitions: most are diffuse-field values. How the
    resonance moves between the published ages is assumed.

    References
    ----------
    Kruger 1987, Ear Hear 8; Keefe et al. 1994, J. Acoust. Soc. Am. 95, 355; Dempster & Mackenzie 1990, Ear Hear 11,
    296; Westwood & Bamford (0 to 6 months): abstracts read, table ``external_ear_resonance``.
    """
    if not age_months >= 0:
        raise OutOfRangeError(
            f"name the resonance of the ear at {age_months:g} months", "an age is not negative", "give the age at birth"
        )
    adult_hz = _vertex_hz(*_curve(field, source))
    if age_months >= ADULT_EAR_MONTHS:
        return adult_hz
    ages = [age for age, _, _ in _RESONANCES]
    known = [refdata.table("external_ear_resonance", source=name).at(item, "value") for _, name, item in _RESONANCES]
    at = np.log1p([*ages, ADULT_EAR_MONTHS])
    return float(np.exp(np.interp(np.log1p(age_months), at, np.log([*known, adult_hz]))))  # Eq. (1)


def unaided_gain(
    frequency_hz: FloatArray, age_months: float | None, *, ear: Ear | None, field: Field, source: str
) -> Transfer:
    r"""Real-ear unaided gain at an age: the adult curve with its resonance moved to the age's.

    .. math:: G_a(f) = G_{adult}\!\left(f\,\frac{f_{adult}}{f_r(a)}\right) \qquad (2)

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies, ascending; between tabulated ones interpolated and marked. [Hz]
    age_months : float or None
        Age; None, not known, is the adult curve with the doubt of a two-year-old's. [month], 0 or more (enforced)
    ear : Ear or None
        Side it will stand for.
    field : {"free", "diffuse"}
        Frontal free field, or diffuse field.
    source : str
        Adult curve: "ansi-s3.5-1997" (free field only), "iso-11904-1-2002" or "moore-2016".

    Returns
    -------
    Transfer
        From the field to the eardrum. [dB]

    Raises
    ------
    OutOfRangeError
        For a negative age, below 20 Hz, or above the end of the moved table.
    NotPossibleHereError
        If the source has no curve for this field.

    Notes
    -----
    No published curves of the unaided gain by age were found, only resonance frequencies. That the whole curve moves
    with its resonance is assumed: concha, pinna and head do not grow as the canal does, and the height of the peak is
    kept. Every point of a moved curve is therefore marked, and half of what the move does is its standard uncertainty.
    Below the lowest tabulated frequency the gain goes to 0 dB at 20 Hz.

    References
    ----------
    ANSI S3.5-1997 Table 3; ISO 11904-1:2002; Moore et al. 2016 (tables ``field_to_eardrum``).
    """
    grid = Grid.tones(frequency_hz)
    adult_hz, adult_db = _curve(field, source)
    vertex = _vertex_hz(adult_hz, adult_db)
    resonance = vertex if age_months is None else resonance_hz(age_months, field=field, source=source)
    ratio = resonance / vertex
    _require_inside(grid.frequency_hz, adult_hz * ratio, source)
    values = _read(grid.frequency_hz / ratio, adult_hz, adult_db)  # Eq. (2)
    label, states = _label(grid.frequency_hz, adult_hz, age_months, is_moved=not np.isclose(ratio, 1.0))
    table = refdata.table("field_to_eardrum", source=source)
    return Transfer.given(
        grid,
        values,
        start=Plane.free_field() if field == "free" else Plane(PlaneKind.DIFFUSE_FIELD),
        end=Plane.eardrum(),
        tags=Tags(quantity="average REUG", ear=ear, stimulus=None, statistic=None, coupling=None, source=None),
        source=f"{table.brief(_COLUMNS[field][source])}; {label}",
        components=_components(grid.frequency_hz, ratio, age_months, (field, source), ear),
        states=states,
    )


def field_to_eardrum(frequency_hz: FloatArray, *, ear: Ear | None) -> Transfer:
    """Average adult real-ear unaided gain, frontal incidence (ANSI S3.5-1997 Table 3): free field to eardrum.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies. [Hz]
    ear : Ear or None
        Side it will stand for.
    """
    return unaided_gain(frequency_hz, ADULT_EAR_MONTHS, ear=ear, field="free", source=UNAIDED_SOURCE)


def _curve(field: Field, source: str) -> tuple[FloatArray, FloatArray]:
    """Frequencies and gain of an adult curve. [Hz], [dB]."""
    known = _COLUMNS.get(field, {})
    if source not in known:
        raise NotPossibleHereError(
            f"read the unaided gain in a {field} field from '{source}'",
            f"curves for a {field} field are those of {', '.join(known) or 'free and diffuse fields only'}",
            "choose one of these",
        )
    return refdata.table("field_to_eardrum", source=source).series(known[source])


def _vertex_hz(frequency_hz: FloatArray, gain_db: FloatArray) -> float:
    """Maximum of the parabola over log frequency through the highest point and its neighbours. [Hz]."""
    top = int(np.argmax(gain_db))
    x = np.log(frequency_hz[top - 1 : top + 2] / frequency_hz[top])
    bend, slope, _ = np.polyfit(x, gain_db[top - 1 : top + 2], 2)
    return float(frequency_hz[top] * np.exp(-slope / (2 * bend)))


def _read(frequency_hz: FloatArray, table_hz: FloatArray, table_db: FloatArray) -> FloatArray:
    """Straight over log frequency, with 0 dB at 20 Hz where the table starts higher. [dB]."""
    low = table_hz[0] > _NO_GAIN_HZ
    hz = np.concatenate([[_NO_GAIN_HZ], table_hz]) if low else table_hz
    db = np.concatenate([[0.0], table_db]) if low else table_db
    return np.asarray(np.interp(np.log(frequency_hz), np.log(hz), db))


def _require_inside(frequency_hz: FloatArray, moved_hz: FloatArray, source: str) -> None:
    end = moved_hz[-1] * (1 + 1e-9)
    if frequency_hz[0] < _NO_GAIN_HZ or frequency_hz[-1] > end:
        far = frequency_hz[0] if frequency_hz[0] < _NO_GAIN_HZ else frequency_hz[-1]
        raise OutOfRangeError(
            f"read the unaided gain at {far:g} Hz",
            f"the curve of '{source}' for this age reaches from {_NO_GAIN_HZ:g} to {end:.0f} Hz",
            "leave this frequency out, or choose a source that reaches farther",
        )


def _label(
    frequency_hz: FloatArray, table_hz: FloatArray, age_months: float | None, *, is_moved: bool
) -> tuple[str, States]:
    """What the curve is called, and the states of its points."""
    states, every = States.ok(frequency_hz.size), np.ones(frequency_hz.size, bool)
    if is_moved:
        label = "adult curve moved to the resonance of this age: assumed"
        return label, states.marked(PointState.INTERPOLATED, every, label)
    between = ~np.isin(frequency_hz, table_hz)
    states = states.marked(PointState.INTERPOLATED, between, "between tabulated frequencies of the unaided gain")
    if age_months is None:
        label = "adult curve for an age that is not known"
        return label, states.marked(PointState.INTERPOLATED, every, label)
    return "adult", states


def _components(
    frequency_hz: FloatArray, ratio: float, age_months: float | None, curve: tuple[Field, str], ear: Ear | None
) -> tuple[Component, Component, Component]:
    """Spread of the level in this ear, of its resonance frequency, and doubt of the construction."""
    hz, db = _curve(*curve)
    higher, lower = (_held(frequency_hz, hz * ratio * np.exp(sign * RESONANCE_U), db) for sign in (1, -1))
    read = f"{RESONANCE_U:.1%} of the resonance; Dempster & Mackenzie 1990 (range, abstract read)"
    construction = np.hypot(
        _between_curves(frequency_hz, ratio, curve), _move_doubt(frequency_hz, ratio, age_months, curve)
    )
    return (
        Component(
            f"reug:{ear}", "this ear's unaided gain against the average", np.array([INDIVIDUAL_U_DB]), "full", "B",
            "assumed",
        ),
        Component(
            f"reug_resonance:{ear}", "this ear's resonance against that of its age", 0.5 * (higher - lower), "full",
            "B", read,
        ),
        Component(
            f"reug_construction:{ear}", "construction of the unaided gain", construction, "full", "B",
            "spread of published adult curves, and half of what the move to this age does (assumed)",
        ),
    )  # fmt: skip


def _held(frequency_hz: FloatArray, table_hz: FloatArray, table_db: FloatArray) -> FloatArray:
    return np.asarray(np.interp(np.log(frequency_hz), np.log(table_hz), table_db))


def _between_curves(frequency_hz: FloatArray, ratio: float, curve: tuple[Field, str]) -> FloatArray:
    """Half the range of the published adult curves for this field, where they overlap; held beyond. [dB]."""
    field = curve[0]
    read = [_held(frequency_hz / ratio, *_curve(field, source)) for source in _COLUMNS[field]]
    return np.asarray(0.5 * np.ptp(read, axis=0))


def _move_doubt(
    frequency_hz: FloatArray, ratio: float, age_months: float | None, curve: tuple[Field, str]
) -> FloatArray:
    """Half of what the move does; for an unknown age, of what a move to two years would do. [dB]."""
    hz, db = _curve(*curve)
    if age_months is None:
        ratio = resonance_hz(24.0, field=curve[0], source=curve[1]) / _vertex_hz(hz, db)
    return np.asarray(_MOVE_DOUBT * np.abs(_held(frequency_hz, hz * ratio, db) - _held(frequency_hz, hz, db)))
