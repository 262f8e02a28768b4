"""How judgements word frequencies."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from umbo.verdict._judgement import PointJudgement

__all__ = ["frequency_words", "list_hz", "run_words"]

#: From so many neighbours on a sentence names the first and the last only. [1]
_LONG_RUN = 4


def list_hz(points: Iterable[PointJudgement]) -> str:
    """Frequencies of points, as a sentence lists them: "500, 2000 Hz"."""
    return frequency_words(point.frequency_hz for point in points)


def frequency_words(frequency_hz: Iterable[float]) -> str:
    """Frequencies [Hz], as a sentence lists them: "500, 2000 Hz"."""
    return ", ".join(f"{hz:.0f}" for hz in frequency_hz) + " Hz"


def run_words(frequency_hz: Sequence[float], where: Sequence[bool]) -> str:
    """Chosen frequencies [Hz] of a curve, long runs of neighbours by their ends: "500, 1679 to 4732 Hz"."""
    marked = zip(frequency_hz, where, strict=True)
    runs = [[f"{hz:.0f}" for hz, _ in run] for is_chosen, run in groupby(marked, key=lambda p: p[1]) if is_chosen]
    words = ([f"{run[0]} to {run[-1]}"] if len(run) >= _LONG_RUN else run for run in runs)
    return ", ".join(word for run in words for word in run) + " Hz"
