"""One curve against another of the same kind: two ears, or two visits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.core import COVERAGE_FACTOR, Component, Level, States, Transfer, Uncertainty
from umbo.errors import CombinationError, CouplingMismatchError, GridMismatchError, InputError, PlaneMismatchError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from umbo.core import BoolArray, Curve, FloatArray

__all__ = ["Contrast", "contrast"]


@dataclass(frozen=True, slots=True, eq=False)
class Contrast:
    """Decibels by which one curve lies above another of its kind.

    It is no :class:`~umbo.core.Difference`: that one is of a single ear at a single time.

    Parameters
    ----------
    quantity : str
        What was compared.
    frequency_hz : array (n,)
        Frequencies. [Hz]
    difference_db : array (n,)
        First minus second. [dB]
    uncertainty : Uncertainty
        Of the difference: what both share has cancelled.
    states : States
        Reasons of both.
    """

    quantity: str
    frequency_hz: FloatArray
    difference_db: FloatArray
    uncertainty: Uncertainty
    states: States

    @classmethod
    def of(
        cls, quantity: str, frequency_hz: ArrayLike, values_db: tuple[ArrayLike, ArrayLike], u_db: tuple[float, float]
    ) -> Contrast:
        """Compare bare numbers, of which nothing is known to be shared.

        Parameters
        ----------
        quantity : str
            What is compared.
        frequency_hz : array-like (n,)
            Frequencies. [Hz]
        values_db : tuple of two array-like (n,)
            First and second. [dB]
        u_db : tuple of float
            Standard uncertainty of each, at every frequency by itself. [dB]

        Returns
        -------
        Contrast
            First minus second.

        Raises
        ------
        InputError
            If the three lists differ in length or a number is not finite.
        """
        hz, one, other = (np.array(v, dtype=np.float64, ndmin=1) for v in (frequency_hz, *values_db))
        if not hz.shape == one.shape == other.shape or not np.isfinite(one - other).all():
            raise InputError(
                f"compare the {quantity}",
                f"there are {hz.size} frequencies, {one.size} and {other.size} values, or one of them is not finite",
                "give one finite value of each per frequency",
            )
        causes = [
            Component(f"{quantity}:{word}", f"{word} {quantity}", np.array([u]), "none", "B", "as given")
            for word, u in zip(("first", "second"), u_db, strict=True)
        ]
        return cls(quantity, hz, one - other, Uncertainty.of(hz.size, causes), States.ok(hz.size))

    @property
    def u_db(self) -> FloatArray:
        """Standard uncertainty of the difference. Shape (n,). [dB]"""
        return self.uncertainty.u_db

    @property
    def is_usable(self) -> BoolArray:
        """Where both can be used. Shape (n,)."""
        return self.states.is_usable

    @property
    def is_significant(self) -> BoolArray:
        """Where the difference can be used and is more than twice its standard uncertainty. Shape (n,)."""
        return np.asarray(self.is_usable & (np.abs(self.difference_db) > COVERAGE_FACTOR * self.u_db))

    def between(self, from_hz: float, to_hz: float) -> BoolArray:
        """Which points lie in a range of frequencies, nominal and exact names of the ends included.

        Parameters
        ----------
        from_hz, to_hz : float
            The range. [Hz]

        Returns
        -------
        array (n,), bool
            True inside.
        """
        return np.asarray((self.frequency_hz > from_hz / 1.03) & (self.frequency_hz < to_hz * 1.03))

    def worded(self, index: int) -> str:
        """How a sentence says the size at one point: "-15.0 dB (u 1.2 dB) at 500 Hz".

        Parameters
        ----------
        index : int
            Which point. [1]

        Returns
        -------
        str
            Value, uncertainty and frequency.
        """
        d, u, hz = self.difference_db[index], self.u_db[index], self.frequency_hz[index]
        return f"{d:+.1f} dB (u {u:.1f} dB) at {hz:.0f} Hz"


def contrast(one: Curve, other: Curve, *, quantity: str) -> Contrast:
    """Compare two curves of one kind; causes of error with one identity are one error and cancel.

    Parameters
    ----------
    one, other : Level or Transfer
        Two levels at one plane, or two transfers between the same planes, on one grid.
    quantity : str
        What is compared.

    Returns
    -------
    Contrast
        First minus second.

    Raises
    ------
    CombinationError
        If the two are not of one kind: PlaneMismatchError, GridMismatchError or CouplingMismatchError where it is that.
    """
    asked = f"compare the {quantity}"
    if type(one) is not type(other) or not isinstance(one, Level | Transfer):
        raise CombinationError(
            asked,
            f"one is a {type(one).__name__.lower()} and the other a {type(other).__name__.lower()}",
            "compare two levels, or two transfers",
        )
    mine, theirs = _places(one), _places(other)
    if mine != theirs:
        raise PlaneMismatchError(asked, f"one is {mine} and the other {theirs}", "compare two of one kind")
    if not one.grid.same_frequencies(other.grid) or one.grid.bandwidth != other.grid.bandwidth:
        raise GridMismatchError(
            asked,
            f"one has {one.grid} and the other {other.grid}",
            "regrid one explicitly with curve.on(grid, method=...)",
        )
    couplings = (one.tags.coupling, other.tags.coupling)
    if isinstance(one, Transfer) and None not in couplings and couplings[0] != couplings[1]:
        words = [str(coupling).replace("_", " ") for coupling in couplings]
        raise CouplingMismatchError(
            asked, f"one was taken with a {words[0]} and the other with a {words[1]}", "compare two of one coupling"
        )
    return Contrast(
        quantity,
        one.frequency_hz,
        one.level_db - other.level_db,
        one.uncertainty.plus(other.uncertainty, -1.0),
        one.states.joined(other.states),
    )


def _places(curve: Curve) -> str:
    if isinstance(curve, Transfer):
        return f"from {curve.start} to {curve.end}"
    return curve.plane.phrase if isinstance(curve, Level) else ""
