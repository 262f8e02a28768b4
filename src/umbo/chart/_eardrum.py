"""Everything on one axis: thresholds, speech, targets, maximum output and noise, as levels at the eardrum."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, Literal

from umbo.chart._axis import LevelAxis
from umbo.chart._figure import Chart
from umbo.chart._language import Line, Symbol, Tone
from umbo.chart._layers import Band, Marks, Series
from umbo.chart._quantities import EARDRUM_LEVEL, MAXIMUM_OUTPUT, NOISE, TARGET
from umbo.chart._recd import trusted_limits
from umbo.chart._texts import Texts

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike

    from umbo.chart._trace import Trace

__all__ = ["PERCENTILES", "AidedSound", "AidedSpeech", "Thresholds", "eardrum_view", "floor_marks", "speech_band"]

_NO_TEXTS = Texts()

#: Percentiles that bound speech where nothing else is said. [%]
PERCENTILES = (30, 99)


@dataclass(frozen=True, slots=True, eq=False)
class Thresholds:
    """Hearing thresholds or discomfort levels of one ear at the eardrum.

    Parameters
    ----------
    frequency_hz, level_db : array (n,)
        The points. [Hz], [dB SPL]
    no_response : sequence of bool (n,), optional
        Points where the highest level tried gave no response.
    u_db : array (n,) or float, optional
        Standard uncertainties. [dB]
    state : sequence of str (n,) or str
        One state word a point.
    is_predicted : bool
        Whether discomfort levels were predicted and not measured.
    """

    frequency_hz: ArrayLike
    level_db: ArrayLike
    no_response: Sequence[bool] = ()
    u_db: ArrayLike | None = None
    state: Sequence[str] | str = "ok"
    is_predicted: bool = False

    def marks(self, label: str, symbol: Symbol, tone: Tone, joined: Line) -> Marks:
        """Make marks of these points.

        Parameters
        ----------
        label : str
            Name of the marks.
        symbol, tone, joined : Symbol, Tone, Line
            How they are drawn.
        """
        return Marks(
            label=label,
            symbol=symbol,
            frequency_hz=self.frequency_hz,  # type: ignore[arg-type]  # settled into a tuple by Marks
            level_db=self.level_db,  # type: ignore[arg-type]
            u_db=self.u_db,  # type: ignore[arg-type]
            state=self.state,  # type: ignore[arg-type]
            no_response=tuple(self.no_response),
            joined=joined,
            tone=tone,
        )


@dataclass(frozen=True, slots=True, eq=False)
class AidedSpeech:
    """Speech at the eardrum for one input level, with its target.

    Parameters
    ----------
    input_level_db : float
        Level of the speech at the input. [dB SPL]
    level : Trace
        Long-term level at the eardrum. [dB SPL]
    target : Trace, optional
        What was prescribed. [dB SPL]
    soft_db, peak_db : array (n,), optional
        Percentiles that bound the speech, on the frequencies of the level. [dB SPL]
    edge_state : sequence of str (n,) or str
        One state word a point, the worse of the two percentiles.
    """

    input_level_db: float
    level: Trace
    target: Trace | None = None
    soft_db: ArrayLike | None = None
    peak_db: ArrayLike | None = None
    edge_state: Sequence[str] | str = "ok"


@dataclass(frozen=True, slots=True, eq=False)
class AidedSound:
    """What the aid puts into the ear.

    Parameters
    ----------
    speech : sequence of AidedSpeech
        One for each input level.
    maximum_output, maximum_target : Trace, optional
        Maximum output and its target. [dB SPL]
    noise : Trace, optional
        Noise of the measurement. [dB SPL]
    percentiles : tuple of int
        What ``soft_db`` and ``peak_db`` of the speech are. [%]
    maximum_input_db : float
        Level of the input that drives the aid to its maximum output; 90 dB is common practice. [dB SPL]
    """

    speech: Sequence[AidedSpeech] = ()
    maximum_output: Trace | None = None
    maximum_target: Trace | None = None
    noise: Trace | None = None
    percentiles: tuple[int, int] = PERCENTILES
    maximum_input_db: float = 90.0


def eardrum_view(
    identity: str,
    ear: Literal["right", "left"],
    thresholds: Thresholds,
    sound: AidedSound,
    texts: Texts = _NO_TEXTS,
    *,
    discomfort: Thresholds | None = None,
    height_px: float = 420.0,
) -> Chart:
    """Draw the hearing of one ear as a room between a floor and a ceiling, and what the aid puts into it.

    The floor is the threshold: what lies in the shade below it is not heard. The ceiling is the discomfort
    level: what lies in the shade above it is too loud. Levels grow upwards, in dB SPL at the eardrum.

    Parameters
    ----------
    identity : str
        Id of the chart.
    ear : {"right", "left"}
        The ear: its symbol and colour.
    thresholds : Thresholds
        Hearing thresholds. [dB SPL]
    sound : AidedSound
        Speech, targets, maximum output and noise. [dB SPL]
    texts : Texts
        Words around the chart.
    discomfort : Thresholds, optional
        Discomfort levels. [dB SPL]
    height_px : float
        Height of the plot. [px]

    Returns
    -------
    Chart
        The specification.
    """
    floor = floor_marks(ear, thresholds)
    ceiling = None if discomfort is None else _ceiling(discomfort)
    marks = (floor,) if ceiling is None else (floor, ceiling)
    bands = _outside(floor, ceiling)
    bands += [band for one in sound.speech if (band := speech_band(one, sound.percentiles)) is not None]
    series = _curves(sound)
    measured = [one.level for one in sound.speech] + ([] if sound.maximum_output is None else [sound.maximum_output])
    return Chart(
        id=identity,
        title=texts.title or f"Hearing and aided sound, {ear} ear",
        subtitle=texts.subtitle,
        caption=texts.caption,
        alt=_alt(ear, floor, sound.speech),
        level=_axis(series, marks),
        series=series,
        marks=marks,
        bands=tuple(bands),
        limits=trusted_limits([trace for trace in measured if trace.trusted_max_hz is not None]),
        notes=texts.notes,
        height_px=height_px,
    )


def floor_marks(ear: Literal["right", "left"], thresholds: Thresholds) -> Marks:
    """Make the floor: thresholds in the symbol and colour of their ear.

    Parameters
    ----------
    ear : {"right", "left"}
        Which ear.
    thresholds : Thresholds
        Hearing thresholds. [dB SPL]
    """
    symbol, tone = (Symbol.RIGHT, Tone.RIGHT) if ear == "right" else (Symbol.LEFT, Tone.LEFT)
    return thresholds.marks(f"threshold, {ear} ear", symbol, tone, Line.SOLID)


def _ceiling(discomfort: Thresholds) -> Marks:
    """Measured discomfort levels are joined; predicted ones have a broken sign and long dashes, as typical values."""
    if discomfort.is_predicted:
        return discomfort.marks("predicted discomfort level", Symbol.CEILING_PREDICTED, Tone.NEUTRAL, Line.LONG_DASHED)
    return discomfort.marks("discomfort level", Symbol.CEILING, Tone.NEUTRAL, Line.SOLID)


def _outside(floor: Marks, ceiling: Marks | None) -> list[Band]:
    """Shade below the floor and above the ceiling; a level that was not yet uncomfortable bounds nothing."""
    if ceiling is None:
        return [Band("grey: too soft to be heard", floor.frequency_hz, None, floor.level_db)]
    shade = "grey: too soft to be heard, or too loud"
    bands = [Band(shade, floor.frequency_hz, None, floor.level_db)]
    rows = range(len(ceiling.frequency_hz))
    for is_silent, run in groupby(rows, key=lambda i: ceiling.no_response[i]):
        known = list(run)
        if not is_silent and len(known) > 1:
            hz, db = ([values[i] for i in known] for values in (ceiling.frequency_hz, ceiling.level_db))
            bands.append(Band(shade, tuple(hz), tuple(db), None))
    return bands


def _curves(sound: AidedSound) -> tuple[Series, ...]:
    curves = [one.level.series(EARDRUM_LEVEL, input_level_db=one.input_level_db) for one in sound.speech]
    curves += [
        one.target.series(TARGET, input_level_db=one.input_level_db) for one in sound.speech if one.target is not None
    ]
    if sound.maximum_output is not None:
        curves.append(sound.maximum_output.series(MAXIMUM_OUTPUT, input_level_db=sound.maximum_input_db))
    if sound.maximum_target is not None:
        curves.append(sound.maximum_target.series(TARGET, input_level_db=sound.maximum_input_db))
    if sound.noise is not None:
        curves.append(sound.noise.series(NOISE))
    return tuple(curves)


def speech_band(speech: AidedSpeech, percentiles: tuple[int, int]) -> Band | None:
    """Make the area between two percentiles of speech; None where they are not known.

    Parameters
    ----------
    speech : AidedSpeech
        The speech.
    percentiles : tuple of int
        Which percentiles. [%]
    """
    if speech.soft_db is None or speech.peak_db is None:
        return None
    words = f"{percentiles[0]}th to {percentiles[1]}th percentile of speech at {speech.input_level_db:g} dB"
    return Band(
        words,
        speech.level.frequency_hz,  # type: ignore[arg-type]  # settled into a tuple by Band
        speech.soft_db,  # type: ignore[arg-type]
        speech.peak_db,  # type: ignore[arg-type]
        Tone.HUE,
        speech.input_level_db,
        speech.edge_state,  # type: ignore[arg-type]
    )


def _axis(series: Sequence[Series], marks: Sequence[Marks]) -> LevelAxis:
    """From 0 dB SPL, so that visits compare, to what the loudest needs and at least 120."""
    layers: tuple[Series | Marks, ...] = (*series, *marks)
    highest = max([120.0, *(max(layer.level_db) for layer in layers)])
    return LevelAxis.around([0.0, highest + 4.0], "dB SPL at the eardrum", "dB SPL", step_db=20.0)


def _alt(ear: str, floor: Marks, speech: Sequence[AidedSpeech]) -> str:
    heard = [level for level, silent in zip(floor.level_db, floor.no_response, strict=True) if not silent]
    span = f"from {min(heard):.0f} to {max(heard):.0f} dB SPL" if heard else "not reached at any level tried"
    silent = sum(floor.no_response)
    extra = f", no response at {silent} of {len(floor.level_db)} frequencies" if silent else ""
    levels = ", ".join(f"{one.input_level_db:g}" for one in speech)
    aided = f" Aided speech for inputs of {levels} dB." if levels else ""
    return f"Levels at the eardrum of the {ear} ear against frequency. Thresholds {span}{extra}.{aided}"
