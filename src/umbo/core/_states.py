"""Point states: whether each point of a curve may be believed, and why not."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from umbo.errors import InputError

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


@dataclass(frozen=True, slots=True, eq=False)
class States:
    """The states of all points of a curve, with every reason kept.

    Parameters
    ----------
    size : int
        Number of points. [1]
    marks : tuple of Mark
        Reasons; none means that every point is ok.
    """

    size: int
    marks: tuple[Mark, ...] = ()

    @classmethod
    def ok(cls, size: int) -> States:
        """Every point is ok."""
        return cls(size)

    def marked(self, state: PointState, where: ArrayLike, reason: str) -> States:
        """These states with one more reason; nothing is ever taken away."""
        mask = np.array(np.broadcast_to(np.asarray(where, dtype=bool), (self.size,)))
        if not mask.any():
            return self
        mask.setflags(write=False)
        return States(self.size, (*self.marks, Mark(state, mask, reason)))

    def joined(self, other: States) -> States:
        """Every reason of both: what a combination of two curves inherits.

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
        known = {(mark.state, mark.reason, mark.where.tobytes()) for mark in self.marks}
        new = [mark for mark in other.marks if (mark.state, mark.reason, mark.where.tobytes()) not in known]
        return States(self.size, (*self.marks, *new))

    def taken(self, index: ArrayLike) -> States:
        """States at other points: ``index`` (m,) names the old point each new point takes over."""
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
        """Worst state of one point."""
        return list(PointState)[int(self.rank[index])]

    def reasons(self, index: int) -> tuple[str, ...]:
        """Every reason that marks one point, worst first."""
        marks = sorted((m for m in self.marks if m.where[index]), key=lambda m: -_RANK[m.state])
        return tuple(f"{mark.state.replace('_', ' ')}: {mark.reason}" for mark in marks)
