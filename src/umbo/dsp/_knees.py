"""Straight lines that meet in knees, fitted to an input-output curve."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from umbo.dsp._arrays import FloatArray

__all__ = ["KneeFit", "knee_fit"]

#: Each line needs this many points of its own.
_POINTS_A_LINE = 2
#: What a knee and its slope count in the criterion: three for the knee (Friedman 1991, from memory) and one. [1]
_COST_OF_A_KNEE = 4
#: Steps of the search for the knees, coarse to fine. [dB]
_STEPS_DB = (1.0, 0.1, 0.01)


@dataclass(frozen=True, slots=True, eq=False)
class KneeFit:
    """Lines and knees of an input-output curve.

    Parameters
    ----------
    knee_db, knee_u_db : array (k,)
        Input levels at which the slope changes, and standard uncertainties. [dB]
    slope, slope_u : array (k + 1,)
        Output over input of each line, from low to high levels, and standard uncertainties. [1]
    residual_db : float
        Root mean square of the residuals. [dB]
    """

    knee_db: FloatArray
    knee_u_db: FloatArray
    slope: FloatArray
    slope_u: FloatArray
    residual_db: float


def knee_fit(input_db: FloatArray, output_db: FloatArray, u_db: FloatArray, *, most_knees: int) -> KneeFit:
    r"""Fit a continuous curve of straight lines, with as many knees as the points can bear.

    .. math:: y = a + s_0 x + \sum_j (s_j - s_{j-1}) \max(x - k_j, 0) \qquad (1)

    Parameters
    ----------
    input_db, output_db : array (n,)
        Levels, ascending input. [dB]
    u_db : array (n,)
        Standard uncertainty of each output, above zero, errors independent. [dB]
    most_knees : int
        Largest number of knees, 0 to 2. [1]

    Returns
    -------
    KneeFit
        Lines and knees.

    Raises
    ------
    OutOfRangeError
        If there are fewer than two points, the inputs do not ascend, or an uncertainty is not above zero.

    Notes
    -----
    Weighted least squares, the knees by search. The number of knees is the one with the least Bayesian information
    criterion, chi² + p ln n (Schwarz 1978, Annals of Statistics 6:461), with p = 2 + 4 k: a knee found by search costs
    three times its own parameter (Friedman 1991, Annals of Statistics 19:1, from memory). Each line keeps two points of
    its own. Uncertainties from the linearised problem with the knees among the parameters; where residuals
    are larger than stated, they are widened by the Birge ratio (Birge 1932, Phys. Rev. 40:207).
    """
    _check(input_db, output_db, u_db)
    fits = []
    for count in range(most_knees + 1):
        if input_db.size < _POINTS_A_LINE * (count + 1) or input_db.size < 2 + 2 * count:
            break
        knees, chi2 = _search(input_db, output_db, u_db, count)
        if knees is not None:
            fits.append((chi2 + (2 + _COST_OF_A_KNEE * count) * np.log(input_db.size), knees, chi2))
    _, knees, chi2 = min(fits, key=lambda fit: fit[0])
    return _finished(input_db, output_db, u_db, knees, chi2)


def _check(x: FloatArray, y: FloatArray, u: FloatArray) -> None:
    if not x.shape == y.shape == u.shape or x.size < _POINTS_A_LINE or np.any(np.diff(x) <= 0) or not np.all(u > 0):
        raise OutOfRangeError(
            "fit lines to an input-output curve",
            f"it has {x.size} inputs, {y.size} outputs and {u.size} uncertainties, inputs not ascending, "
            "or an uncertainty that is not above zero",
            "give at least two points by ascending input, each with its uncertainty",
        )


def _search(x: FloatArray, y: FloatArray, u: FloatArray, count: int) -> tuple[FloatArray | None, float]:
    """Knees with the least chi², coarse to fine."""
    if count == 0:
        return np.zeros(0), float(_chi2(x, y, u, np.zeros((1, 0)))[0])
    axis = np.arange(x[0], x[-1] + _STEPS_DB[0] / 2, _STEPS_DB[0])
    candidates = np.array(list(combinations(axis, count))).reshape(-1, count)
    best, least = None, np.inf
    for step in _STEPS_DB:
        allowed = candidates[_has_points(x, candidates)]
        if allowed.shape[0] == 0:
            break
        chi2 = _chi2(x, y, u, allowed)
        place = int(np.argmin(chi2))
        best, least = allowed[place], float(chi2[place])
        offsets = np.arange(-step, step * 1.001, step / 10)
        moves = np.stack(np.meshgrid(*[offsets] * count, indexing="ij"), axis=-1).reshape(-1, count)
        candidates = best + moves
    return best, least


def _has_points(x: FloatArray, knees: FloatArray) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Whether every line between neighbouring knees has two points of its own."""
    rows = knees.shape[0]
    bounds = np.concatenate([np.full((rows, 1), -np.inf), knees, np.full((rows, 1), np.inf)], axis=1)
    inside = (x >= bounds[:, :-1, np.newaxis]) & (x <= bounds[:, 1:, np.newaxis])
    enough: np.ndarray[tuple[int], np.dtype[np.bool_]] = np.all(inside.sum(axis=-1) >= _POINTS_A_LINE, axis=1)
    return enough


