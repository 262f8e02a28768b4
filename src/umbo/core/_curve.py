"""What levels, transfers and differences share: values with grid, tags, states, uncertainty and origin."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, ClassVar, Literal, Self

import numpy as np

from umbo.core._budget import Budget
from umbo.core._frozen import frozen
from umbo.core._origin import NAME_WIDTH, ExplainedTerm, Origin
from umbo.core._regrid import regrid
from umbo.core._states import PointState, States
from umbo.errors import BandwidthMismatchError, CombinationError, GridMismatchError, InputError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from umbo.core._grids import FloatArray, Grid
    from umbo.core._tags import Tags
    from umbo.core._uncertainty import Component, Uncertainty

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

    Raises
    ------
    InputError
        If values, states and uncertainty do not have one entry per frequency, or a value is not finite.
    """

    __array_ufunc__: ClassVar[None] = None  # numpy leaves "array + curve" to the curve, which refuses it

    grid: Grid
    level_db: FloatArray
    tags: Tags
    states: States
    uncertainty: Uncertainty
    origin: Origin = field(repr=False)

    def __post_init__(self) -> None:
        array = frozen(self.level_db)
        n = self.grid.size
        if array.shape != (n,) or self.states.size != n or self.uncertainty.size != n:
            raise InputError(
                f"make the curve '{self.tags.quantity}'",
                f"it has {array.size} values, {self.states.size} states and {self.uncertainty.size} "
                f"uncertainties on a grid of {n} points",
                "give one of each per point",
            )
        if not np.all(np.isfinite(array)):
            where = self.grid.frequency_hz[int(np.argmin(np.isfinite(array)))]
            raise InputError(
                f"make the curve '{self.tags.quantity}'",
                f"its value at {where:g} Hz is not a finite number",
                "leave the point out, or give it a state with a reason",
            )
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
        """Read the value at the grid point nearest to a frequency.

        Parameters
        ----------
        frequency_hz : float
            Frequency looked for. [Hz]

        Returns
        -------
        float
            Value. [dB]

        Raises
        ------
        InputError
            If no point is within 3 %.
        """
        return float(self.level_db[self.grid.index(frequency_hz)])

    def state_at(self, frequency_hz: float) -> PointState:
        """Read the state of the grid point nearest to a frequency.

        Parameters
        ----------
        frequency_hz : float
            Frequency looked for. [Hz]

        Returns
        -------
        PointState
            The worst state of the point.

        Raises
        ------
        InputError
            If no point is within 3 %.
        """
        return self.states.at(self.grid.index(frequency_hz))

    def budget(self, at: float) -> Budget:
        """Draw up the uncertainty budget at a frequency: which cause contributes how much.

        Parameters
        ----------
        at : float
            Frequency looked for. [Hz]

        Returns
        -------
        Budget
            Of the nearest grid point.

        Raises
        ------
        InputError
            If no point is within 3 %.
        """
        index = self.grid.index(at)
        return Budget.of(self.tags.quantity, float(self.frequency_hz[index]), self.uncertainty, index)

    def explain(self, at: float) -> str:
        """Write out the sum behind the value at a frequency, one term a line, with sources.

        Parameters
        ----------
        at : float
            Frequency looked for. [Hz]

        Returns
        -------
        str
            Head line, terms, and every reason that marks the point.

        Raises
        ------
        InputError
            If no point is within 3 %.
        """
        index = self.grid.index(at)
        frequency = float(self.frequency_hz[index])
        head = f"{self.tags.quantity} at {frequency:.0f} Hz, standard uncertainty {self.u_db[index]:.2f} dB"
        terms = self.terms(frequency)
        width = max(NAME_WIDTH, *(len(term.name) for term in terms))
        lines = [head, *(term.line(width) for term in terms)]
        lines += [f"state: {reason}" for reason in self.states.reasons(index)]
        return "\n".join(lines)

    def terms(self, at: float) -> tuple[ExplainedTerm, ...]:
        """List the terms of :meth:`explain`, for a table or a page.

        Parameters
        ----------
        at : float
            Frequency looked for; the terms are log-interpolated between grid points. [Hz]

        Returns
        -------
        tuple of ExplainedTerm
            The value itself first.
        """
        return tuple(self.origin.terms(at))

    def marked(self, state: PointState, where: ArrayLike, reason: str) -> Self:
        """Put a state on some points; earlier reasons stay.

        Parameters
        ----------
        state : PointState
            The state these points are in.
        where : array-like (n,), bool
            Which points; one value stands for all.
        reason : str
            Why, as a phrase a person understands.

        Returns
        -------
        Curve
            The same curve with the mark.
        """
        return replace(self, states=self.states.marked(state, where, reason))

    def with_uncertainty(self, *components: Component) -> Self:
        """Add causes of error.

        Parameters
        ----------
        *components : Component
            Causes; to one that is there already, its contribution adds with its sign.

        Returns
        -------
        Curve
            The same curve with more causes.
        """
        total = self.uncertainty
        for component in components:
            total = total.with_component(component)
        return replace(self, uncertainty=total)

    def on(self, grid: Grid, *, method: Literal["log_frequency"], outside: Literal["refuse", "hold"]) -> Self:
        """Bring the curve onto another grid: the only way to change frequencies.

        Parameters
        ----------
        grid : Grid
            Wanted frequencies.
        method : "log_frequency"
            Straight lines over log frequency. A wanted point within 1.5 % of an existing one takes it over as
            it is (nominal and exact names of one band); any other is marked interpolated.
        outside : "refuse" or "hold"
            What to do beyond the ends: refuse, or hold the last value and mark it extrapolated.

        Returns
        -------
        Curve
            With one more node in its origin, unless the frequencies are the same.

        Raises
        ------
        GridMismatchError
            If points lie outside and ``outside`` is "refuse".
        BandwidthMismatchError
            If a level would change from one bandwidth to another; single tones stand for both.
        InputError
            If the method is unknown.
        """
        if method != "log_frequency":
            raise InputError(
                f"regrid the {self.tags.quantity}",
                f"method='{method}' is not known",
                "use method='log_frequency'",
            )
        self._require_bandwidth(grid)
        plan = regrid(self.grid, grid, self.tags.quantity, outside)
        name = method.replace("_", " ")
        states = self.states.taken(plan.index[:, 0]).joined(self.states.taken(plan.index[:, 1]))
        states = states.marked(PointState.INTERPOLATED, plan.is_interpolated, f"between its points ({name})")
        states = states.marked(
            PointState.EXTRAPOLATED, plan.is_outside, "beyond the ends of the curve; last value held"
        )
        values = (plan.weight * self.level_db[plan.index]).sum(axis=1)
        origin = self.origin
        if not self.grid.same_frequencies(grid):
            source = f"regridded ({name})"
            parts = ((1, origin),)
            origin = Origin(origin.label, source, self.unit, grid.frequency_hz, values, parts, plan)
        return replace(
            self,
            grid=grid,
            level_db=values,
            states=states,
            uncertainty=self.uncertainty.mapped(plan.index, plan.weight),
            origin=origin,
        )

    def _require_bandwidth(self, grid: Grid) -> None:
        """Refuse a change of bandwidth where it changes the values; a difference of levels has none."""

    def __add__(self, other: object) -> Curve:
        raise refused(f"add {named(other)} to {named(self)}", self, other)

    def __radd__(self, other: object) -> Curve:
        raise refused(f"add {named(self)} to {named(other)}", self, other)

    def __sub__(self, other: object) -> Curve:
        raise refused(f"take {named(other)} from {named(self)}", self, other)

    def __rsub__(self, other: object) -> Curve:
        raise refused(f"take {named(self)} from {named(other)}", self, other)


def refused(asked: str, one: Curve, other: object) -> CombinationError:
    """Word the refusal of a sum that is none of the five."""
    if isinstance(other, Curve):
        kinds = sorted({type(one).__name__.lower(), type(other).__name__.lower()})
        return CombinationError(
            asked,
            f"no sum is defined for {' and '.join(kinds)}, and a difference is the end of a sum",
            "use the two levels the difference was made from",
        )
    return CombinationError(
        asked,
        f"{named(other)} does not say from where to where it leads",
        "make it a Transfer with its planes and source",
    )


def named(thing: object) -> str:
    if isinstance(thing, Curve):
        return f"the {thing.tags.quantity}"
    return (
        f"the bare number {thing:g}" if isinstance(thing, int | float) else f"an object of type {type(thing).__name__}"
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
            f"the {one.tags.quantity} is given {one.grid.bandwidth.phrase} and the {other.tags.quantity} "
            f"{other.grid.bandwidth.phrase}",
            "evaluate both with one bandwidth",
        )


def leaf(grid: Grid, level_db: ArrayLike, label: str, source: str, unit: str) -> Origin:
    """Origin of values that come from outside the sums: a measurement, a table, an entry."""
    return Origin(label, source, unit, grid.frequency_hz, frozen(level_db))
