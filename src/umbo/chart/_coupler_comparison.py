"""The same ear measured against several couplers, side by side, with the RECDs below."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.chart._axis import LevelAxis
from umbo.chart._figure import Chart, Figure
from umbo.chart._quantities import COUPLER_LEVEL, EAR_LEVEL, NOISE
from umbo.chart._recd import recd_chart
from umbo.chart._texts import Texts
from umbo.chart._trace import Trace, hertz_text
from umbo.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from umbo.chart._layers import Limit, Series

__all__ = ["CouplerRun", "coupler_comparison"]

_NO_TEXTS = Texts()


@dataclass(frozen=True, slots=True, eq=False)
class CouplerRun:
    """What was measured with one coupler.

    Parameters
    ----------
    coupler : str
        Name of the coupler, for example "2 cc coupler (HA-1)".
    level : Trace
        The coupler reading. [dB SPL]
    recd : Trace
        The difference; its trusted limit ends the panel of this coupler. [dB]
    noise : Trace, optional
        Noise in the coupler. [dB SPL]
    """

    coupler: str
    level: Trace
    recd: Trace
    noise: Trace | None = None


def coupler_comparison(
    identity: str,
    ear: Trace,
    runs: Sequence[CouplerRun],
    texts: Texts = _NO_TEXTS,
    *,
    ear_noise: Trace | None = None,
    height_px: float = 240.0,
) -> Figure:
    """Draw one panel per coupler with the ear curve in each, and one panel with all RECDs below.

    All level panels share one axis, so that the eye can compare them.

    Parameters
    ----------
    identity : str
        Id of the figure; the panels are called after it.
    ear : Trace
        The curve in the ear, the same in every panel. [dB SPL]
    runs : sequence of CouplerRun
        The couplers, at least one.
    texts : Texts
        Words around the figure.
    ear_noise : Trace, optional
        Noise in the ear. [dB SPL]
    height_px : float
        Height of each plot. [px]

    Returns
    -------
    Figure
        The specification.

    Raises
    ------
    InputError
        If there is no run.
    """
    if not runs:
        raise InputError("compare couplers", "no coupler run was given", "give at least one")
    layers = [_layers(ear, run, ear_noise) for run in runs]
    axis = _shared_axis([series for panel in layers for series in panel])
    panels = tuple(
        Chart(
            id=f"{identity}-{n}",
            title=run.coupler,
            alt=_alt(run, ear),
            level=axis,
            series=panel,
            limits=_limits(run),
            height_px=height_px,
        )
        for n, (run, panel) in enumerate(zip(runs, layers, strict=True), 1)
    )
    below = recd_chart(
        f"{identity}-recd", [run.recd for run in runs], Texts("RECD: ear less coupler"), height_px=height_px
    )
    alt = f"{ear.label} against {' and '.join(run.coupler for run in runs)}; the RECDs below. {below.alt}"
    return Figure(
        identity,
        (panels, (below,)),
        title=texts.title or "One ear, several couplers",
        alt=alt,
        subtitle=texts.subtitle,
        caption=texts.caption,
    )


def _layers(ear: Trace, run: CouplerRun, ear_noise: Trace | None) -> tuple[Series, ...]:
    curves = [ear.series(EAR_LEVEL), run.level.series(COUPLER_LEVEL, trusted_max_hz=run.recd.trusted_max_hz)]
    curves += [noise.series(NOISE) for noise in (ear_noise, run.noise) if noise is not None]
    return tuple(curves)


def _limits(run: CouplerRun) -> tuple[Limit, ...]:
    limit = run.recd.limit(hatched=True)
    return () if limit is None else (limit,)


def _shared_axis(series: Sequence[Series]) -> LevelAxis:
    return LevelAxis.around(np.concatenate([one.level_db for one in series]), "dB SPL", "dB SPL", step_db=10.0)


def _alt(run: CouplerRun, ear: Trace) -> str:
    reading = np.asarray(run.level.level_db, dtype=float)
    trusted = run.recd.trusted_max_hz
    limit = "" if trusted is None else f"; trusted to {hertz_text(trusted)}"
    span = f"{reading.min():.0f} to {reading.max():.0f} dB SPL"
    return f"{ear.label} and the reading of the {run.coupler}, {span}{limit}.".replace("-", "−")
