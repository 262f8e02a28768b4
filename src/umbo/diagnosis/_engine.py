"""All explanations fitted to measurements: starts, fits, evidence."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from umbo.core import CouplerKind, FloatArray
from umbo.diagnosis._fit import DEGREES, DIFFERENCE, LONGEST, Fitted, IntArray, Problem, fit
from umbo.diagnosis._fit_grid import FIT_HZ
from umbo.diagnosis._forward import Predicted, Setting
from umbo.diagnosis._hypotheses import Hypothesis, hypotheses
from umbo.diagnosis._priors import MOST_Z, scaled
from umbo.diagnosis._sound_source import SourceModel

__all__ = ["Engine", "Found", "engine"]

#: Couplers a measurement may have been made with.
KINDS = (CouplerKind.HA1, CouplerKind.HA2, CouplerKind.HA4, CouplerKind.CC04)

#: Draws from each prior that are looked at, that take a step, and that become the start of a fit. [1]
_DRAWS, _TRIED, _STARTS = 48, 8, 1

#: Seed of these draws: the same measurement has the same diagnosis. [1]
_SEED = 20

#: Rounds of the first and the second part of a fit; only explanations within some natural units of the best of their
#: measurement go on to the second. [1]
_FIRST_ROUNDS, _SECOND_ROUNDS, _HOPELESS = 3, 25, 25.0


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """Fits of all explanations to several measurements.

    Parameters
    ----------
    z : array (data, hypotheses, k)
        Scaled parameters. [1]
    log_evidence : array (data, hypotheses)
        Logarithm of the probability of the measurement under each. [1]
    log_weight : array (hypotheses,)
        Logarithm of the prior weight. [1]
    covariance : array (data, hypotheses, k, k)
        Of the scaled parameters. [1]
    """

    z: FloatArray
    log_evidence: FloatArray
    log_weight: FloatArray
    covariance: FloatArray

    def log_posterior(self, temper: float) -> FloatArray:
        """Evidence and weight together, up to a constant, with an exponent of at most 1 on the evidence. [1]"""
        return np.asarray(temper * self.log_evidence + self.log_weight)


@dataclass(frozen=True, slots=True, eq=False)
class Library:
    """Draws from the priors, worked out once for every measurement of a kind.

    Parameters
    ----------
    z : array (hypotheses, draws, k)
        Scaled parameters. [1]
    reads : array (hypotheses, draws, points)
        What would be read. [dB]
    jacobian : array (hypotheses, draws, k, points)
        Change of that per scaled parameter. [dB]
    """

    z: FloatArray
    reads: FloatArray
    jacobian: NDArray[np.float32]


class Engine:
    """Explanations of measurements with one source, one declared coupler and one declared age.

    Parameters
    ----------
    source : KnownSource or SourceClass
        The source.
    declared : CouplerKind
        Coupler the label names.
    age_months : float
        Declared age. [month]
    """

    def __init__(self, source: SourceModel, declared: CouplerKind, age_months: float) -> None:
        self.hypotheses: tuple[Hypothesis, ...] = hypotheses(declared, age_months, source.free)
        self.scaled = scaled(self.hypotheses)
        self.setting = Setting(FIT_HZ, source, KINDS)
        self.kind_index = np.array([KINDS.index(one.kind) for one in self.hypotheses])
        self.log_weight = np.log([one.weight for one in self.hypotheses])

    def predicted(self, z: FloatArray, hypothesis: IntArray) -> Predicted:
        """Model for scaled parameters (m, k) of hypotheses (m,)."""
        return self.setting.predict(self.scaled.values(z, hypothesis), self.kind_index[hypothesis])

    def observed(self, z: FloatArray, hypothesis: IntArray) -> FloatArray:
        """What would be read: [coupler, ear], shape (m, 2n). [dB]"""
        at = self.predicted(z, hypothesis)
        return np.hstack([at.coupler_db, at.ear_db])

    @cached_property
    def library(self) -> Library:
        """Draws from every prior, what each would read, and how that changes."""
        count, k = self.scaled.middle.shape
        z = np.clip(np.random.default_rng(_SEED).standard_normal((count, _DRAWS, k)), -2.0, 2.0)
        z *= self.scaled.is_free[:, np.newaxis, :]
        z[:, 0] = 0.0
        rows = np.repeat(np.arange(count), _DRAWS)
        flat = z.reshape(-1, k)
        reads = self.observed(flat, rows)
        jacobian = np.zeros((len(flat), k, reads.shape[1]), np.float32)
        row, place = np.nonzero(self.scaled.is_free[rows])
        moved = flat[row]
        moved[np.arange(row.size), place] += DIFFERENCE
        jacobian[row, place] = (self.observed(moved, rows[row]) - reads[row]) / DIFFERENCE
        shape = (count, _DRAWS)
        return Library(z, reads.reshape(*shape, -1), jacobian.reshape(*shape, k, -1))

    def search(self, observed: FloatArray, whitening: FloatArray) -> Found:
        """Fit every explanation to every measurement.

        Parameters
        ----------
        observed : array (data, points)
            Readings as :meth:`observed` gives them. [dB]
        whitening : array (data, points, points)
            Whitening of their errors. [1/dB]

        Returns
        -------
        Found
            With the better of the starts of each explanation.
        """
        data, count = len(observed), len(self.hypotheses)
        start = self._starts(observed, whitening)
        of_data = np.repeat(np.arange(data), count * _STARTS)
        of_hypothesis = np.tile(np.repeat(np.arange(count), _STARTS), data)

        def problem(rows: IntArray) -> Problem:
            mine = of_hypothesis[rows]
            return Problem(
                lambda z, i: self.observed(z, mine[i]), observed, whitening, of_data[rows], self.scaled.is_free[mine]
            )

        everything = np.arange(of_data.size)
        first = fit(problem(everything), start, _FIRST_ROUNDS)
        evidence = first.log_evidence.reshape(data, count * _STARTS)
        hopeful = np.flatnonzero(evidence > evidence.max(axis=1, keepdims=True) - _HOPELESS)
        second = fit(problem(hopeful), first.z[hopeful], _SECOND_ROUNDS)
        for whole, part in zip(_arrays(first), _arrays(second), strict=True):
            whole[hopeful] = part
        return self._best(first, data)

    def _starts(self, observed: FloatArray, whitening: FloatArray) -> FloatArray:
        """Where to begin, shape (data x hypotheses x starts, k).

        The draws that fit best take one Gauss-Newton step with Jacobians that are known already; the best of what they
        come to are the starts.
        """
        library = self.library
        count, _, k = library.z.shape
        own = np.arange(count)[:, np.newaxis]
        tried = np.empty((len(observed), count, _TRIED, k))
        for i, (y, w) in enumerate(zip(observed, whitening, strict=True)):
            residual = (library.reads - y) @ w.T
            best = np.argsort(_misfit(residual), axis=1)[:, :_TRIED]
            jacobian = library.jacobian[own, best] @ w.T
            tried[i] = _stepped(library.z[own, best], residual[own, best], jacobian)
        rows = np.tile(np.repeat(np.arange(count), _TRIED), len(observed))
        reads = self.observed(tried.reshape(-1, k), rows).reshape(len(observed), count * _TRIED, -1)
        residual = (reads - observed[:, np.newaxis]) @ whitening.transpose(0, 2, 1)
        cost = (_misfit(residual) + 0.5 * (tried.reshape(len(observed), -1, k) ** 2).sum(-1)).reshape(-1, _TRIED)
        chosen = np.argsort(cost, axis=1)[:, :_STARTS]
        return np.asarray(np.take_along_axis(tried.reshape(-1, _TRIED, k), chosen[..., np.newaxis], 1).reshape(-1, k))

    def _best(self, fitted: Fitted, data: int) -> Found:
        count, k = self.scaled.middle.shape
        evidence = fitted.log_evidence.reshape(data * count, _STARTS)
        pick = np.arange(data * count) * _STARTS + evidence.argmax(axis=1)
        log_evidence = fitted.log_evidence[pick].reshape(data, count)
        z, covariance = fitted.z[pick], fitted.covariance[pick]
        return Found(z.reshape(data, count, k), log_evidence, self.log_weight, covariance.reshape(data, count, k, k))


def _misfit(residual: FloatArray) -> FloatArray:
    """Minus the logarithm of Student's likelihood of whitened residuals, over the last axis."""
    return np.asarray(0.5 * (DEGREES + 1) * np.log1p(residual**2 / DEGREES).sum(axis=-1))


