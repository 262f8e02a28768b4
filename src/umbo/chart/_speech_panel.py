"""Speech of one input level by itself: where its soft parts, its average and its peaks lie against the threshold."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from umbo.chart._eardrum import PERCENTILES, floor_marks, speech_band
from umbo.chart._figure import Chart
from umbo.chart._layers import Band
from umbo.chart._quantities import EARDRUM_LEVEL, NOISE, TARGET
from umbo.chart._recd import trusted_limits
from umbo.chart._texts import Texts

if TYPE_CHECKING:
    from umbo.chart._axis import LevelAxis
    from umbo.chart._eardrum import AidedSpeech, Thresholds
    from umbo.chart._layers import Series
    from umbo.chart._trace import Trace

__all__ = ["speech_panel"]

_NO_TEXTS = Texts()


def speech_panel(
    identity: str,
    ear: Literal["right", "left"],
    speech: AidedSpeech,
    level: LevelAxis,
    texts: Texts = _NO_TEXTS,
    *,
    thresholds: Thresholds | None = None,
    noise: Trace | None = None,
    height_px: float = 150.0,
) -> Chart:
    """Draw speech at one input level: percentiles, long-term level, target, threshold and noise.

    Nothing is named beside the plot: a figure of such panels has its key, and each its title.

    Parameters
    ----------
    identity : str
        Id of the chart.
    ear : {"right", "left"}
        The ear: its symbol and colour.
    speech : AidedSpeech
        The speech.
    level : LevelAxis
        Axis, the same for all panels that are compared. [dB SPL]
    texts : Texts
        Words around the chart.
    thresholds : Thresholds, optional
        Hearing thresholds. [dB SPL]
    noise : Trace, optional
        Noise of the measurement. [dB SPL]
    height_px : float
        Height of the plot. [px]

    Returns
    -------
    Chart
        The specification.
    """
    floor = None if thresholds is None else floor_marks(ear, thresholds)
    band = speech_band(speech, PERCENTILES)
    if band is not None:
        band = replace(band, label=f"{PERCENTILES[0]}th to {PERCENTILES[1]}th percentile of the speech")
    bands = [] if floor is None else [Band("grey: too soft to be heard", floor.frequency_hz, None, floor.level_db)]
    title = texts.title or f"Speech at {speech.input_level_db:g} dB, {ear} ear"
    return Chart(
        id=identity,
        title=title,
        subtitle=texts.subtitle,
        caption=texts.caption,
        alt=f"{title}: level at the eardrum against frequency.{f' {texts.subtitle}.' if texts.subtitle else ''}",
        level=level,
        series=tuple(replace(one, show_label=False) for one in _curves(speech, noise)),
        marks=() if floor is None else (replace(floor, show_label=False),),
        bands=tuple(bands if band is None else [*bands, band]),
        limits=trusted_limits([speech.level] if speech.level.trusted_max_hz is not None else []),
        height_px=height_px,
    )


def _curves(speech: AidedSpeech, noise: Trace | None) -> list[Series]:
    curves = [speech.level.series(EARDRUM_LEVEL, input_level_db=speech.input_level_db)]
    if speech.target is not None:
        curves.append(speech.target.series(TARGET, input_level_db=speech.input_level_db))
    if noise is not None:
        curves.append(noise.series(NOISE))
    return curves
