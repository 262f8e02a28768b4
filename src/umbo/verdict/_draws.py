"""A full verdict drawn many times from the stated uncertainty (JCGM 101:2008)."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import InputError
from umbo.verdict._drawn import DrawnCount, DrawnCriterion, DrawnRms, VerdictDraws
from umbo.verdict._joint import joint_draws, joint_factor
from umbo.verdict._rms import RMS_HZ
from umbo.verdict._slope import slope_pairs

if TYPE_CHECKING:
    from collections.abc import Sequence

    from umbo.core import BoolArray, Difference, FloatArray, Level
    from umbo.verdict._guidance import Guidance
    from umbo.verdict._judgement import Judgement

__all__ = ["SpeechToDraw", "draw_verdicts", "with_shares"]

#: Number of draws that settles a share to half a per cent (standard error at 50 %). [1]
DRAWS = 10_000


@dataclass(frozen=True, slots=True, eq=False)
class SpeechToDraw:
    """Speech at one level with what it is compared with.

    Parameters
    ----------
    name : str
        Which input, as in the judgements: "65".
    deviation : Difference or None
        Aided level minus target. [dB]
    sensation : Difference or None
        Aided level minus threshold. [dB]
    """

    name: str
    deviation: Difference | None
    sensation: Difference | None = None

    @classmethod
    def of(cls, name: str, aided: Level, target: Level, threshold: Level | None = None) -> SpeechToDraw:
        """Form both differences from levels; their causes keep their identities.

        Parameters
        ----------
        name : str
            Which input: "65".
        aided, target : Level
            At one plane, on one grid. [dB SPL]
        threshold : Level, optional
            At the same plane, on the same grid. [dB SPL]

        Returns
        -------
        SpeechToDraw
            Ready to be drawn.
        """
        deviation = aided.above(target, quantity="deviation from target")
        heard = None if threshold is None else aided.above(threshold, quantity="sensation level")
        return cls(name, deviation, heard)


def draw_verdicts(
    speech: Sequence[SpeechToDraw],
    maximum_excess: Difference | None,
    *,
    guidance: Guidance,
    seed: int,
    n: int = DRAWS,
) -> VerdictDraws:
    """Draw all curves together and judge every draw by every criterion.

    Each draw takes one value for each cause of error and moves every curve by it, so what two curves share moves both.
    A draw stands for what may be true; it is judged by simple acceptance: a deviation within its tolerance, an rms at
    most at its bound, an output at most at its limit. No guard band is added, also for a child: the share says itself
    how sure it is. All causes are drawn from normal distributions, also those with few degrees of freedom.

    Parameters
    ----------
    speech : sequence of SpeechToDraw
        Every input level.
    maximum_excess : Difference or None
        Maximum output above its limit. [dB]
    guidance : Guidance
        Whose criteria.
    seed : int
        Makes the same draws again. [1]
    n : int
        Number of draws, at least 1. [1]

    Returns
    -------
    VerdictDraws
        A share for each criterion and for the whole; a criterion without one usable point is left out.

    Raises
    ------
    InputError
        If there is nothing to draw, or no draw is asked for.

    References
    ----------
    JCGM 101:2008, propagation of distributions using a Monte Carlo method, clauses 5.9 and 7.
    JCGM 106:2012, the role of measurement uncertainty in conformity assessment, clause 9.
    """
    curves = [c for part in speech for c in (part.deviation, part.sensation) if c is not None]
    if maximum_excess is not None:
        curves.append(maximum_excess)
    if not curves or n < 1:
        raise InputError(
            f"draw {n} verdicts",
            f"there are {len(curves)} curves to draw",
            "give at least one comparison and ask for at least one draw",
        )
    mean = np.concatenate([curve.level_db for curve in curves])
    drawn = joint_draws(mean, joint_factor(curves), n, np.random.default_rng(seed))
    found = _Found(n)
    at = 0
    for part in speech:
        if part.deviation is not None:
            size = part.deviation.grid.size
            _speech(found, part.name, part.deviation, drawn[at : at + size], guidance)
            at += size
        if part.sensation is not None:
            size = part.sensation.grid.size
            _audible(found, part.name, part.sensation, drawn[at : at + size])
            at += size
    if maximum_excess is not None:
        _maximum(found, maximum_excess, drawn[at:])
    return found.result(seed, has_maximum=maximum_excess is not None)


class _Found:
    """Criteria as they are judged."""

    def __init__(self, n: int) -> None:
        self.n = n
        self.all_kept = np.ones(n, dtype=np.bool_)
        self.criteria: list[DrawnCriterion] = []
        self.rms: list[DrawnRms] = []
        self.audible: list[DrawnCount] = []
        self.is_complete = True

    def add(self, criterion: str, kept: Sequence[BoolArray], *, complete: bool) -> None:
        """Enter a criterion that is kept where all its parts are; without a part it cannot be told."""
        self.is_complete &= complete and bool(kept)
        if not kept:
            return
        together = kept[0].copy()
        for part in kept[1:]:
            together &= part
        self.all_kept &= together
        self.criteria.append(DrawnCriterion(criterion, float(together.mean()), self.n, complete))

    def result(self, seed: int, *, has_maximum: bool) -> VerdictDraws:
        has_speech = any(c.criterion.startswith(("match_", "rms_")) for c in self.criteria)
        is_complete = self.is_complete and has_speech and has_maximum
        whole = DrawnCriterion("verdict", float(self.all_kept.mean()), self.n, is_complete)
        return VerdictDraws(self.n, seed, tuple(self.criteria), whole, tuple(self.rms), tuple(self.audible))


def _speech(found: _Found, name: str, deviation: Difference, drawn: FloatArray, guidance: Guidance) -> None:
    usable = deviation.states.is_usable
    if guidance.bands:
        tolerance = guidance.tolerance_at(deviation.frequency_hz)
        judged = ~np.isnan(tolerance)
        kept = [np.abs(drawn[i]) <= tolerance[i] for i in np.flatnonzero(judged & usable)]
        found.add(f"match_{name}", kept, complete=bool(usable[judged].all()))
    if guidance.rms_db is not None:
        _rms(found, f"rms_{name}", deviation, drawn, guidance.rms_db)
    if guidance.slope_db_per_octave is not None:
        _slope(found, f"slope_{name}", deviation, drawn, guidance.slope_db_per_octave)


def _rms(found: _Found, criterion: str, deviation: Difference, drawn: FloatArray, bound_db: float) -> None:
    usable = deviation.states.is_usable
    try:
        held = [deviation.grid.index(hz) for hz in RMS_HZ]
    except InputError:
        held = []
    if not held or not usable[held].all():
        found.add(criterion, [], complete=False)
        return
    square = np.zeros(drawn.shape[1])
    for i in held:
        square += np.square(drawn[i])
    rms = np.sqrt(square / len(held))  # (F9)
    found.rms.append(DrawnRms(criterion, rms))
    found.add(criterion, [np.asarray(rms <= bound_db)], complete=True)


def _slope(found: _Found, criterion: str, deviation: Difference, drawn: FloatArray, bound: float) -> None:
    usable, octave = deviation.states.is_usable, np.log2(deviation.frequency_hz)
    pairs = slope_pairs(deviation.grid)
    told = [(low, high) for low, high in pairs if usable[low] and usable[high]]
    kept = [np.abs(drawn[high] - drawn[low]) <= bound * (octave[high] - octave[low]) for low, high in told]
    found.add(criterion, kept, complete=len(told) == len(pairs) > 0)


def _maximum(found: _Found, excess: Difference, drawn: FloatArray) -> None:
    usable = excess.states.is_usable
    kept = [np.asarray(drawn[i] <= 0.0) for i in np.flatnonzero(usable)]
    found.add("maximum_output", kept, complete=bool(usable.all()))


def _audible(found: _Found, name: str, sensation: Difference, drawn: FloatArray) -> None:
    usable = sensation.states.is_usable
    count = np.zeros(drawn.shape[1])
    for i in np.flatnonzero(usable):
        count += drawn[i] > 0
    found.audible.append(DrawnCount(f"audible_{name}", count, int(usable.sum())))


def with_shares(judgements: Sequence[Judgement], draws: VerdictDraws) -> tuple[Judgement, ...]:
    """Put beside each judgement how often its criterion is kept.

    Parameters
    ----------
    judgements : sequence of Judgement
        Of the same curves.
    draws : VerdictDraws
        From :func:`draw_verdicts`.

    Returns
    -------
    tuple of Judgement
        With ``pass_share`` where the criterion was drawn completely; outcome and sentence stay.
    """
    out = []
    for judgement in judgements:
        drawn = draws.share_of(judgement.criterion)
        share = drawn.share if drawn is not None and drawn.is_complete else None
        out.append(replace(judgement, pass_share=share))
    return tuple(out)
