"""Ready-made scenarios: a two-ear case to show, and random cases to try everything on."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from umbo.core import CouplerKind, Ear
from umbo.sim._fitting import fit_aid
from umbo.sim._population import random_ear
from umbo.sim._scenario import Audiogram, EarScenario, Fault, Scenario

__all__ = ["demo_scenario", "random_scenario"]

_HZ = (250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)
_DISCOMFORT_HZ = (500.0, 1000.0, 2000.0, 4000.0)

# Level at a behind-the-ear microphone over the field, invented with the case.
_MICROPHONE_LOCATION_DB = ((250.0, 0.0), (500.0, 0.5), (1000.0, 1.0), (2000.0, 2.5), (4000.0, 3.0), (8000.0, 1.0))


def demo_scenario(seed: int = 2228) -> Scenario:
    """A child of 27 months with two aids; everything is right, but the left probe lay too far from the drum.

    Parameters
    ----------
    seed : int
        Seed of ears and recordings; this one draws a left canal long enough for a probe to lie 10 mm from the drum.
        [1]

    Returns
    -------
    Scenario
        Both ears, insert-earphone RECDs in HA-1 and 0.4 cc, aids in both couplers with speech at 55, 65 and 75 dB
        and a sweep at 90 dB, one planted fault.
    """
    losses: dict[Ear, Audiogram] = {
        Ear.RIGHT: tuple(zip(_HZ, (30.0, 35.0, 45.0, 55.0, 60.0, 65.0), strict=True)),
        Ear.LEFT: tuple(zip(_HZ, (30.0, 40.0, 45.0, 50.0, 60.0, 70.0), strict=True)),
    }
    limits: Audiogram = tuple(zip(_DISCOMFORT_HZ, (105.0, 110.0, 110.0, 110.0), strict=True))
    rng = np.random.default_rng(seed)
    ears = tuple(
        _aided(side, rng, 27.0, losses[side], limits, (Fault.SHALLOW_PROBE,) if side is Ear.LEFT else ())
        for side in (Ear.RIGHT, Ear.LEFT)
    )
    return Scenario(name="invented-demo", seed=seed, age_months=27.0, ears=ears)


def random_scenario(
    seed: int,
    *,
    age_months: float | None = None,
    sides: tuple[Ear, ...] = (Ear.RIGHT,),
    couplers: tuple[CouplerKind, ...] = (CouplerKind.HA1, CouplerKind.CC04),
    faults: Mapping[Ear, tuple[Fault, ...]] | None = None,
    with_aid: bool = False,
) -> Scenario:
    """An invented case drawn from the population.

    Parameters
    ----------
    seed : int
        Seed of ears, hearing loss and recordings. [1]
    age_months : float, optional
        Age; drawn without it. [months]
    sides : tuple of Ear
        Which ears.
    couplers : tuple of CouplerKind
        Which couplers.
    faults : mapping of Ear to tuple of Fault, optional
        What to plant.
    with_aid : bool
        Whether aids are fitted and played; else a case of RECDs only.

    Returns
    -------
    Scenario
        Ready to write.
    """
    rng = np.random.default_rng(seed)
    age = float(age_months) if age_months is not None else random_ear(rng).age_months
    planted = faults if faults is not None else {}
    ears = []
    for side in sides:
        start = 5.0 * float(rng.integers(4, 9))
        loss: Audiogram = tuple((f, min(start + 5.0 * step, 90.0)) for step, f in enumerate(_HZ))
        limits: Audiogram = tuple((f, 110.0) for f in _DISCOMFORT_HZ)
        if with_aid:
            ears.append(_aided(side, rng, age, loss, limits, planted.get(side, ())))
        else:
            ear = random_ear(rng, age)
            ears.append(EarScenario(side=side, ear=ear, thresholds=loss, faults=planted.get(side, ())))
    return Scenario(name=f"invented-{seed}", seed=seed, age_months=round(age, 1), ears=tuple(ears), couplers=couplers)


def _aided(
    side: Ear,
    rng: np.random.Generator,
    age_months: float,
    loss: Audiogram,
    limits: Audiogram,
    faults: tuple[Fault, ...],
) -> EarScenario:
    ear = random_ear(rng, age_months)
    fitting = fit_aid(ear, loss, limits, microphone_location_db=_MICROPHONE_LOCATION_DB)
    return EarScenario(
        side=side,
        ear=ear,
        thresholds=loss,
        discomfort=limits,
        aid=fitting.aid,
        targets=fitting.targets,
        microphone_location_db=_MICROPHONE_LOCATION_DB,
        faults=faults,
    )
