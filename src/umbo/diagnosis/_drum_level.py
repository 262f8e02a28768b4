"""From what the probe read to the level at the eardrum, by the fitted explanations."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.core import BoolArray, FloatArray

__all__ = ["Carried", "blended", "carried"]

#: Uncertainty of the fitted way from probe to drum, as a share of its size (assumed; tested on six scanned canals). [1]
_SHARE = 0.15


@dataclass(frozen=True, slots=True, eq=False)
class Carried:
    """A correction and its standard uncertainty; arrays (n,).

    Parameters
    ----------
    correction_db, u_db : array (n,)
        What to add to the reading, and its standard uncertainty. [dB]
    """

    correction_db: FloatArray
    u_db: FloatArray


def carried(
    ear_db: FloatArray,
    known: BoolArray,
    predicted: tuple[FloatArray, FloatArray],
    covariance: FloatArray,
    model_db: FloatArray,
    difference: float,
) -> Carried:
    r"""Correction of the reading under one explanation.

    With the model's levels at the probe, :math:`M_p`, and at the drum, :math:`M_d`, and the way
    :math:`T = M_d - M_p`, what the reading says beyond the model counts less the deeper the probe sits in a notch,
    where a small pressure beside it counts as many decibels:

    .. math:: \hat L_d = M_d + w\,(L - M_p), \quad w = 10^{-\max(T, 0)/10} \qquad (1)

    Its uncertainty is that of the fitted parameters (Laplace), of the model where it replaces the reading, and a share
    of the correction itself:

    .. math:: u^2 = g^T C g + (1 - w)^2 \sigma_m^2 + (0.15\,T)^2 \qquad (2)

    Parameters
    ----------
    ear_db : array (n,)
        Reading. [dB]
    known : array (n,), bool
        Where there is one.
    predicted : tuple of array (k + 1, n)
        Levels read and at the drum, gain of the source included: at the fitted parameters, then with each moved. [dB]
    covariance : array (k, k)
        Of the scaled parameters. [1]
    model_db : array (n,)
        Error of the model of the ear. [dB]
    difference : float
        By how much each parameter was moved. [1]

    Returns
    -------
    Carried
        Correction and uncertainty.
    """
    read, drum = predicted
    way = drum[0] - read[0]
    weight = np.where(known, 10 ** (-np.maximum(way, 0) / 10), 0.0)
    estimate = drum + weight * (ear_db - read)  # Eq. (1)
    slope = (estimate[1:] - estimate[0]) / difference
    parameters = np.einsum("kn,kl,ln->n", slope, covariance, slope)
    variance = parameters + ((1 - weight) * model_db) ** 2 + (_SHARE * way) ** 2  # Eq. (2)
    return Carried(estimate[0] - ear_db, np.sqrt(variance))


def blended(parts: list[Carried], probability: FloatArray) -> Carried:
    r"""Correction over all explanations, made as far as it is known.

    .. math:: m = \sum_h p_h c_h, \quad u^2 = \sum_h p_h \left(u_h^2 + (c_h - m)^2\right), \quad
        \hat c = m\,\frac{m^2}{m^2 + u^2} \qquad (3)

    Where the explanations disagree, or each is unsure, the reading stays as it is and the uncertainty says so: a
    good probe is not made worse. The uncertainty of what was held back is added.

    Parameters
    ----------
    parts : list of Carried
        One for each explanation.
    probability : array (explanations,)
        Of each, summing to one. [1]

    Returns
    -------
    Carried
        The blend.
    """
    share = probability[:, np.newaxis]
    corrections = np.stack([part.correction_db for part in parts])
    mean = (share * corrections).sum(axis=0)
    spread = (share * (np.stack([part.u_db for part in parts]) ** 2 + (corrections - mean) ** 2)).sum(axis=0)
    size = mean**2 + spread
    made = mean * np.divide(mean**2, size, out=np.zeros_like(mean), where=size > 0)  # Eq. (3)
    return Carried(made, np.sqrt(spread + (mean - made) ** 2))
