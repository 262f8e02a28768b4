"""Strategies for what a curve carries: decibels, components, uncertainties and states."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np
from hypothesis import strategies as st

from umbo.core import Component, PointState, States, Uncertainty

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["CAUSES", "components", "decibels", "point_states", "uncertainties"]

#: Causes of error that strategies draw from: few, so that curves often share one; identity to ``across``.
CAUSES: dict[str, Literal["full", "none"]] = {
    "microphone:coupler": "full",
    "microphone:probe": "full",
    "table:recd": "full",
    "noise:coupler": "none",
    "noise:ear": "none",
}

_REASONS = ("too close to the noise", "first standing wave", "entered by hand")


def decibels(size: int, *, low_db: float = -120.0, high_db: float = 120.0) -> st.SearchStrategy[FloatArray]:
    """Make arrays of decibels in steps of a tenth.

    Parameters
    ----------
    size : int
        Number of values. [1]
    low_db, high_db : float
        Range. [dB]

    Returns
    -------
    strategy of array (size,)
        Values. [dB]
    """
    tenths = st.integers(round(10 * low_db), round(10 * high_db))
    return st.lists(tenths, min_size=size, max_size=size).map(lambda values: np.array(values) / 10)


@st.composite
def components(draw: st.DrawFn, size: int, *, cause: str | None = None) -> Component:
    """Make components of known causes; one cause acts across frequency in one way wherever it comes up.

    Parameters
    ----------
    size : int
        Number of contributions. [1]
    cause : str, optional
        A key of ``CAUSES``; any of them when left out.

    Returns
    -------
    strategy of Component
        Signed contributions of up to 3 dB.
    """
    name = draw(st.sampled_from(sorted(CAUSES))) if cause is None else cause
    return Component(
        id=name,
        label=name.replace(":", " of the "),
        contribution_db=draw(decibels(size, low_db=-3.0, high_db=3.0)),
        across=CAUSES[name],
        evaluation="A" if CAUSES[name] == "none" else "B",
        source="assumed",
        dof=float("inf") if CAUSES[name] == "full" else 9.0,
    )


@st.composite
def uncertainties(draw: st.DrawFn, size: int) -> Uncertainty:
    """Make uncertainties of up to three causes.

    Parameters
    ----------
    size : int
        Number of points of the curve. [1]

    Returns
    -------
    strategy of Uncertainty
        Each cause at most once.
    """
    causes = draw(st.lists(st.sampled_from(sorted(CAUSES)), max_size=3, unique=True))
    return Uncertainty.of(size, [draw(components(size, cause=cause)) for cause in causes])


@st.composite
def point_states(draw: st.DrawFn, size: int) -> States:
    """Make states with up to three marks.

    Parameters
    ----------
    size : int
        Number of points of the curve. [1]

    Returns
    -------
    strategy of States
        Each mark on at least one point.
    """
    states = States.ok(size)
    for _ in range(draw(st.integers(0, 3))):
        where = draw(st.lists(st.booleans(), min_size=size, max_size=size))
        state = draw(st.sampled_from([state for state in PointState if state is not PointState.OK]))
        states = states.marked(state, where, draw(st.sampled_from(_REASONS)))
    return states
