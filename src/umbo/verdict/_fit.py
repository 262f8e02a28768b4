"""Every criterion a guidance has, for speech at one level."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.verdict._match import match_of
from umbo.verdict._rms import rms_deviation
from umbo.verdict._slope import slope_deviation

if TYPE_CHECKING:
    from umbo.core import Difference, Level
    from umbo.verdict._guidance import Guidance
    from umbo.verdict._judgement import Judgement

__all__ = ["fit_to_target", "judgements_of"]


def fit_to_target(
    aided: Level, target: Level, name: str, *, guidance: Guidance
) -> tuple[Difference, tuple[Judgement, ...]]:
    """Judge aided speech against its target by every criterion of the chosen guidance.

    Parameters
    ----------
    aided, target : Level
        At the eardrum, on one grid. [dB SPL]
    name : str
        Which input, for the identifiers: "65".
    guidance : Guidance
        Whose criteria.

    Returns
    -------
    (Difference, tuple of Judgement)
        Deviation from target, and what can be said of it: "match_65", "rms_65", "slope_65" as far as the guidance has
        them.

    Raises
    ------
    PlaneMismatchError, GridMismatchError, BandwidthMismatchError, EarMismatchError
        If the two are not comparable.
    """
    deviation = aided.above(target, quantity="deviation from target")
    return deviation, judgements_of(deviation, name, guidance)


def judgements_of(deviation: Difference, name: str, guidance: Guidance) -> tuple[Judgement, ...]:
    """Judge a deviation that has been formed already by every criterion of a guidance."""
    out = []
    if guidance.bands:
        out.append(match_of(deviation, name, guidance=guidance))
    if guidance.rms_db is not None:
        out.append(rms_deviation(deviation, name, guidance=guidance))
    if guidance.slope_db_per_octave is not None:
        out.append(slope_deviation(deviation, name, guidance=guidance))
    return tuple(out)
