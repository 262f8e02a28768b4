"""How judgements word frequencies."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from umbo.verdict._judgement import PointJudgement

__all__ = ["frequency_words", "list_hz"]


def list_hz(points: Iterable[PointJudgement]) -> str:
    """Frequencies of points, as a sentence lists them: "500, 2000 Hz"."""
    return frequency_words(point.frequency_hz for point in points)


def frequency_words(frequency_hz: Iterable[float]) -> str:
    """Frequencies [Hz], as a sentence lists them: "500, 2000 Hz"."""
    return ", ".join(f"{hz:.0f}" for hz in frequency_hz) + " Hz"
