"""Hearing levels of one or two ears, growing downwards as is usual for an audiogram."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.chart._axis import LevelAxis
from umbo.chart._eardrum import Thresholds
from umbo.chart._figure import Chart
from umbo.chart._language import Line, Symbol, Tone
from umbo.chart._texts import Texts
from umbo.core import PointState
from umbo.errors import InputError

if TYPE_CHECKING:
    from umbo.chart._layers import Marks
    from umbo.core import Level

__all__ = ["audiogram", "thresholds_of_level"]

_NO_TEXTS = Texts()
_LOWEST_DB, _HIGHEST_DB = -10.0, 120.0
_FILLED_IN = str(PointState.INTERPOLATED)


def thresholds_of_level(level: Level) -> Thresholds:
    """Take the points of a level to be drawn: a withdrawn one is a bound and becomes an arrow, never a symbol.

    Parameters
    ----------
    level : Level
        Thresholds on a dial or at the eardrum, for example a standard audiogram. [dB]

    Returns
    -------
    Thresholds
        With the state of every point.
    """
    words = level.states.words
    return Thresholds(
        level.frequency_hz,
        level.level_db,
        [word == PointState.WITHDRAWN for word in words],
        level.u_db if level.u_db.any() else None,
        list(words),
    )


def audiogram(
    identity: str,
    right: Thresholds | None = None,
    left: Thresholds | None = None,
    texts: Texts = _NO_TEXTS,
    *,
    scale: str = "dB HL",
    height_px: float = 320.0,
) -> Chart:
    """Draw hearing thresholds: right ear red circles, left ear blue crosses, no response an arrow down.

    Parameters
    ----------
    identity : str
        Id of the chart.
    right, left : Thresholds, optional
        The thresholds, at least of one ear. [dB HL]
    texts : Texts
        Words around the chart.
    scale : str
        The scale of the levels, for example "dB HL" or "dB eHL".
    height_px : float
        Height of the plot. [px]

    Returns
    -------
    Chart
        The specification.

    Raises
    ------
    InputError
        If no ear is given.
    """
    marks: list[Marks] = []
    if right is not None:
        marks.append(right.marks("right ear", Symbol.RIGHT, Tone.RIGHT, Line.SOLID))
    if left is not None:
        marks.append(left.marks("left ear", Symbol.LEFT, Tone.LEFT, Line.DASHED))
    if not marks:
        raise InputError(
            "draw an audiogram", "thresholds of no ear were given", "give those of the right or the left ear"
        )
    low = min(_LOWEST_DB, *(min(one.level_db) for one in marks))
    high = max(_HIGHEST_DB, *(max(one.level_db) for one in marks))
    ends = LevelAxis.around([low, high], scale, scale)
    return Chart(
        id=identity,
        title=texts.title or "Hearing thresholds",
        subtitle=texts.subtitle,
        caption=texts.caption,
        alt=f"Audiogram in {scale}. " + " ".join(_sentence(one) for one in marks),
        level=LevelAxis(ends.low_db, ends.high_db, scale, scale, 20.0, inverted=True),
        marks=tuple(marks),
        notes=texts.notes,
        height_px=height_px,
    )


def _sentence(marks: Marks) -> str:
    points = zip(marks.frequency_hz, marks.level_db, marks.no_response, marks.state, strict=True)
    words = [
        f"{hz:g} Hz {'no response at ' if silent else ''}{db:g}{' (filled in)' if state == _FILLED_IN else ''}"
        for hz, db, silent, state in points
    ]
    return f"{marks.label.capitalize()}: {', '.join(words)}.".replace("-", "−")
