"""Strategies for where and what: grids, planes and tags."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from umbo.core import (
    Bandwidth,
    CouplerKind,
    Coupling,
    Ear,
    Grid,
    Plane,
    PlaneKind,
    Source,
    Statistic,
    Tags,
    Transducer,
)

__all__ = ["grids", "planes", "tags"]

#: Width of the steps that grid frequencies are made of: 2^(1/12), wider than what counts as one band. [1]
_STEP = 2.0 ** (1 / 12)
_LOWEST_HZ = 125.0
_N_STEPS = 84

_QUANTITIES = ("sweep response", "threshold", "RECD", "speech", "maximum output", "gain")
_STIMULI = ("sweep", "speech at 65 dB", "tones")


@st.composite
def grids(
    draw: st.DrawFn,
    *,
    min_size: int = 1,
    max_size: int = 6,
    bandwidths: tuple[Bandwidth, ...] = tuple(Bandwidth),
) -> Grid:
    """Make grids of distinct frequencies between 125 Hz and 16 kHz, at least a semitone apart.

    Parameters
    ----------
    min_size, max_size : int
        Fewest and most points. [1]
    bandwidths : tuple of Bandwidth
        Which bandwidths may come up.

    Returns
    -------
    strategy of Grid
        Ascending frequencies.
    """
    steps = draw(st.sets(st.integers(0, _N_STEPS), min_size=min_size, max_size=max_size))
    frequency_hz = _LOWEST_HZ * _STEP ** np.array(sorted(steps), dtype=np.float64)
    return Grid(frequency_hz, draw(st.sampled_from(bandwidths)))


def planes() -> st.SearchStrategy[Plane]:
    """Make planes of every kind, with couplers, dials and probe depths.

    Returns
    -------
    strategy of Plane
        Any place a level can belong to.
    """
    plain = [kind for kind in PlaneKind if kind not in (PlaneKind.COUPLER, PlaneKind.DIAL)]
    return st.one_of(
        st.sampled_from(plain).map(Plane),
        st.sampled_from(CouplerKind).map(Plane.coupler),
        st.sampled_from(Transducer).map(Plane.dial),
        st.integers(0, 30).map(lambda distance_mm: Plane.probe_tip(float(distance_mm))),
    )


@st.composite
def tags(
    draw: st.DrawFn,
    *,
    ears: tuple[Ear | None, ...] = (None, *Ear),
    stimuli: tuple[str | None, ...] = (None, *_STIMULI),
    statistics: tuple[Statistic | None, ...] = (None, *Statistic),
    couplings: tuple[Coupling | None, ...] = (None, *Coupling),
    sources: tuple[Source | None, ...] = (None, *Source),
) -> Tags:
    """Make tags; what has to agree between two curves can be narrowed down.

    Parameters
    ----------
    ears, stimuli, statistics, couplings, sources : tuple
        What each tag may be.

    Returns
    -------
    strategy of Tags
        With a quantity in the field's words.
    """
    return Tags(
        quantity=draw(st.sampled_from(_QUANTITIES)),
        ear=draw(st.sampled_from(ears)),
        stimulus=draw(st.sampled_from(stimuli)),
        statistic=draw(st.sampled_from(statistics)),
        coupling=draw(st.sampled_from(couplings)),
        source=draw(st.sampled_from(sources)),
    )
