"""The few values of Bessel functions that tubes and cavities need, in closed forms of the literature.

A library has all of them, but importing it takes longer than a whole verification's sums (decision 10); tests compare.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from umbo.acoustics._arrays import Complex, Real

LARGEST_RATIO = 20.0
"""Largest size of the argument of `ratio_j1_j0`: the depth of its fraction is chosen for it. [1]"""

_DEPTH, _NEWTON_STEPS = 60, 4


def ratio_j1_j0(argument: Complex) -> Complex:
    r"""Ratio of the Bessel functions of first and zeroth order.

    .. math:: \frac{J_1(z)}{J_0(z)} = \cfrac{1}{2 z^{-1} - \cfrac{1}{4 z^{-1} - \cfrac{1}{6 z^{-1} - \dots}}}
        \qquad (1)

    Parameters
    ----------
    argument : Complex
        z, any shape, not 0 and of size up to `LARGEST_RATIO`; away from the real axis, where J0 has its zeros.

    Returns
    -------
    Complex
        Shape of the argument.

    Raises
    ------
    OutOfRangeError
        If an argument is larger.

    References
    ----------
    NIST Digital Library of Mathematical Functions 10.10.1 (from memory).
    """
    largest = float(np.max(np.abs(argument), initial=0.0))
    if largest > LARGEST_RATIO:
        raise OutOfRangeError(
            f"take the ratio of Bessel functions at an argument of size {largest:.3g}",
            f"the fraction used here holds up to {LARGEST_RATIO:g}",
            "use the series for large arguments",
        )
    inverse = 2.0 / argument
    ratio = np.zeros_like(argument)
    for order in range(_DEPTH, 0, -1):
        ratio = 1.0 / (order * inverse - ratio)  # Eq. (1), from within
    return ratio


def real_bessel(order: int, argument: Real) -> Real:
    r"""Bessel function of integer order and real argument.

    .. math:: J_n(x) = \frac{1}{2\pi} \int_{-\pi}^{\pi} \cos(n\tau - x \sin\tau)\,\mathrm{d}\tau \qquad (2)

    The trapezoidal rule on N points over a whole period of a smooth function errs by :math:`J_{N-n}(x)`, which is
    nothing for N well above x.

    Parameters
    ----------
    order : int
        n: 0 or 1. [1]
    argument : Real
        x, any shape, at least 0; work and memory grow with its square. [1]

    Returns
    -------
    Real
        Shape of the argument.

    References
    ----------
    NIST Digital Library of Mathematical Functions 10.9.2 (from memory).
    """
    largest = float(np.max(argument, initial=1.0))
    points = int(largest + 12.0 * np.cbrt(largest) + 24.0)  # J_points-n is below 1e-16
    angle = 2.0 * np.pi / points * np.arange(points)
    return np.asarray(np.cos(order * angle - np.asarray(argument)[..., None] * np.sin(angle)).mean(axis=-1))  # Eq. (2)


def zeros_of_j1(count: int) -> Real:
    r"""The first positive zeros of the Bessel function of first order, ascending.

    Newton's method on :math:`J_1' = J_0 - J_1/x` from McMahon's first two terms.

    .. math:: x_k \approx \beta - \frac{3}{8\beta}, \quad \beta = \left(k + \tfrac14\right)\pi \qquad (3)

    Parameters
    ----------
    count : int
        How many. [1]

    Returns
    -------
    Real
        Shape (count,). [1]

    References
    ----------
    NIST Digital Library of Mathematical Functions 10.21.19 (from memory).
    """
    beta = (np.arange(1, count + 1) + 0.25) * np.pi
    zero = beta - 3.0 / (8.0 * beta)  # Eq. (3)
    for _ in range(_NEWTON_STEPS):
        value = real_bessel(1, zero)
        zero = zero - value / (real_bessel(0, zero) - value / zero)
    return np.asarray(zero)
