"""Many small robust fits at once: Levenberg-Marquardt over rows of an array."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from umbo.core import FloatArray
from umbo.diagnosis._priors import MOST_Z

__all__ = ["Fitted", "Problem", "fit"]

IntArray = np.ndarray[tuple[int, ...], np.dtype[np.intp]]

#: Degrees of freedom of Student's distribution of a whitened residual (assumed): outliers count, but not squared. [1]
DEGREES = 8.0

#: Difference step, largest step, and when a row is done, in scaled parameters or natural units of probability. [1]
DIFFERENCE, LONGEST, _DONE, _SLIGHT = 1e-4, 2.0, 0.05, 0.02

#: After a shorter step the Jacobian still serves. [1]
_SAME = 0.1


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """Rows of fits that share a model function.

    Parameters
    ----------
    predict : callable
        Scaled parameters (m, k) and row numbers (m,) to predictions (m, n).
    observed : array (data, n)
        Measurements.
    whitening : array (data, n, n)
        Lower triangular matrices that make their errors independent with standard deviation one.
    data : array (rows,), int
        Which measurement a row fits. [1]
    is_free : array (rows, k), bool
        Which scaled parameters a row has.
    """

    predict: Callable[[FloatArray, IntArray], FloatArray]
    observed: FloatArray
    whitening: FloatArray
    data: IntArray
    is_free: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]

    def whitened(self, values: FloatArray, data: IntArray) -> FloatArray:
        """Multiply rows (m, n) by the whitening of their measurement."""
        if len(self.whitening) == 1 or not len(values):
            return np.asarray(values @ self.whitening[0].T)
        out = np.empty_like(values)
        order = np.argsort(data, kind="stable")
        for rows in np.split(order, np.flatnonzero(np.diff(data[order])) + 1):
            out[rows] = values[rows] @ self.whitening[data[rows[0]]].T
        return out


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """What the fits found, by row.

    Parameters
    ----------
    z : array (rows, k)
        Scaled parameters at the most probable place. [1]
    log_evidence : array (rows,)
        Laplace's estimate, without the row's prior weight. [1]
    covariance : array (rows, k, k)
        Of the scaled parameters; that of the prior for what a row does not have. [1]
    """

    z: FloatArray
    log_evidence: FloatArray
    covariance: FloatArray


def fit(problem: Problem, start: FloatArray, rounds: int) -> Fitted:
    r"""Most probable parameters of every row, and how probable the row makes its measurement.

    With the whitened residual :math:`e` of a row and Student's distribution of :math:`\nu` degrees of freedom,

    .. math:: -\ln p = \tfrac12 |z|^2 + \tfrac{\nu + 1}{2} \sum_i \ln\left(1 + \frac{e_i^2}{\nu}\right) + c \qquad (1)

    is minimised with the weights :math:`w_i = (\nu + 1)/(\nu + e_i^2)` of its Gauss-Newton form; the evidence is
    Laplace's,

    .. math:: \ln p(y) \approx \ln p(y, \hat z) - \tfrac12 \ln |J^T W J + I| \qquad (2)

    Parameters
    ----------
    problem : Problem
        Rows, data and model.
    start : array (rows, k)
        Where to begin. [1]
    rounds : int
        Most steps a row may take. [1]

    Returns
    -------
    Fitted
        By row.

    References
    ----------
    Levenberg (1944), Marquardt (1963), from memory; Laplace's evidence as in MacKay (1992), from memory. Student's
    likelihood by weights: Lange, Little & Taylor (1989), from memory.
    """
    state = _State(problem, np.where(problem.is_free, start, 0.0))
    for _ in range(rounds):
        if not state.active.any():
            break
        state.step()
    return state.result()


class _State:
    """Where the rows stand: parameters, residuals, Jacobians, damping."""

    def __init__(self, problem: Problem, z: FloatArray) -> None:
        self.problem = problem
        self.z = z
        rows, k = z.shape
        self.everything = np.arange(rows)
        self.prediction = problem.predict(z, self.everything)
        self.residual = self._residual(self.prediction, self.everything)
        self.cost = _cost(self.residual, z)
        self.jacobian = np.zeros((rows, k, self.residual.shape[1]))
        self.is_stale = np.ones(rows, bool)
        self.damping = np.full(rows, 0.1)
        self.active = np.ones(rows, bool)

    def _residual(self, prediction: FloatArray, rows: IntArray) -> FloatArray:
        data = self.problem.data[rows]
        return self.problem.whitened(prediction - self.problem.observed[data], data)

    def differentiate(self) -> None:
        """Jacobians of the rows that moved, by forward differences, whitened."""
        rows = np.flatnonzero(self.is_stale & self.active)
        which, place = np.nonzero(self.problem.is_free[rows])
        row = rows[which]
        moved = self.z[row]
        moved[np.arange(row.size), place] += DIFFERENCE
        change = (self.problem.predict(moved, row) - self.prediction[row]) / DIFFERENCE
        self.jacobian[row, place] = self.problem.whitened(change, self.problem.data[row])
        self.is_stale[rows] = False

    def curvature(self, rows: IntArray) -> FloatArray:
        """JᵀWJ + I (Equation 2)."""
        jacobian = self.jacobian[rows]
        weighted = jacobian * _weights(self.residual[rows])[:, np.newaxis, :]
        return np.asarray(weighted @ jacobian.transpose(0, 2, 1) + np.eye(jacobian.shape[1]))

    def step(self) -> None:
        """One round: Jacobians, a damped step, and its acceptance, for the rows not done yet."""
        self.differentiate()
        rows = np.flatnonzero(self.active)
        weighted = self.residual[rows] * _weights(self.residual[rows])
        gradient = np.einsum("rkn,rn->rk", self.jacobian[rows], weighted) + self.z[rows]
        curvature = self.curvature(rows)
        k = gradient.shape[1]
        diagonal = np.einsum("rkk->rk", curvature)
        damped = curvature + (self.damping[rows, np.newaxis] * diagonal)[:, :, np.newaxis] * np.eye(k)
        step = -np.linalg.solve(damped, gradient[..., np.newaxis])[..., 0]
        size = np.abs(step).max(axis=1)
        step *= np.minimum(1.0, LONGEST / np.maximum(size, 1e-12))[:, np.newaxis]
        trial = np.clip(self.z[rows] + step, -MOST_Z, MOST_Z)
        prediction = self.problem.predict(trial, rows)
        residual = self._residual(prediction, rows)
        cost = _cost(residual, trial)
        gained = self.cost[rows] - cost
        better = gained >= 0
        kept = rows[better]
        self.z[kept], self.prediction[kept], self.residual[kept] = trial[better], prediction[better], residual[better]
        self.cost[kept] = cost[better]
        self.is_stale[kept] = size[better] > _SAME
        self.damping[rows] *= np.where(better, 0.2, 6.0)
        done = better & ((size < _DONE) | (gained < _SLIGHT))
        self.active[rows] = ~(done | (self.damping[rows] > 1e4))

    def result(self) -> Fitted:
        """Evidence and covariance at the end."""
        self.active[:] = True
        self.differentiate()
        curvature = self.curvature(self.everything)
        n = self.residual.shape[1]
        whitening = np.log(np.einsum("dnn->dn", self.problem.whitening)).sum(axis=1)[self.problem.data]
        log_evidence = whitening - self.cost - 0.5 * np.linalg.slogdet(curvature)[1] - 0.5 * n * np.log(2 * np.pi)
        return Fitted(self.z, log_evidence, np.asarray(np.linalg.inv(curvature), np.float64))


def _weights(residual: FloatArray) -> FloatArray:
    return np.asarray((DEGREES + 1) / (DEGREES + residual**2))


def _cost(residual: FloatArray, z: FloatArray) -> FloatArray:
    """Equation (1) without its constant."""
    spread = 0.5 * (DEGREES + 1) * np.log1p(residual**2 / DEGREES).sum(axis=1)
    return np.asarray(spread + 0.5 * (z**2).sum(axis=1))
