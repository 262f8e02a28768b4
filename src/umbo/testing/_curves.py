"""Strategies for levels and transfers, and for chains of them that may be added up."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from hypothesis import strategies as st

from umbo.core import Coupling, Ear, Grid, Level, Plane, States, Tags, Transfer, Uncertainty
from umbo.testing._parts import decibels, point_states, uncertainties
from umbo.testing._places import grids, planes, tags

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["Chain", "chains", "levels", "transfers"]


class Chain(NamedTuple):
    """A level and transfers that lead it from place to place.

    Parameters
    ----------
    level : Level
        At the first place.
    transfers : tuple of Transfer
        Each starts where the one before it ends.
    """

    level: Level
    transfers: tuple[Transfer, ...]


class _Parts(NamedTuple):
    grid: Grid
    level_db: FloatArray
    tags: Tags
    states: States
    uncertainty: Uncertainty


@st.composite
def _parts(draw: st.DrawFn, grid: Grid | None, tagged: Tags | None) -> _Parts:
    where = draw(grids()) if grid is None else grid
    return _Parts(
        where,
        draw(decibels(where.size)),
        draw(tags()) if tagged is None else tagged,
        draw(point_states(where.size)),
        draw(uncertainties(where.size)),
    )


@st.composite
def levels(
    draw: st.DrawFn, *, grid: Grid | None = None, plane: Plane | None = None, tagged: Tags | None = None
) -> Level:
    """Make levels.

    Parameters
    ----------
    grid : Grid, optional
        Any when left out.
    plane : Plane, optional
        Any when left out.
    tagged : Tags, optional
        Any when left out.

    Returns
    -------
    strategy of Level
        With states, causes of error and one term in its origin.
    """
    parts = draw(_parts(grid, tagged))
    return Level.given(
        parts.grid,
        parts.level_db,
        plane=draw(planes()) if plane is None else plane,
        tags=parts.tags,
        source="drawn",
        components=parts.uncertainty.components,
        states=parts.states,
    )


@st.composite
def transfers(
    draw: st.DrawFn,
    *,
    grid: Grid | None = None,
    start: Plane | None = None,
    end: Plane | None = None,
    tagged: Tags | None = None,
) -> Transfer:
    """Make transfers between two different places.

    Parameters
    ----------
    grid : Grid, optional
        Any when left out.
    start, end : Plane, optional
        Any when left out.
    tagged : Tags, optional
        Any when left out.

    Returns
    -------
    strategy of Transfer
        With states, causes of error and one term in its origin.
    """
    parts = draw(_parts(grid, tagged))
    first = draw(planes().filter(lambda plane: plane != end)) if start is None else start
    return Transfer.given(
        parts.grid,
        parts.level_db,
        start=first,
        end=draw(planes().filter(lambda plane: plane != first)) if end is None else end,
        tags=parts.tags,
        source="drawn",
        components=parts.uncertainty.components,
        states=parts.states,
    )


@st.composite
def chains(draw: st.DrawFn, *, n_transfers: int = 1) -> Chain:
    """Make a level and transfers that may be added up: one grid, one ear, one coupling, different places.

    Parameters
    ----------
    n_transfers : int
        How many transfers. [1]

    Returns
    -------
    strategy of Chain
        The first transfer starts where the level is.
    """
    grid = draw(grids())
    n_places = n_transfers + 1
    places = draw(st.lists(planes(), min_size=n_places, max_size=n_places, unique=True))
    tagged = tags(ears=(None, draw(st.sampled_from(Ear))), couplings=(None, draw(st.sampled_from(Coupling))))
    level = draw(levels(grid=grid, plane=places[0], tagged=draw(tagged)))
    steps = [draw(transfers(grid=grid, start=start, end=end, tagged=draw(tagged))) for start, end in pairwise(places)]
    return Chain(level, tuple(steps))
