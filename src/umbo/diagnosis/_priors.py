"""Priors of the parameters, and the scaled parameters a fit works in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from umbo import refdata
from umbo.core import FloatArray
from umbo.diagnosis._hypotheses import Hypothesis, infant_share
from umbo.diagnosis._parameters import Parameter, absent

__all__ = ["Scaled", "scaled"]

#: A scaled parameter is held within this many standard deviations of its prior, so that no model is impossible. [1]
MOST_Z = 3.5

#: Distance from probe to drum under an explanation that leaves it open (assumed). [m]
_PROBE_TO_DRUM_M = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class Scaled:
    r"""Hypotheses as rows of arrays; a free parameter is :math:`m\,e^{s z}` (a ratio) or :math:`m + s z`.

    Parameters
    ----------
    fixed : array (rows, parameters)
        Values of what is not free.
    column : array (rows, k), int
        Which parameters are free; short rows are filled up. [1]
    is_free : array (rows, k), bool
        Where a column is one, and not filling.
    middle, spread : array (rows, k)
        Prior of each. [unit of the parameter]
    is_ratio : array (rows, k), bool
        Which of the two forms.
    """

    fixed: FloatArray
    column: np.ndarray[tuple[int, ...], np.dtype[np.intp]]
    is_free: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
    middle: FloatArray
    spread: FloatArray
    is_ratio: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]

    def values(self, z: FloatArray, rows: np.ndarray[tuple[int, ...], np.dtype[np.intp]]) -> FloatArray:
        """Parameter sets for scaled parameters.

        Parameters
        ----------
        z : array (m, k)
            Scaled parameters, standard normal before the measurement is looked at. [1]
        rows : array (m,), int
            Which hypothesis each belongs to. [1]

        Returns
        -------
        array (m, parameters)
            In the order of :class:`Parameter`.
        """
        out = self.fixed[rows]
        step = self.spread[rows] * z
        moved = np.where(self.is_ratio[rows], self.middle[rows] * np.exp(step), self.middle[rows] + step)
        which, place = np.nonzero(self.is_free[rows])
        out[which, self.column[rows][which, place]] = moved[which, place]
        out[:, Parameter.DRUM_MIX] = np.clip(out[:, Parameter.DRUM_MIX], 0.0, 1.0)
        return out


def scaled(offered: Sequence[Hypothesis]) -> Scaled:
    """Priors of hypotheses as arrays."""
    k = max(len(one.free) for one in offered)
    shape = (len(offered), k)
    fixed = absent(len(offered))
    column, is_free, is_ratio = np.zeros(shape, np.intp), np.zeros(shape, bool), np.zeros(shape, bool)
    middle, spread = np.ones(shape), np.zeros(shape)
    for row, one in enumerate(offered):
        fixed[row, Parameter.INFANT_SHARE] = infant_share(one.age_months)
        if Parameter.PROBE_TO_DRUM_M not in one.free:
            fixed[row, Parameter.PROBE_TO_DRUM_M] = _PROBE_TO_DRUM_M
        for place, parameter in enumerate(one.free):
            m, s, ratio = _prior(parameter, one)
            column[row, place], is_free[row, place], is_ratio[row, place] = parameter, True, ratio
            middle[row, place], spread[row, place] = m, s
    return Scaled(fixed, column, is_free, middle, spread, is_ratio)


def _prior(parameter: Parameter, one: Hypothesis) -> tuple[float, float, bool]:
    """Middle, spread and form of one parameter under one hypothesis: a row of the cause before a row of any."""
    table = refdata.table("diagnosis_prior", source="engineering-judgement")
    names, causes = np.array(table.text("parameter")), np.array(table.text("cause"))
    mine = (names == parameter.word) & np.isin(causes, one.causes)
    rows = np.flatnonzero(mine if mine.any() else (names == parameter.word) & (causes == "any"))
    ages = np.ma.filled(table.column("age_months"), np.nan)[rows]
    ratio = table.text("kind")[rows[0]] == "ratio"
    middle, spread = table.column("middle")[rows], table.column("spread")[rows]
    if rows.size == 1:
        return float(middle[0]), float(spread[0]), ratio
    at = np.log(max(one.age_months, 1.0))
    log_middle = np.interp(at, np.log(ages), np.log(middle))
    return float(np.exp(log_middle)), float(np.interp(at, np.log(ages), spread)), ratio
