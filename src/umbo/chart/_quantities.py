"""The line style of every quantity umbo draws."""

from __future__ import annotations

from umbo.chart._language import Line, Quantity, Tone

__all__ = [
    "COUPLER_LEVEL",
    "EARDRUM_LEVEL",
    "EAR_LEVEL",
    "GAIN",
    "MAXIMUM_OUTPUT",
    "NOISE",
    "NOMINAL",
    "RECD",
    "TARGET",
    "TYPICAL",
]  # fmt: skip

EARDRUM_LEVEL = Quantity("level at the eardrum")
EAR_LEVEL = Quantity("level in the ear")
RECD = Quantity("RECD")
GAIN = Quantity("gain")
MAXIMUM_OUTPUT = Quantity("maximum output", width_px=3.4)
TARGET = Quantity("target", Line.DASHED, 2.0)
NOMINAL = Quantity("nominal value of the data sheet", Line.DASHED, 2.0, Tone.NEUTRAL)
COUPLER_LEVEL = Quantity("coupler reading", Line.DOTTED, 2.6)
NOISE = Quantity("noise", Line.DASH_DOT, 1.5, Tone.NEUTRAL)
TYPICAL = Quantity("typical value", Line.LONG_DASHED, 1.5, Tone.NEUTRAL)
