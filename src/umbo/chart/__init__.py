"""Charts: a specification made of plain frozen data, and the one way it becomes SVG.

A `Chart` or `Figure` says what is seen; `render_svg` draws it. The same text serves the page, the printed
report, a notebook and a picture file, and the same specification always gives the same text. What lightness,
line style and hatching mean is described in ``docs/visual-language.md``.
"""

from umbo.chart._aid import AidOutput, gain_chart, input_output_chart, output_chart
from umbo.chart._audiogram import audiogram, thresholds_of_level
from umbo.chart._axis import FrequencyAxis, LevelAxis
from umbo.chart._coupler_comparison import CouplerRun, coupler_comparison
from umbo.chart._deviation import Deviation, deviation_chart
from umbo.chart._eardrum import AidedSound, AidedSpeech, Thresholds, eardrum_view
from umbo.chart._figure import Chart, Figure
from umbo.chart._frame import Frame
from umbo.chart._input_axis import InputAxis
from umbo.chart._language import FONT_FOLDER, Line, Quantity, Symbol, Tone, Trust, contrast, hue, trust_of
from umbo.chart._layers import Band, Limit, Marks, Note, Series
from umbo.chart._picture import render_png
from umbo.chart._prescriptions import Prescribed, PrescribedKind, prescription_chart, prescription_differences
from umbo.chart._quantities import (
    COUPLER_LEVEL,
    EAR_LEVEL,
    EARDRUM_LEVEL,
    GAIN,
    MAXIMUM_OUTPUT,
    NOISE,
    NOMINAL,
    RECD,
    TARGET,
    TYPICAL,
)
from umbo.chart._recd import recd_chart
from umbo.chart._render import render_svg
from umbo.chart._speech_panel import speech_panel
from umbo.chart._texts import Texts
from umbo.chart._trace import Trace

__all__ = [
    "COUPLER_LEVEL",
    "EARDRUM_LEVEL",
    "EAR_LEVEL",
    "FONT_FOLDER",
    "GAIN",
    "MAXIMUM_OUTPUT",
    "NOISE",
    "NOMINAL",
    "RECD",
    "TARGET",
    "TYPICAL",
    "AidOutput",
    "AidedSound",
    "AidedSpeech",
    "Band",
    "Chart",
    "CouplerRun",
    "Deviation",
    "Figure",
    "Frame",
    "FrequencyAxis",
    "InputAxis",
    "LevelAxis",
    "Limit",
    "Line",
    "Marks",
    "Note",
    "Prescribed",
    "PrescribedKind",
    "Quantity",
    "Series",
    "Symbol",
    "Texts",
    "Thresholds",
    "Tone",
    "Trace",
    "Trust",
    "audiogram",
    "contrast",
    "coupler_comparison",
    "deviation_chart",
    "eardrum_view",
    "gain_chart",
    "hue",
    "input_output_chart",
    "output_chart",
    "prescription_chart",
    "prescription_differences",
    "recd_chart",
    "render_png",
    "render_svg",
    "speech_panel",
    "thresholds_of_level",
    "trust_of",
]
