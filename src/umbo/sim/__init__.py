"""The virtual bench: ears, couplers, microphones and hearing aids with a known truth."""

from umbo.sim._aid import AidTake, VirtualAid
from umbo.sim._aid_bench import AidOnBench, PlayedLevels, play_aid, played_levels, tone_output_db_spl
from umbo.sim._aid_case_folder import write_aid_case
from umbo.sim._aid_courses import step_times_s
from umbo.sim._aid_demo import random_aid, school_aid, school_scenario
from umbo.sim._aid_inputs import RemoteMicrophone, Telecoil
from umbo.sim._aid_measures import (
    NoiseFound,
    distortion_percent,
    equivalent_noise,
    hfa,
    output_db_spl,
    range_hz,
    reference_volume_db,
)
from umbo.sim._aid_scenario import AidEar, AidFault, AidScenario
from umbo.sim._aid_settings import AidSettings, Volume, settings_of
from umbo.sim._bench import RecdBench, RecdTakes, RecdTruth, recd_takes
from umbo.sim._case_folder import write_case
from umbo.sim._demo import demo_scenario, random_scenario
from umbo.sim._ears import EarImpedances, Leak, VirtualEar
from umbo.sim._expansion import Expansion
from umbo.sim._filtering import TWELFTH_OCTAVE_HZ
from umbo.sim._fitting import Fitting, fit_aid
from umbo.sim._lowering import FrequencyLowering
from umbo.sim._microphones import MicrophoneChain, RecordingFaults, coupler_microphone, probe_microphone
from umbo.sim._noise import NoiseFloor
from umbo.sim._paths import EarPaths, Path, coupler_path, ear_paths
from umbo.sim._population import random_ear
from umbo.sim._ports import Ports
from umbo.sim._scenario import Audiogram, EarScenario, Fault, Scenario, SpeechTarget
from umbo.sim._speech import speech_like
from umbo.sim._steady_reduction import SteadyReduction, noise_reduction, tone_canceller
from umbo.sim._stimuli import Stimulus, exponential_sweep, silence
from umbo.sim._test_signals import fricative_noise, level_steps, speech_shaped_noise, tones

__all__ = [
    "TWELFTH_OCTAVE_HZ",
    "AidEar",
    "AidFault",
    "AidOnBench",
    "AidScenario",
    "AidSettings",
    "AidTake",
    "Audiogram",
    "EarImpedances",
    "EarPaths",
    "EarScenario",
    "Expansion",
    "Fault",
    "Fitting",
    "FrequencyLowering",
    "Leak",
    "MicrophoneChain",
    "NoiseFloor",
    "NoiseFound",
    "Path",
    "PlayedLevels",
    "Ports",
    "RecdBench",
    "RecdTakes",
    "RecdTruth",
    "RecordingFaults",
    "RemoteMicrophone",
    "Scenario",
    "SpeechTarget",
    "SteadyReduction",
    "Stimulus",
    "Telecoil",
    "VirtualAid",
    "VirtualEar",
    "Volume",
    "coupler_microphone",
    "coupler_path",
    "demo_scenario",
    "distortion_percent",
    "ear_paths",
    "equivalent_noise",
    "exponential_sweep",
    "fit_aid",
    "fricative_noise",
    "hfa",
    "level_steps",
    "noise_reduction",
    "output_db_spl",
    "play_aid",
    "played_levels",
    "probe_microphone",
    "random_aid",
    "random_ear",
    "random_scenario",
    "range_hz",
    "recd_takes",
    "reference_volume_db",
    "school_aid",
    "school_scenario",
    "settings_of",
    "silence",
    "speech_like",
    "speech_shaped_noise",
    "step_times_s",
    "tone_canceller",
    "tone_output_db_spl",
    "tones",
    "write_aid_case",
    "write_case",
]
