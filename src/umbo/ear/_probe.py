"""From the probe tip to the eardrum."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics import (
    EAR_AIR,
    drum_impedance_hudde_engel_1998,
    drum_impedance_infant_2022,
    drum_impedance_kringlebotn_1988,
)
from umbo.core import Component, Ear, FloatArray, Grid, Plane, Tags, Transfer

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from umbo.ear._position import ProbePosition

__all__ = ["probe_to_eardrum"]

#: Canals near an adult drum, as radius at the drum [m] and widening away from it [1]. The last is the straight canal of
#: the area at the annulus, 56 mm² (CT study 2023, abstract read); the others narrow to 10-20 mm² at the drum, which
#: stands oblique in the canal (assumed; tested on six scanned canals).
_ADULT_CANALS = np.array([(1.8e-3, 0.15), (2.2e-3, 0.15), (2.6e-3, 0.15), (4.2e-3, 0.0)])

#: The same for infants: a radius of 1.7 mm (Sankowsky-Rothe et al. 2022), diameters of 4.4 mm at one month and 7.7 mm
#: at 24 months (Keefe et al. 1993, from memory), one between; narrowing assumed.
_INFANT_CANALS = np.array([(1.7e-3, 0.10), (2.2e-3, 0.05), (3.0e-3, 0.0)])

#: Below this age the canals are an infant's and the infant drum stands for the second adult one (assumed). [month]
_INFANT_MONTHS = 12.0


def probe_to_eardrum(
    position: ProbePosition, grid: Grid, *, tip: Plane, ear: Ear | None, age_months: float | None
) -> Transfer:
    r"""Transfer from the probe tip to the eardrum in a canal closed by a real drum.

    In a canal that widens from radius :math:`r_0` at the drum to :math:`r = r_0 + s d` at the tip, without losses,

    .. math:: T(f) = -20 \lg \left| \frac{r_0}{r}\left[\cos kd +
        \left(\mathrm{j}\frac{Z_c}{Z_d} + \frac{s}{k r_0}\right)\sin kd\right]\right|,
        \quad Z_c = \frac{\rho c}{\pi r_0^2} \qquad (1)

    evaluated for an ensemble of published drum impedances and canal shapes. With the ensemble's mean m and the standard
    uncertainty u, the correction is

    .. math:: \hat T = m\,\frac{m^2}{m^2 + u^2} \qquad (2)

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
        From ``tip`` to the eardrum; its uncertainty has two causes, the distance and this ear. [dB]

    Notes
    -----
    Equation (2) makes the correction as far as it is known, so that a good probe is not made worse by it: where the
    models disagree or the distance is not known, the reading stays as it is and the uncertainty says so. Equation (1)
    for s = 0 is the straight canal. It is meant up to the probe limit; above it the points are marked.

    References
    ----------
    Spherical waves in cones are classical; drums as in `umbo.acoustics`.
    """
    d_mm, u_mm = position.distance_mm, position.u_mm
    key, n = f"probe:{ear}:{tip.distance_mm}", grid.size
    nearer, here, farther = (
        _ensemble_db(grid.frequency_hz, x * 1e-3, age_months) for x in (max(d_mm - u_mm, 0.0), d_mm, d_mm + u_mm)
    )
    by_distance = 0.5 * (farther.mean(axis=0) - nearer.mean(axis=0))
    by_ear = here.std(axis=0, ddof=1)
    known_by = f"u = {u_mm:.1f} mm, {position.known_by}"
    components = (
        Component(f"{key}:distance", "distance probe tip to eardrum", by_distance, "full", "B", known_by),
        Component(
            f"{key}:ear", "eardrum and canal near it", by_ear, "full", "B", "spread of published drums and canals"
        ),
    )
    mean_db = here.mean(axis=0)
    size = mean_db**2 + by_distance**2 + by_ear**2
    correction_db = mean_db * np.divide(mean_db**2, size, out=np.zeros(n), where=size > 0)  # Eq. (2)
    source = f"tip {d_mm:.1f} mm from the drum ({position.known_by}), mean of {here.shape[0]} model ears"
    return Transfer.given(
        grid, correction_db, start=tip, end=Plane.eardrum(), tags=_tags(ear), source=source, components=components
    )


def _tags(ear: Ear | None) -> Tags:
    return Tags(quantity="probe tip to eardrum", ear=ear, stimulus=None, statistic=None, coupling=None, source=None)


def _ensemble_db(frequency_hz: FloatArray, distance_m: float, age_months: float | None) -> FloatArray:
    """Equation (1) for each member of the ensemble. Shape (members, n). [dB]"""
    is_infant = age_months is not None and age_months < _INFANT_MONTHS
    canals = _INFANT_CANALS if is_infant else _ADULT_CANALS
    drums = _drums(frequency_hz.tobytes(), is_infant=is_infant)
    r_0, s = canals[:, 0, np.newaxis, np.newaxis], canals[:, 1, np.newaxis, np.newaxis]
    k = 2 * np.pi * frequency_hz / EAR_AIR.sound_speed_m_s
    z_c = EAR_AIR.characteristic_impedance_pa_s_m / (np.pi * r_0**2)
    inner = np.cos(k * distance_m) + (1j * z_c / drums + s / (k * r_0)) * np.sin(k * distance_m)
    ratio = r_0 / (r_0 + s * distance_m) * inner
    return np.asarray(-20 * np.log10(np.abs(ratio))).reshape(-1, frequency_hz.size)  # Eq. (1)


@lru_cache(maxsize=16)
def _drums(frequency_bytes: bytes, *, is_infant: bool) -> NDArray[np.complex128]:
    """Drum impedances of the ensemble, kept for the last few grids. Shape (drums, n). [Pa s/m³]"""
    frequency_hz = np.frombuffer(frequency_bytes, dtype=np.float64)
    other = drum_impedance_infant_2022 if is_infant else drum_impedance_kringlebotn_1988
    return np.stack([drum_impedance_hudde_engel_1998(frequency_hz), other(frequency_hz)])
