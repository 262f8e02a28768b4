"""The chance that noise alone makes a ratio of variances as large as one seen."""

from __future__ import annotations

from math import lgamma
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from umbo.dsp._arrays import FloatArray

__all__ = ["chance_of_ratio"]

_MOST_STEPS, _SETTLED, _TINY = 2000, 1e-13, 1e-300


def chance_of_ratio(ratio: FloatArray, upper_dof: FloatArray, lower_dof: FloatArray) -> FloatArray:
    r"""Upper tail of the F distribution.

    .. math:: P(F > r) = I_x\!\left(\tfrac{n_2}{2}, \tfrac{n_1}{2}\right), \quad x = \frac{n_2}{n_2 + n_1 r} \qquad (1)
    .. math:: I_x(a, b) = \frac{x^a (1-x)^b}{a\,B(a, b)} \cdot
        \cfrac{1}{1 + \cfrac{d_1}{1 + \cfrac{d_2}{1 + \dots}}}, \quad
        d_{2m} = \frac{m (b-m) x}{(a+2m-1)(a+2m)}, \quad
        d_{2m+1} = -\frac{(a+m)(a+b+m) x}{(a+2m)(a+2m+1)} \qquad (2)

    Parameters
    ----------
    ratio : array (n,)
        Ratios of two variances, above 0. [1]
    upper_dof, lower_dof : array (n,)
        Degrees of freedom of the variance above and below the line. [1]

    Returns
    -------
    array (n,)
        Probabilities.

    Notes
    -----
    A library has it, whose import takes longer than reading ten recordings (decision 10); a test compares.

    References
    ----------
    NIST Digital Library of Mathematical Functions 8.17.22 (from memory); the fraction by Lentz's method.
    """
    a, b = 0.5 * np.asarray(lower_dof), 0.5 * np.asarray(upper_dof)
    x = a / (a + b * ratio)  # Eq. (1)
    mirrored = x > (a + 1.0) / (a + b + 2.0)  # there the fraction of the other tail converges
    p, q, y = np.where(mirrored, b, a), np.where(mirrored, a, b), np.where(mirrored, 1.0 - x, x)
    log_beta = np.array([lgamma(i) + lgamma(j) - lgamma(i + j) for i, j in zip(p, q, strict=True)])
    tail = np.exp(p * np.log(y) + q * np.log1p(-y) - log_beta) / p * _fraction(p, q, y)  # Eq. (2)
    return np.asarray(np.where(mirrored, 1.0 - tail, tail))


def _fraction(a: FloatArray, b: FloatArray, x: FloatArray) -> FloatArray:
    value, up, down = np.ones(x.size), np.ones(x.size), np.zeros(x.size)
    for step in range(_MOST_STEPS):
        m = step // 2
        if step == 0:
            d = np.ones(x.size)
        elif step % 2:
            d = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        else:
            d = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        down = 1.0 / _away_from_zero(1.0 + d * down)
        up = _away_from_zero(1.0 + d / up)
        value = value * up * down
        if step and np.all(np.abs(up * down - 1.0) < _SETTLED):
            break
    return value - 1.0


def _away_from_zero(values: FloatArray) -> FloatArray:
    return np.where(np.abs(values) < _TINY, _TINY, values)
