"""Array functions: sweeps, repeats, bands, noise, third-octave levels, and checks of a take.

Samples are in parts of full scale throughout; nothing here knows pascals. Powers are mean squares or squared
magnitudes, and become levels only where somebody states a reference.
"""

from umbo.dsp._bands import band_centres_hz, band_coverage, band_edges_hz, band_mean_power
from umbo.dsp._deconvolution import sweep_response
from umbo.dsp._noise import NoiseCorrected, subtract_noise_power
from umbo.dsp._repeat_checks import check_clock, check_level_drift, check_outliers, check_repeats_agree
from umbo.dsp._repeated_speech import SPEECH_PERCENTILES, RepeatedBands, repeated_band_levels
from umbo.dsp._repeats import FirstPeriod, FirstPeriodRule, noise_from_repeats, split_repeats
from umbo.dsp._response import SweepResponse
from umbo.dsp._sweep_bands import HarmonicBands, harmonic_bands, response_bands
from umbo.dsp._sweeps import SweepTiming, exponential_sweep, sweep_timing
from umbo.dsp._takes import (
    TakeCheck,
    check_clipping,
    check_dropouts,
    check_length,
    check_offset,
    check_silence,
)
from umbo.dsp._third_octave_filter import FILTER_ORDER, third_octave_gain
from umbo.dsp._third_octaves import ThirdOctaveFrames, third_octave_frames, third_octave_power
from umbo.dsp._tones import ToneLevel, tone_level

__all__ = [
    "FILTER_ORDER",
    "SPEECH_PERCENTILES",
    "FirstPeriod",
    "FirstPeriodRule",
    "HarmonicBands",
    "NoiseCorrected",
    "RepeatedBands",
    "SweepResponse",
    "SweepTiming",
    "TakeCheck",
    "ThirdOctaveFrames",
    "ToneLevel",
    "band_centres_hz",
    "band_coverage",
    "band_edges_hz",
    "band_mean_power",
    "check_clipping",
    "check_clock",
    "check_dropouts",
    "check_length",
    "check_level_drift",
    "check_offset",
    "check_outliers",
    "check_repeats_agree",
    "check_silence",
    "exponential_sweep",
    "harmonic_bands",
    "noise_from_repeats",
    "repeated_band_levels",
    "response_bands",
    "split_repeats",
    "subtract_noise_power",
    "sweep_response",
    "sweep_timing",
    "third_octave_frames",
    "third_octave_gain",
    "third_octave_power",
    "tone_level",
]
