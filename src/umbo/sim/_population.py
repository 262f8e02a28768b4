"""Random ears, drawn from stated distributions."""

from __future__ import annotations

import numpy as np

from umbo.errors import OutOfRangeError
from umbo.sim._ears import VirtualEar

__all__ = ["ADULT_MONTHS", "random_ear"]

#: Age from which the ear counts as adult: 7 years (Dempster & Mackenzie 1990, abstract: resonance adult by 7). [months]
ADULT_MONTHS = 84.0

# Canal diameter at 1 month 4.4 mm and at 24 months 7.7 mm: Keefe et al. 1993 (from memory). Adult: area at the first
# bend 53 (18) mm² and at the annulus 56 (8) mm², length 31.4 (3.1) mm, 66 ears by CT (2023, PubMed 37201272, abstract).
# Infant length 14 mm: example of Sankowsky-Rothe et al. 2022 (library source read); growth in the logarithm of age,
# assumed.
_AGES_MONTHS = (1.0, 24.0, ADULT_MONTHS)
_DIAMETERS_MM = (4.4, 7.7, 8.2)
_LENGTHS_MM = (14.0, 22.0, 31.4)
_LENGTH_SPREAD = 3.1 / 31.4
_AREA_SPREAD = 8.0 / 56.0  # of the annulus: the wider spread of the bend is mostly age and shape
_TIP_SHARES = (0.40, 0.58, 0.55)  # share of the canal filled by the ear tip at these ages, assumed
_TIP_SPREAD = 0.05  # its spread, assumed
_DRUM_TAPER = (0.70, 1.0)  # radius at the tilted drum over radius of the canal, assumed
_OUTLET_FLARE = (0.95, 1.15)  # radius at the outlet over radius half way, assumed
_DRUM_SPREAD_DB = 2.0  # of the drum's impedance, assumed
_PROBE_M = (1.5e-3, 5.0e-3)  # common practice: within 5 mm of the drum
_STIFF_MONTHS = 24.0  # from here the canal wall counts as rigid, assumed
_INFANT_MODULUS_PA = 90e3  # Sankowsky-Rothe et al. 2022 (library source read)
_MODULUS_DECADES = 2.0  # stiffening from 1 to 24 months, assumed


def random_ear(rng: np.random.Generator, age_months: float | None = None) -> VirtualEar:
    """One ear from the population, with an ear tip and a well placed probe.

    Means and spreads of canal length and area are published values for adults (see the comments in the source);
    their course with age, the share of canal filled by the tip, tapers, and the spread of the drum are assumed.

    Parameters
    ----------
    rng : Generator
        Source of the draws.
    age_months : float, optional
        Age; without it even odds of an adult (40 years), a child (1 to 7 years) and an infant (1 to 12 months).
        [months]

    Returns
    -------
    VirtualEar
        Sealed, with a normal middle ear.

    Raises
    ------
    OutOfRangeError
        Below 1 month.
    """
    age = float(age_months) if age_months is not None else _random_age(rng)
    if age < _AGES_MONTHS[0]:
        raise OutOfRangeError(
            f"draw an ear of {age:g} months", "sizes are known from 1 month on", "ask for 1 month or more"
        )
    log_age = np.log(min(age, ADULT_MONTHS))
    log_ages = np.log(_AGES_MONTHS)
    diameter_m = 1e-3 * np.interp(log_age, log_ages, _DIAMETERS_MM)
    canal_m = 1e-3 * np.interp(log_age, log_ages, _LENGTHS_MM) * (1.0 + _LENGTH_SPREAD * _bounded(rng))
    middle_m = 0.5 * diameter_m * np.sqrt(1.0 + _AREA_SPREAD * _bounded(rng))
    length_m = canal_m * (1.0 - np.interp(log_age, log_ages, _TIP_SHARES) - _TIP_SPREAD * _bounded(rng))
    stiffening = log_age / np.log(_STIFF_MONTHS)
    return VirtualEar(
        age_months=age,
        length_m=float(length_m),
        radius_m=(
            float(middle_m * rng.uniform(*_OUTLET_FLARE)),
            float(middle_m),
            float(middle_m * rng.uniform(*_DRUM_TAPER)),
        ),
        drum="hudde_engel_1998" if rng.random() < 0.5 else "kringlebotn_1988",
        infant_share=float(1.0 - log_age / np.log(ADULT_MONTHS)),
        drum_scale=float(10.0 ** (_DRUM_SPREAD_DB * _bounded(rng) / 20.0)),
        wall_modulus_pa=float(_INFANT_MODULUS_PA * 10.0 ** (_MODULUS_DECADES * stiffening))
        if stiffening < 1.0
        else None,
        probe_to_drum_m=float(min(rng.uniform(*_PROBE_M), 0.6 * length_m)),
    )


def _random_age(rng: np.random.Generator) -> float:
    kind = rng.integers(3)
    low, high = ((480.0, 480.0), (12.0, ADULT_MONTHS), (1.0, 12.0))[kind]
    return float(rng.uniform(low, high))


def _bounded(rng: np.random.Generator) -> float:
    """Standard normal, held within 2.5 standard deviations so that no ear has an impossible size."""
    return float(np.clip(rng.standard_normal(), -2.5, 2.5))
