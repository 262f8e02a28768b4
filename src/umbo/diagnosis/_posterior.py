"""From evidences to probabilities of causes, small faults counted as none."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from umbo.core import FloatArray
from umbo.diagnosis._consequence import cost_db, limits, share_above
from umbo.diagnosis._fit import IntArray
from umbo.diagnosis._fit_grid import FIT_HZ
from umbo.diagnosis._hypotheses import CAUSES, OK, Hypothesis

if TYPE_CHECKING:
    from umbo.diagnosis._engine import Engine, Found

__all__ = ["explained", "normalised"]

#: Explanations less probable than this are not looked at any closer. [1]
NEGLIGIBLE = 1e-3

#: Difference step of the slopes of a cost, in scaled parameters. [1]
_DIFFERENCE = 0.02


def normalised(log_posterior: FloatArray) -> FloatArray:
    """Probabilities of the explanations of each measurement.

    Parameters
    ----------
    log_posterior : array (data, hypotheses)
        Logarithms of evidence and prior weight together. [1]

    Returns
    -------
    array (data, hypotheses)
        Summing to one over the last axis. [1]
    """
    share = np.exp(log_posterior - log_posterior.max(axis=1, keepdims=True))
    return np.asarray(share / share.sum(axis=1, keepdims=True))


def explained(engine: Engine, found: Found, probability: FloatArray) -> list[dict[str, float]]:
    """Probabilities by name of the explanation, each cause counted only as far as it costs more than its limit.

    Parameters
    ----------
    engine : Engine
        The explanations.
    found : Found
        Their fits.
    probability : array (data, hypotheses)
        Probabilities of the fits. [1]

    Returns
    -------
    list of dict
        For each measurement; what is negligible is left out, so that they sum to a little less than one.
    """
    likely = np.argwhere(probability > NEGLIGIBLE)
    shares = _all_shares(engine, found, likely)
    out: list[dict[str, float]] = [{} for _ in probability]
    for (datum, h), share in zip(likely, shares, strict=True):
        for name, part in _split(engine.hypotheses[h], share).items():
            out[datum][name] = out[datum].get(name, 0.0) + part * float(probability[datum, h])
    return out


def _all_shares(engine: Engine, found: Found, likely: IntArray) -> list[dict[str, float]]:
    """For each fit (measurement, hypothesis) the probability of each of its causes to cost more than its limit."""
    shares: list[dict[str, float]] = [{} for _ in likely]
    for cause in limits():
        rows = [i for i, (_, h) in enumerate(likely) if _applies(cause, engine.hypotheses[h])]
        for row, share in zip(rows, _shares(engine, found, cause, likely[rows]), strict=True):
            shares[row][cause] = float(share)
    return shares


def _applies(cause: str, one: Hypothesis) -> bool:
    """Whether a cause is part of an explanation; a probe is at some distance in nearly all of them."""
    return cause in one.causes or (cause == "shallow_probe" and "probe_in_bore" not in one.causes)


def _shares(engine: Engine, found: Found, cause: str, likely: IntArray) -> list[float]:
    """Probability that a cause costs more than its limit, by Laplace's covariance of its parameters."""
    if not len(likely):
        return []
    datum, h = likely.T
    z, k = found.z[datum, h], found.z.shape[-1]
    moved = np.repeat(z[:, np.newaxis, :], k + 1, axis=1)
    moved[:, np.arange(1, k + 1), np.arange(k)] += _DIFFERENCE
    rows = np.repeat(h, k + 1)
    values = engine.scaled.values(moved.reshape(-1, k), rows)
    costs = cost_db(
        cause, FIT_HZ, values, lambda v: engine.setting.predict(v, engine.kind_index[rows])
    ).reshape(-1, k + 1)  # fmt: skip
    slope = (costs[:, 1:] - costs[:, :1]) / _DIFFERENCE
    u = np.sqrt(np.einsum("rk,rkl,rl->r", slope, found.covariance[datum, h], slope))
    limit = limits()[cause].limit_db
    return [share_above(limit, float(cost), float(spread)) for cost, spread in zip(costs[:, 0], u, strict=True)]


def _split(one: Hypothesis, share: Mapping[str, float]) -> dict[str, float]:
    """Divide an explanation among those with and without each of its causes."""
    parts: list[tuple[frozenset[str], float]] = [(frozenset(one.causes), 1.0)]
    for cause, above in share.items():
        parts = [
            item
            for causes, part in parts
            for item in ((causes | {cause}, part * above), (causes - {cause}, part * (1 - above)))
        ]
    out: dict[str, float] = {}
    for causes, part in parts:
        name = joined(causes)
        out[name] = out.get(name, 0.0) + part
    return out


def joined(causes: frozenset[str]) -> str:
    """Name of an explanation: its causes in the order of :data:`CAUSES`, or "ok"."""
    return "+".join(cause for cause in CAUSES if cause in causes) or OK
