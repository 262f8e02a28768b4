"""Several curves drawn together: one cause of error is one draw, wherever it acts."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.core import NOMINAL_RATIO
from umbo.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from umbo.core import Curve, FloatArray

__all__ = ["joint_draws", "joint_factor"]

#: Two frequencies nearer than this are one band by two names, 1000 and 1000.5 Hz, 4000 and 3981 Hz. [octave]
_ONE_BAND_OCTAVES = float(np.log2(NOMINAL_RATIO))


def joint_factor(curves: Sequence[Curve]) -> FloatArray:
    r"""Contributions of all causes to all points of several curves.

    With one row per independent draw, the covariance of all points is (JCGM 102 clause 6.2 in matrix form)

    .. math:: V = A^T A \qquad (1)

    A cause that moves all frequencies together has one row; one that moves each by itself has a row per band.

    Parameters
    ----------
    curves : sequence of Curve
        Curves; causes with one identity are one cause.

    Returns
    -------
    array (r, m)
        Signed changes of the m points, curve after curve, for one standard deviation of each of r draws; r is at most
        m. [dB]

    Raises
    ------
    InputError
        If two curves do not agree on how a shared cause acts across frequency, or a curve names one band twice.
    """
    ends = np.cumsum([0, *(curve.grid.size for curve in curves)])
    bands = _bands(curves)
    rows: dict[tuple[str, int], FloatArray] = {}
    across: dict[str, str] = {}
    for number, curve in enumerate(curves):
        for cause in curve.uncertainty.components:
            if across.setdefault(cause.id, cause.across) != cause.across:
                raise InputError(
                    "draw several curves together",
                    f"the cause '{cause.id}' moves all frequencies together in one and each by itself in another",
                    "give two different causes two identities",
                )
            if cause.across == "full":
                row = rows.setdefault((cause.id, -1), np.zeros(ends[-1]))
                row[ends[number] : ends[number + 1]] += cause.contribution_db
                continue
            for point, size in enumerate(cause.contribution_db):
                if size != 0:
                    row = rows.setdefault((cause.id, bands[number][point]), np.zeros(ends[-1]))
                    row[ends[number] + point] += size
    factor = np.array([row for row in rows.values() if row.any()]).reshape(-1, ends[-1])
    return factor if len(factor) <= ends[-1] else np.asarray(np.linalg.qr(factor, mode="r"))  # Eq. (1): R'R = A'A


def _bands(curves: Sequence[Curve]) -> list[list[int]]:
    """Which band each point of each curve is, counted over all curves."""
    octaves = np.log2(np.concatenate([curve.frequency_hz for curve in curves]))
    starts: list[float] = []
    for value in np.sort(octaves):
        if not starts or value - starts[-1] > _ONE_BAND_OCTAVES:
            starts.append(float(value))
    found = []
    for curve in curves:
        mine = np.searchsorted(starts, np.log2(curve.frequency_hz), side="right") - 1
        if len(set(mine.tolist())) != curve.grid.size:
            raise InputError(
                "draw several curves together",
                f"the {curve.tags.quantity} has points closer than 1.5 %",
                "regrid it to bands with curve.on(grid, method=...)",
            )
        found.append(mine.tolist())
    return found


def joint_draws(mean_db: FloatArray, factor_db: FloatArray, n: int, rng: np.random.Generator) -> FloatArray:
    """Draw jointly normal values (JCGM 101 clause 6.4.8).

    Parameters
    ----------
    mean_db : array (m,)
        Values measured. [dB]
    factor_db : array (r, m)
        From :func:`joint_factor`. [dB]
    n : int
        Number of draws. [1]
    rng : numpy.random.Generator
        Where randomness comes from.

    Returns
    -------
    array (m, n)
        A point's draws lie side by side. [dB]
    """
    drawn = factor_db.T @ rng.standard_normal((len(factor_db), n))
    drawn += mean_db[:, None]
    return np.asarray(drawn)
