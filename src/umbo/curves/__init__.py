"""Curves: from a calibrated spectrum or an imported table to levels with states, uncertainty and a trusted limit."""

from umbo.curves._average import average_levels
from umbo.curves._field import SpeechInput, field_level, speech_input
from umbo.curves._imported import IMPORTED_U_DB, ImportedReading, imported_speech
from umbo.curves._noticed import Noticed, recording_findings
from umbo.curves._ranges import range_levels
from umbo.curves._reading import BandReading, HarmonicCurve, Reading
from umbo.curves._speech import PERCENTILES, SpeechReading, speech_reading
from umbo.curves._steady_noise import steady_noise
from umbo.curves._sweep import SweepReading, averaging_fraction
from umbo.curves._tones import ToneSeries, ToneStep, tone_series, tone_steps
from umbo.curves._trust import (
    COUPLER_RANGE_HZ,
    NOISY_BELOW_DB,
    NOT_MEASURED_BELOW_DB,
    STANDING_WAVE_DB,
    TrustLimit,
    TrustReport,
    coupler_range,
    excitation_range,
    first_run,
    noise_marks,
    standing_wave,
    trusted,
)

__all__ = [
    "COUPLER_RANGE_HZ",
    "IMPORTED_U_DB",
    "NOISY_BELOW_DB",
    "NOT_MEASURED_BELOW_DB",
    "PERCENTILES",
    "STANDING_WAVE_DB",
    "BandReading",
    "HarmonicCurve",
    "ImportedReading",
    "Noticed",
    "Reading",
    "SpeechInput",
    "SpeechReading",
    "SweepReading",
    "ToneSeries",
    "ToneStep",
    "TrustLimit",
    "TrustReport",
    "average_levels",
    "averaging_fraction",
    "coupler_range",
    "excitation_range",
    "field_level",
    "first_run",
    "imported_speech",
    "noise_marks",
    "range_levels",
    "recording_findings",
    "speech_input",
    "speech_reading",
    "standing_wave",
    "steady_noise",
    "tone_series",
    "tone_steps",
    "trusted",
]
