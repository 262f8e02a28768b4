"""What levels, transfers and differences have in common: values with a grid, tags, states, uncertainty and an origin."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Literal, Self

import numpy as np
from numpy.typing import ArrayLike

from umbo.core._budget import Budget
from umbo.core._grids import FloatArray, Grid
from umbo.core._origin import ExplainedTerm, Origin
from umbo.core._regrid import regrid
from umbo.core._states import PointState, States
from umbo.core._tags import Tags
from umbo.core._uncertainty import Component, Uncertainty
from umbo.errors import BandwidthMismatchError, GridMismatchError, InputError

__all__ = ["Curve"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Curve:
    """Decibel values over frequency that know what they are.

    Parameters
    ----------
    grid : Grid
        Frequencies and bandwidth.
    level_db : array (n,)
        Values, finite everywhere: a point that cannot be believed has a state, not a NaN. [dB]
    tags : Tags
        What was measured.
    states : States
        Whether each point may be believed.
    uncertainty : Uncertainty
        Labelled components.
    origin : Origin
        The sum the values were made by.
    """

    grid: Grid
    level_db: FloatArray
    tags: Tags
    states: States
    uncertainty: Uncertainty
    origin: Origin = field(repr=False)

    def __post_init__(self) -> None:
        array = np.array(self.level_db, dtype=np.float64, ndmin=1)
        n = self.grid.size
        if array.shape != (n,) or self.states.size != n or self.uncertainty.size != n:
            raise InputError(
                f"make the curve '{self.tags.quantity}'",
                f"it has {array.size} values, {self.states.size} states and {self.uncertainty.size} uncertainties "
                f"on a grid of {n} points",
                "give one of each per point",
            )
        if not np.all(np.isfinite(array)):
            where = self.grid.frequency_hz[int(np.argmin(np.isfinite(array)))]
            raise InputError(
                f"make the curve '{self.tags.quantity}'",
                f"its value at {where:g} Hz is not a finite number",
                "leave the point out, or give it a state with a reason",
            )
        array.setflags(write=False)
        object.__setattr__(self, "level_db", array)

    @property
    def unit(self) -> str:
        """Unit of the values."""
        return "dB"

    @property
    def frequency_hz(self) -> FloatArray:
        """Frequencies of the points. Shape (n,). [Hz]"""
        return self.grid.frequency_hz

    @property
    def u_db(self) -> FloatArray:
        """Combined standard uncertainty of the points, k = 1. Shape (n,). [dB]"""
        return self.uncertainty.u_db

    def value_at(self, frequency_hz: float) -> float:
        """Value at the grid point nearest to a frequency (within 3 %). [Hz] -> [dB]"""
        return float(self.level_db[self.grid.index(frequency_hz)])

    def state_at(self, frequency_hz: float) -> PointState:
        """State at the grid point nearest to a frequency (within 3 %). [Hz]"""
        return self.states.at(self.grid.index(frequency_hz))

    def budget(self, at: float) -> Budget:
        """Uncertainty budget at a frequency: which cause contributes how much. [Hz]"""
        index = self.grid.index(at)
        return Budget.of(self.tags.quantity, float(self.frequency_hz[index]), self.uncertainty, index)

    def explain(self, at: float) -> str:
        """The sum behind the value at a frequency, one term a line, with sources. [Hz]"""
        index = self.grid.index(at)
        frequency = float(self.frequency_hz[index])
        head = f"{self.tags.quantity} at {frequency:.0f} Hz, standard uncertainty {self.u_db[index]:.2f} dB"
        lines = [head, *(str(term) for term in self.terms(frequency))]
        lines += [f"state: {reason}" for reason in self.states.reasons(index)]
        return "\n".join(lines)

    def terms(self, at: float) -> tuple[ExplainedTerm, ...]:
        """The terms of :meth:`explain`, for a table or a page. [Hz]"""
        return tuple(self.origin.terms(at))

    def marked(self, state: PointState, where: ArrayLike, reason: str) -> Self:
        """The same curve with a state put on some points; earlier reasons stay."""
        return replace(self, states=self.states.marked(state, where, reason))

    def with_uncertainty(self, *components: Component) -> Self:
        """The same curve with more causes of error."""
        total = self.uncertainty
        for component in components:
            total = total.with_component(component)
        return replace(self, uncertainty=total)

    def on(self, grid: Grid, *, method: Literal["log_frequency"], outside: Literal["refuse", "hold"]) -> Self:
        """The curve on another grid: the only way to change frequencies.

        Parameters
        ----------
        grid : Grid
            Wanted frequencies.
        method : "log_frequency"
            Straight lines over log frequency. A wanted point within 1.5 % of an existing one takes it over as it is
            (nominal and exact names of one band); any other is marked interpolated.
        outside : "refuse" or "hold"
            What to do beyond the ends: refuse, or hold the last value and mark it extrapolated.

        Raises
        ------
        GridMismatchError
            If points lie outside and ``outside`` is "refuse".
        """
        plan = regrid(self.grid, grid, self.tags.quantity, outside)
        states = self.states.taken(plan.index[:, 0]).joined(self.states.taken(plan.index[:, 1]))
        name = f"between its points ({method.replace('_', ' ')})"
        states = states.marked(PointState.INTERPOLATED, plan.is_interpolated, name)
        states = states.marked(
            PointState.EXTRAPOLATED, plan.is_outside, "beyond the ends of the curve; last value held"
        )
        return replace(
            self,
            grid=grid,
            level_db=(plan.weight * self.level_db[plan.index]).sum(axis=1),
            states=states,
            uncertainty=self.uncertainty.mapped(plan.index, plan.weight),
        )


def require_same_grid(asked: str, one: Curve, other: Curve) -> None:
    """Refuse two curves that do not stand on one grid."""
    if not one.grid.same_frequencies(other.grid):
        raise GridMismatchError(
            asked,
            f"the {one.tags.quantity} has {one.grid} and the {other.tags.quantity} has {other.grid}",
            "regrid one explicitly with curve.on(grid, method=...)",
        )
    if one.grid.bandwidth != other.grid.bandwidth:
        raise BandwidthMismatchError(
            asked,
            f"the {one.tags.quantity} is per {one.grid.bandwidth} and the {other.tags.quantity} per "
            f"{other.grid.bandwidth}",
            "evaluate both with one bandwidth",
        )


def leaf(grid: Grid, level_db: ArrayLike, label: str, source: str, unit: str) -> Origin:
    """Origin of values that come from outside the sums: a measurement, a table, an entry."""
    return Origin(label, source, unit, grid.frequency_hz, np.array(level_db, dtype=np.float64, ndmin=1))


def total(components: Iterable[Component], size: int) -> Uncertainty:
    """Uncertainty from components, each spread over all points."""
    return Uncertainty.of(size, components)