def _design(x: FloatArray, knees: FloatArray) -> FloatArray:
    """Columns of Equation 1 for many sets of knees. Shape (sets, n, 2 + k)."""
    bent = np.maximum(x[:, np.newaxis] - knees[:, np.newaxis, :], 0.0)
    plain = np.broadcast_to(np.stack([np.ones_like(x), x], axis=1), (knees.shape[0], x.size, 2))
    return np.concatenate([plain, bent], axis=2)


def _chi2(x: FloatArray, y: FloatArray, u: FloatArray, knees: FloatArray) -> FloatArray:
    design = _design(x - x.mean(), knees - x.mean()) / u[:, np.newaxis]
    wanted = y / u
    normal = np.einsum("rni,rnj->rij", design, design)
    normal += 1e-12 * np.eye(normal.shape[-1]) * np.trace(normal, axis1=1, axis2=2)[:, np.newaxis, np.newaxis]
    right = np.einsum("rni,n->ri", design, wanted)
    solution = np.linalg.solve(normal, right[..., np.newaxis])[..., 0]
    chi2: FloatArray = np.sum((wanted - np.einsum("rni,ri->rn", design, solution)) ** 2, axis=1)
    return chi2


def _finished(x: FloatArray, y: FloatArray, u: FloatArray, knees: FloatArray, chi2: float) -> KneeFit:
    """Slopes and uncertainties of the chosen knees."""
    design = _design(x, knees[np.newaxis])[0]
    solution = np.linalg.lstsq(design / u[:, np.newaxis], y / u, rcond=None)[0]
    count = knees.size
    bend = solution[2:]
    moved = np.where(x[:, np.newaxis] > knees, -bend, 0.0)  # derivative of Equation 1 by each knee
    jacobian = np.concatenate([design, moved], axis=1) / u[:, np.newaxis]
    covariance = np.linalg.pinv(jacobian.T @ jacobian)
    free = x.size - jacobian.shape[1]
    birge = max(chi2 / free, 1.0) if free > 0 else 1.0
    sums = np.tril(np.ones((count + 1, count + 1)))  # slope j = s_0 + the bends below it
    slopes = sums @ solution[1 : 2 + count]
    slope_covariance = sums @ covariance[1 : 2 + count, 1 : 2 + count] @ sums.T
    residual = y - design @ solution
    return KneeFit(
        knee_db=knees,
        knee_u_db=np.sqrt(birge * np.diag(covariance)[2 + count :]),
        slope=slopes,
        slope_u=np.sqrt(birge * np.diag(slope_covariance)),
        residual_db=float(np.sqrt(np.mean(residual**2))),
    )
