"""How a Monte Carlo simulation is drawn, and what is read from its draws (JCGM 101:2008)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import InputError

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["COVERAGE", "Draws", "coverage_interval"]

#: Coverage probability of every interval: 2.5 to 97.5 % of the draws. [1]
COVERAGE = 0.95


@dataclass(frozen=True, slots=True)
class Draws:
    """Number and seed of the draws of a Monte Carlo simulation.

    Parameters
    ----------
    n : int
        Number of draws, at least 100; 10,000 give the ends of an interval to a few per cent of its width. [1]
    seed : int
        Seed of the generator: the same seed gives the same draws. [1]

    Raises
    ------
    InputError
        If there are fewer than 100 draws.
    """

    n: int = 10_000
    seed: int = 1997

    def __post_init__(self) -> None:
        if self.n < 100:
            raise InputError(
                f"simulate with {self.n} draws", "an interval needs its ends, of 2.5 % each", "draw 100 or more"
            )

    def generator(self) -> np.random.Generator:
        """Make a generator at the beginning of its sequence."""
        return np.random.default_rng(self.seed)


def coverage_interval(values: FloatArray) -> tuple[float, float]:
    """Probabilistically symmetric interval of coverage 95 % (JCGM 101:2008, 7.7).

    Parameters
    ----------
    values : array (draws,)
        Draws; infinite ones are allowed, and none is averaged with another. [any unit]

    Returns
    -------
    (float, float)
        Lower and upper end, each one of the draws. [the same unit]
    """
    tail = (1 - COVERAGE) / 2
    low, high = np.quantile(values, (tail, 1 - tail), method="inverted_cdf")
    return float(low), float(high)
