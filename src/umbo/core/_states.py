"""Point states: whether each point of a curve may be believed, and why not."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from umbo.core._frozen import frozen_mask
from umbo.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = ["BoolArray", "Mark", "PointState", "States"]

BoolArray = NDArray[np.bool_]


class PointState(StrEnum):
    """What can be said of one point; listed from harmless to worst, and the worst one is shown."""

    OK = "ok"
    INTERPOLATED = "interpolated"
    NOISY = "noisy"
    NONLINEAR = "nonlinear"
    STANDING_WAVE = "standing_wave"
    EXTRAPOLATED = "extrapolated"
    CLIPPED = "clipped"
    BELOW_NOISE = "below_noise"
    OUTSIDE_COUPLER = "outside_coupler"
    WITHDRAWN = "withdrawn"

    @property
    def is_usable(self) -> bool:
        """Whether a verdict may rest on a point in this state (with its widened uncertainty)."""
        return self in (PointState.OK, PointState.INTERPOLATED, PointState.NOISY)


_RANK = {state: rank for rank, state in enumerate(PointState)}
_WORDS = np.array([str(state) for state in PointState])


@dataclass(frozen=True, slots=True, eq=False)
class Mark:
    """One reason why some points are not simply ok.

    Parameters
    ----------
    state : PointState
        The state these points are in.
    where : array (n,), bool
        Which points.
    reason : str
        Why, as a phrase a person understands.
    """

    state: PointState
    where: BoolArray
    reason: str

    def __post_init__(self) -> None:
        object.__setattr__(self, "where", frozen_mask(self.where))


@dataclass(frozen=True, slots=True, eq=False)
class States:
    """The states of all points of a curve, with every reason kept.

    Parameters
    ----------
    size : int
        Number of points. [1]
    marks : tuple of Mark
        Reasons; none means that every point is ok.

    Raises
    ------
    InputError
        If a mark does not say yes or no for each point.
    """

    size: int
    marks: tuple[Mark, ...] = ()

    def __post_init__(self) -> None:
        for mark in self.marks:
            if mark.where.shape != (self.size,):
                raise InputError(
                    f"mark points as '{mark.state}'",
                    f"the mark is for {mark.where.size} points and the curve has {self.size}",
                    "say yes or no for each point",
                )

    @classmethod
    def ok(cls, size: int) -> States:
        """Say of every point that it is ok.

        Parameters
        ----------
        size : int
            Number of points. [1]

        Returns
        -------
        States
            Without marks.
        """
        return cls(size)

    def marked(self, state: PointState, where: ArrayLike, reason: str) -> States:
        """Put one more reason on some points; nothing is ever taken away.

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
        States
            These states with the mark.

        Raises
        ------
        InputError
            If ``where`` does not have one value per point.
        """
        mask = frozen_mask(where)
        if mask.size == 1:
            mask = np.repeat(mask, self.size)
        return self.joined(States(self.size, (Mark(state, mask, reason),)))

    def joined(self, other: States) -> States:
        """Gather every reason of both: what a combination of two curves inherits.

        Parameters
        ----------
        other : States
            States of the other curve; one reason given by both becomes one mark on the points of either.

        Returns
        -------
        States
            Every mark of both.

        Raises
        ------
        InputError
            If the two belong to curves of different length.
        """
        if self.size != other.size:
            raise InputError(
                "join the states of two curves",
                f"one has {self.size} points, the other {other.size}",
                "bring both onto one grid first",
            )
        merged: dict[tuple[PointState, str], BoolArray] = {}
        for mark in (*self.marks, *other.marks):
            known = merged.get((mark.state, mark.reason), False)
            merged[mark.state, mark.reason] = known | mark.where
        marks = (Mark(state, where, reason) for (state, reason), where in merged.items() if where.any())
        return States(self.size, tuple(marks))

    def taken(self, index: ArrayLike) -> States:
        """Carry the states to other points.

        Parameters
        ----------
        index : array-like (m,), int
            The old point each new point takes over. [1]

        Returns
        -------
        States
            States of m points.
        """
        rows = np.asarray(index)
        return States(
            rows.size,
            tuple(Mark(m.state, m.where[rows], m.reason) for m in self.marks if m.where[rows].any()),
        )

    @property
    def rank(self) -> NDArray[np.int_]:
        """Worst state of each point as a number, 0 = ok. Shape (n,)."""
        rank = np.zeros(self.size, dtype=np.int_)
        for mark in self.marks:
            np.maximum(rank, _RANK[mark.state] * mark.where, out=rank)
        return rank

    @property
    def words(self) -> tuple[str, ...]:
        """Worst state of each point, as the words used in answers."""
        return tuple(_WORDS[self.rank].tolist())

    @property
    def is_ok(self) -> BoolArray:
        """Which points carry no mark at all. Shape (n,)."""
        return np.asarray(self.rank == 0)

    @property
    def is_usable(self) -> BoolArray:
        """Which points a verdict may rest on. Shape (n,)."""
        usable = np.array([state.is_usable for state in PointState])
        return np.asarray(usable[self.rank])

    def at(self, index: int) -> PointState:
        """Look up the worst state of one point.

        Parameters
        ----------
        index : int
            Which point. [1]

        Returns
        -------
        PointState
            Its worst state.
        """
        return list(PointState)[int(self.rank[index])]

    def reasons(self, index: int) -> tuple[str, ...]:
        """List every reason that marks one point, worst first.

        Parameters
        ----------
        index : int
            Which point. [1]

        Returns
        -------
        tuple of str
            Each as "state: reason".
        """
        marks = sorted((m for m in self.marks if m.where[index]), key=lambda m: -_RANK[m.state])
        return tuple(f"{mark.state.replace('_', ' ')}: {mark.reason}" for mark in marks)
