"""The colour of each layer, by the visual language."""

from __future__ import annotations

from umbo.chart._language import LEFT_BLUE, MUTED, RIGHT_RED, Tone, hue
from umbo.chart._layers import Marks, Series

__all__ = ["layer_colour", "tone_colour"]


def tone_colour(tone: Tone, input_level_db: float | None = None) -> str:
    """Line colour of a tone, at an input level if it is the hue. [dB]"""
    fixed = {Tone.NEUTRAL: MUTED, Tone.RIGHT: RIGHT_RED, Tone.LEFT: LEFT_BLUE}
    return fixed.get(tone) or hue(input_level_db)


def layer_colour(layer: Series | Marks) -> str:
    """Line colour of a curve or of marks."""
    if isinstance(layer, Marks):
        return tone_colour(layer.tone)
    return tone_colour(layer.quantity.tone, layer.input_level_db)
