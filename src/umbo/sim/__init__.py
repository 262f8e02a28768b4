"""The virtual bench: ears, couplers, microphones and hearing aids with a known truth."""

from umbo.sim._aid import AidTake, VirtualAid
from umbo.sim._aid_bench import AidOnBench, PlayedLevels, play_aid, played_levels, tone_output_db_spl
from umbo.sim._bench import RecdBench, RecdTakes, RecdTruth, recd_takes
from umbo.sim._case_folder import write_case
from umbo.sim._demo import demo_scenario, random_scenario
from umbo.sim._ears import EarImpedances, Leak, VirtualEar
from umbo.sim._filtering import TWELFTH_OCTAVE_HZ
from umbo.sim._fitting import Fitting, fit_aid
from umbo.sim._microphones import MicrophoneChain, RecordingFaults, coupler_microphone, probe_microphone
from umbo.sim._noise import NoiseFloor
from umbo.sim._paths import EarPaths, Path, coupler_path, ear_paths
from umbo.sim._population import random_ear
from umbo.sim._scenario import Audiogram, EarScenario, Fault, Scenario, SpeechTarget
from umbo.sim._speech import speech_like
from umbo.sim._stimuli import Stimulus, exponential_sweep, silence

__all__ = [
    "TWELFTH_OCTAVE_HZ",
    "AidOnBench",
    "AidTake",
    "Audiogram",
    "EarImpedances",
    "EarPaths",
    "EarScenario",
    "Fault",
    "Fitting",
    "Leak",
    "MicrophoneChain",
    "NoiseFloor",
    "Path",
    "PlayedLevels",
    "RecdBench",
    "RecdTakes",
    "RecdTruth",
    "RecordingFaults",
    "Scenario",
    "SpeechTarget",
    "Stimulus",
    "VirtualAid",
    "VirtualEar",
    "coupler_microphone",
    "coupler_path",
    "demo_scenario",
    "ear_paths",
    "exponential_sweep",
    "fit_aid",
    "play_aid",
    "played_levels",
    "probe_microphone",
    "random_ear",
    "random_scenario",
    "recd_takes",
    "silence",
    "speech_like",
    "tone_output_db_spl",
    "write_case",
]
