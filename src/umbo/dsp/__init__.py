"""Array functions: sweeps, repeats, bands, noise, third-octave levels, and checks of a take.

Samples are in parts of full scale throughout; nothing here knows pascals. Powers are mean squares or squared
magnitudes, and become levels only where somebody states a reference.
"""

from umbo.dsp._bands import band_centres_hz, band_coverage, band_edges_hz, band_mean_power
from umbo.dsp._deconvolution import sweep_response
from umbo.dsp._distortion import HarmonicDistortion, harmonic_distortion
from umbo.dsp._feedback_ripple import LoopGain, loop_gain
from umbo.dsp._gain_course import GainCourse, gain_course
from umbo.dsp._knees import KneeFit, knee_fit
from umbo.dsp._noise import NoiseCorrected, subtract_noise_power
from umbo.dsp._repeat_checks import check_clock, check_level_drift, check_outliers, check_repeats_agree
from umbo.dsp._repeated_speech import SPEECH_PERCENTILES, RepeatedBands, repeated_band_levels
from umbo.dsp._repeats import FirstPeriod, FirstPeriodRule, noise_from_repeats, split_repeats
from umbo.dsp._response import SweepResponse
from umbo.dsp._shaping import LevelledSignal, levelled_to
from umbo.dsp._spectral_edge import power_between, upper_edge_hz
from umbo.dsp._step_times import StepResponse, step_response
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
from umbo.dsp._tone_envelope import averaging_periods_s, tone_envelope_power
from umbo.dsp._tones import ToneLevel, tone_level

__all__ = [
    "FILTER_ORDER",
    "SPEECH_PERCENTILES",
    "FirstPeriod",
    "FirstPeriodRule",
    "GainCourse",
    "HarmonicBands",
    "HarmonicDistortion",
    "KneeFit",
    "LevelledSignal",
    "LoopGain",
    "NoiseCorrected",
    "RepeatedBands",
    "StepResponse",
    "SweepResponse",
    "SweepTiming",
    "TakeCheck",
    "ThirdOctaveFrames",
    "ToneLevel",
    "averaging_periods_s",
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
    "gain_course",
    "harmonic_bands",
    "harmonic_distortion",
    "knee_fit",
    "levelled_to",
    "loop_gain",
    "noise_from_repeats",
    "power_between",
    "repeated_band_levels",
    "response_bands",
    "split_repeats",
    "step_response",
    "subtract_noise_power",
    "sweep_response",
    "sweep_timing",
    "third_octave_frames",
    "third_octave_gain",
    "third_octave_power",
    "tone_envelope_power",
    "tone_level",
    "upper_edge_hz",
]
