"""Measured less target, one panel for each input level."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.chart._axis import FrequencyAxis, LevelAxis
from umbo.chart._figure import Chart, Figure
from umbo.chart._language import Symbol, Tone
from umbo.chart._layers import Band, Marks
from umbo.chart._texts import Texts
from umbo.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike

__all__ = ["Deviation", "deviation_chart"]

_NO_TEXTS = Texts()
_VERDICTS = {
    "pass": ("within tolerance", Symbol.DOT),
    "cannot_tell": ("cannot tell", Symbol.DIAMOND),
    "fail": ("out of tolerance", Symbol.SQUARE),
}


@dataclass(frozen=True, slots=True, eq=False)
class Deviation:
    """Measured less target for one input.

    Parameters
    ----------
    label : str
        The input, for example "speech at 65 dB".
    frequency_hz, deviation_db : array (n,)
        Where, and how far the measured level lies above the target. [Hz], [dB]
    tolerance_db : array (n,) or float
        Allowed deviation either way. [dB]
    u_db : array (n,) or float, optional
        Standard uncertainties. [dB]
    state : sequence of str (n,) or str
        One state word a point.
    verdict : sequence of {"pass", "fail", "cannot_tell"}, optional
        The judgement of each point, shown by its symbol; without it every point is a dot.
    """

    label: str
    frequency_hz: ArrayLike
    deviation_db: ArrayLike
    tolerance_db: ArrayLike
    u_db: ArrayLike | None = None
    state: Sequence[str] | str = "ok"
    verdict: Sequence[str] | None = None


def deviation_chart(
    identity: str,
    deviations: Sequence[Deviation],
    texts: Texts = _NO_TEXTS,
    *,
    height_px: float = 130.0,
) -> Figure:
    """Draw the distance from target with its uncertainty and the tolerance, one panel under the other.

    Parameters
    ----------
    identity : str
        Id of the figure; the panels are called after it.
    deviations : sequence of Deviation
        One for each input, at least one.
    texts : Texts
        Words around the figure.
    height_px : float
        Height of each plot. [px]

    Returns
    -------
    Figure
        The specification.

    Raises
    ------
    InputError
        If nothing is given, or a verdict is none of the three words.
    """
    if not deviations:
        raise InputError("draw the distance from target", "no deviation was given", "give one for each input level")
    axis = _shared_axis(deviations)
    last = len(deviations)
    panels = tuple(
        (
            _panel(
                f"{identity}-{n}",
                one,
                axis,
                FrequencyAxis() if n == last else FrequencyAxis(label=""),
                height_px,
            ),
        )
        for n, one in enumerate(deviations, 1)
    )
    alt = " ".join(row[0].alt for row in panels)
    return Figure(
        identity,
        panels,
        title=texts.title or "Distance from target",
        alt=alt,
        subtitle=texts.subtitle,
        caption=texts.caption,
    )


def _panel(identity: str, one: Deviation, axis: LevelAxis, frequency: FrequencyAxis, height_px: float) -> Chart:
    frequency_hz = np.asarray(one.frequency_hz, dtype=float)
    tolerance_db = np.broadcast_to(np.asarray(one.tolerance_db, dtype=float), frequency_hz.shape)
    spread = _widened(frequency_hz)
    edge_db = tuple(np.interp(np.log(spread), np.log(frequency_hz), tolerance_db).tolist())
    band = Band("tolerance", tuple(spread.tolist()), tuple(-v for v in edge_db), edge_db, Tone.HUE)
    deviation_db = np.asarray(one.deviation_db, dtype=float)
    worst = int(np.argmax(np.abs(deviation_db)))
    furthest = f"{deviation_db[worst]:+.1f}".replace("-", "−")
    return Chart(
        id=identity,
        title=one.label,
        alt=f"{one.label}: largest distance from target {furthest} dB at {frequency_hz[worst]:.0f} Hz.",
        level=axis,
        frequency=frequency,
        marks=_marks(one, frequency_hz, deviation_db),
        bands=(band,),
        height_px=height_px,
        reference_db=0.0,
    )


def _marks(one: Deviation, frequency_hz: np.ndarray, deviation_db: np.ndarray) -> tuple[Marks, ...]:
    count = frequency_hz.size
    verdict = ["pass"] * count if one.verdict is None else list(one.verdict)
    states = [one.state] * count if isinstance(one.state, str) else list(one.state)
    unknown = sorted(set(verdict) - set(_VERDICTS))
    if unknown or len(verdict) != count:
        raise InputError(
            f"draw the distance from target {one.label!r}",
            f"its verdicts are {verdict}",
            "give one of pass, fail or cannot_tell for every point",
        )
    u_db = None if one.u_db is None else np.broadcast_to(np.asarray(one.u_db, dtype=float), (count,))
    marks = []
    for word, (name, symbol) in _VERDICTS.items():
        rows = [i for i in range(count) if verdict[i] == word]
        if rows:
            label = name if one.verdict is not None else "measured less target"
            picked_u = None if u_db is None else tuple(u_db[rows].tolist())
            picked = tuple(states[i] for i in rows)
            marks.append(
                Marks(
                    label,
                    symbol,
                    tuple(frequency_hz[rows].tolist()),
                    tuple(deviation_db[rows].tolist()),
                    picked_u,
                    picked,
                    show_label=False,
                )
            )
    return tuple(marks)


def _widened(frequency_hz: np.ndarray) -> np.ndarray:
    """Add a little room at both ends, so that the first and last symbol stand inside the band. [Hz]"""
    wide = 2.0**0.12
    return np.concatenate([[frequency_hz[0] / wide], frequency_hz, [frequency_hz[-1] * wide]])


def _shared_axis(deviations: Sequence[Deviation]) -> LevelAxis:
    """Symmetric about 0 dB, wide enough for every bar and tolerance, at least 10 dB either way."""
    furthest = 10.0
    for one in deviations:
        spread = 0.0 if one.u_db is None else 2.0 * np.asarray(one.u_db, dtype=float)
        furthest = max(furthest, float(np.max(np.abs(one.deviation_db) + spread)), float(np.max(one.tolerance_db)))
    return LevelAxis.around([-furthest, furthest], "dB above target", "dB re target", step_db=5.0)
