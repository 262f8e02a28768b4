"""How judgements word frequencies."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from umbo.verdict._judgement import PointJudgement

__all__ = ["list_hz"]


def list_hz(points: Iterable[PointJudgement]) -> str:
    """Frequencies of points, as a sentence lists them: "500, 2000 Hz"."""
    return ", ".join(f"{point.frequency_hz:.0f}" for point in points) + " Hz"
