"""What draws of a verdict found out."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING

import numpy as np

from umbo.verdict._share_words import share_words

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["DrawnCount", "DrawnCriterion", "DrawnRms", "VerdictDraws"]


@dataclass(frozen=True, slots=True)
class DrawnCriterion:
    """How often a criterion is kept.

    Parameters
    ----------
    criterion : str
        Identifier, as in :class:`Judgement`; "verdict" for all together.
    share : float
        Share of draws that keep it, at all points that can be used. [1]
    n : int
        Number of draws. [1]
    is_complete : bool
        Whether every point, or every part, it needs could be used; if not, the share is an upper bound.
    """

    criterion: str
    share: float
    n: int
    is_complete: bool

    @property
    def standard_error(self) -> float:
        """Standard deviation of the share from drawing only n times. [1]"""
        return sqrt(self.share * (1 - self.share) / self.n)

    @property
    def sentence(self) -> str:
        """What the share says, and no more."""
        words = share_words(self.share, self.n)
        subject = "Every criterion is kept" if self.criterion == "verdict" else "This criterion is kept"
        limit = "" if self.is_complete else "; less often if what could not be used is counted"
        return f"{subject} {words} that are consistent with the stated uncertainty{limit}."


@dataclass(frozen=True, slots=True, eq=False)
class DrawnRms:
    """Distribution of an rms deviation.

    Parameters
    ----------
    criterion : str
        Identifier: "rms_65".
    draws_db : array (n,)
        One rms per draw. An error rarely cancels a deviation, so their mean lies above the rms of the measured values:
        the mean square grows by the mean variance. [dB]
    """

    criterion: str
    draws_db: FloatArray

    @property
    def mean_db(self) -> float:
        """Mean of the draws. [dB]"""
        return float(self.draws_db.mean())

    @property
    def u_db(self) -> float:
        """Standard deviation of the draws. [dB]"""
        return float(self.draws_db.std())

    def interval_db(self, coverage: float = 0.95) -> tuple[float, float]:
        """Probabilistically symmetric coverage interval (JCGM 101 clause 7.7.2).

        Parameters
        ----------
        coverage : float
            Share of the draws inside, between 0 and 1. [1]

        Returns
        -------
        tuple of float
            Lower and upper end. [dB]
        """
        low, high = np.quantile(self.draws_db, [(1 - coverage) / 2, (1 + coverage) / 2])
        return float(low), float(high)


@dataclass(frozen=True, slots=True, eq=False)
class DrawnCount:
    """At how many frequencies speech lies above threshold.

    Parameters
    ----------
    criterion : str
        Identifier: "audible_65".
    draws : array (n,), int
        Count of each draw. [1]
    of : int
        Frequencies that can be told. [1]
    """

    criterion: str
    draws: FloatArray
    of: int

    @property
    def mean(self) -> float:
        """Mean count. [1]"""
        return float(self.draws.mean())


@dataclass(frozen=True, slots=True, eq=False)
class VerdictDraws:
    """A verdict drawn many times.

    Parameters
    ----------
    n, seed : int
        Number of draws, and the seed that makes them again. [1]
    criteria : tuple of DrawnCriterion
        Every criterion that could be drawn.
    whole : DrawnCriterion
        All of them in one and the same draw.
    rms : tuple of DrawnRms
        Distributions of the rms deviations.
    audible : tuple of DrawnCount
        Counts of audible frequencies; they fail nothing.
    """

    n: int
    seed: int
    criteria: tuple[DrawnCriterion, ...]
    whole: DrawnCriterion
    rms: tuple[DrawnRms, ...]
    audible: tuple[DrawnCount, ...]

    def share_of(self, criterion: str) -> DrawnCriterion | None:
        """Find a criterion by its identifier; none where it was not drawn.

        Parameters
        ----------
        criterion : str
            As in :class:`Judgement`.

        Returns
        -------
        DrawnCriterion or None
            How often it is kept.
        """
        return next((drawn for drawn in self.criteria if drawn.criterion == criterion), None)