def _stepped(z: FloatArray, residual: FloatArray, jacobian: FloatArray) -> FloatArray:
    """One Gauss-Newton step for stacks of starts (..., k), held within the reach of the priors."""
    weight = (DEGREES + 1) / (DEGREES + residual**2)
    weighted = jacobian * weight[..., np.newaxis, :]
    curvature = weighted @ np.swapaxes(jacobian, -1, -2) + 1.3 * np.eye(z.shape[-1])
    gradient = (weighted @ residual[..., np.newaxis])[..., 0] + z
    step = np.linalg.solve(curvature, gradient[..., np.newaxis])[..., 0]
    return np.asarray(np.clip(z - np.clip(step, -LONGEST, LONGEST), -MOST_Z, MOST_Z))


def _arrays(fitted: Fitted) -> tuple[FloatArray, FloatArray, FloatArray]:
    return fitted.z, fitted.log_evidence, fitted.covariance


@lru_cache(maxsize=24)
def engine(source: SourceModel, declared: CouplerKind, age_months: float) -> Engine:
    """Engine for a measurement, kept for the next one like it.

    Parameters
    ----------
    source : KnownSource or SourceClass
        The source.
    declared : CouplerKind
        Coupler the label names.
    age_months : float
        Declared age. [month]

    Returns
    -------
    Engine
        With its library of starts once it has been used.
    """
    return Engine(source, declared, age_months)
