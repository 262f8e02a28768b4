"""The aid by itself, as the coupler shows it: data-sheet tests, speech tests, features, and comparisons of runs.

Every result states the coupler, the stimulus, its level and the settings it holds for, and carries its uncertainty by
cause. Conditions and limits come from the tables ``hearing_aid_test``, which say how each was obtained.
"""

from typing import TYPE_CHECKING

from umbo._later import later

if TYPE_CHECKING:
    from umbo.aid._attack_release import AttackRelease, attack_release
    from umbo.aid._compare import RunDifference, compare_couplers, compare_ears, compare_measures, compare_runs
    from umbo.aid._conditions import Conditions, Feature, InputRoute, Settings, StimulusKind, Switch, Volume
    from umbo.aid._constants import constant, constant_range, constant_source
    from umbo.aid._data_sheet import DataSheet, NominalCurve, Tolerance, tolerance
    from umbo.aid._directionality import front_back
    from umbo.aid._distortion import (
        DISTORTION_HZ,
        Distortion,
        distortion_from_sweep,
        distortion_from_tones,
        omitted_distortion,
    )
    from umbo.aid._expansion import expansion_check
    from umbo.aid._fault_patterns import FAULT_PATTERNS, FaultPattern, LikelyReason, Sign, likely_reasons
    from umbo.aid._feature_check import FeatureCheck
    from umbo.aid._feedback import feedback_margin
    from umbo.aid._input_noise import InputNoise, input_noise
    from umbo.aid._input_output import InputOutput, input_output
    from umbo.aid._lowering import (
        AudibleLimit,
        FricativeBands,
        Lowering,
        frequency_lowering,
        fricative_bands,
        fricative_edges_hz,
        highest_audible,
    )
    from umbo.aid._measure import Item, Measure, average_at, entered_measure, reading_at
    from umbo.aid._noise_reduction import NoiseReduction, noise_against_speech, noise_reduction, speech_kept
    from umbo.aid._outcome import judge_between
    from umbo.aid._output import HFA_HZ, MAXIMUM_INPUT_DB_SPL, high_frequency_average_db, maximum_db, saturation_finding
    from umbo.aid._output_90 import AidCurve, full_on_gain, gain_of, output_90
    from umbo.aid._reference import ReferenceGain, ReferenceResponse, reference_gain, reference_response
    from umbo.aid._routes import RouteCheck, coil_difference, remote_microphone_offset
    from umbo.aid._sheet_judgement import (
        ItemJudgement,
        SheetJudgement,
        judge_input_output,
        judge_measure,
        judge_response,
        judge_sheet,
    )
    from umbo.aid._speech_test import BandRatio, SpeechTest, level_compression, speech_test
    from umbo.aid._two_couplers import TwoCouplerResponse, two_coupler_response

__getattr__ = later(
    __name__,
    {
        "_attack_release": ("AttackRelease", "attack_release"),
        "_compare": ("RunDifference", "compare_couplers", "compare_ears", "compare_measures", "compare_runs"),
        "_conditions": ("Conditions", "Feature", "InputRoute", "Settings", "StimulusKind", "Switch", "Volume"),
        "_constants": ("constant", "constant_range", "constant_source"),
        "_data_sheet": ("DataSheet", "NominalCurve", "Tolerance", "tolerance"),
        "_directionality": ("front_back",),
        "_distortion": (
            "DISTORTION_HZ",
            "Distortion",
            "distortion_from_sweep",
            "distortion_from_tones",
            "omitted_distortion",
        ),
        "_expansion": ("expansion_check",),
        "_fault_patterns": ("FAULT_PATTERNS", "FaultPattern", "LikelyReason", "Sign", "likely_reasons"),
        "_feature_check": ("FeatureCheck",),
        "_feedback": ("feedback_margin",),
        "_input_noise": ("InputNoise", "input_noise"),
        "_input_output": ("InputOutput", "input_output"),
        "_lowering": (
            "AudibleLimit",
            "FricativeBands",
            "Lowering",
            "frequency_lowering",
            "fricative_bands",
            "fricative_edges_hz",
            "highest_audible",
        ),
        "_measure": ("Item", "Measure", "average_at", "entered_measure", "reading_at"),
        "_noise_reduction": ("NoiseReduction", "noise_against_speech", "noise_reduction", "speech_kept"),
        "_outcome": ("judge_between",),
        "_output": ("HFA_HZ", "MAXIMUM_INPUT_DB_SPL", "high_frequency_average_db", "maximum_db", "saturation_finding"),
        "_output_90": ("AidCurve", "full_on_gain", "gain_of", "output_90"),
        "_reference": ("ReferenceGain", "ReferenceResponse", "reference_gain", "reference_response"),
        "_routes": ("RouteCheck", "coil_difference", "remote_microphone_offset"),
        "_sheet_judgement": (
            "ItemJudgement",
            "SheetJudgement",
            "judge_input_output",
            "judge_measure",
            "judge_response",
            "judge_sheet",
        ),
        "_speech_test": ("BandRatio", "SpeechTest", "level_compression", "speech_test"),
        "_two_couplers": ("TwoCouplerResponse", "two_coupler_response"),
    },
)

__all__ = [
    "DISTORTION_HZ",
    "FAULT_PATTERNS",
    "HFA_HZ",
    "MAXIMUM_INPUT_DB_SPL",
    "AidCurve",
    "AttackRelease",
    "AudibleLimit",
    "BandRatio",
    "Conditions",
    "DataSheet",
    "Distortion",
    "FaultPattern",
    "Feature",
    "FeatureCheck",
    "FricativeBands",
    "InputNoise",
    "InputOutput",
    "InputRoute",
    "Item",
    "ItemJudgement",
    "LikelyReason",
    "Lowering",
    "Measure",
    "NoiseReduction",
    "NominalCurve",
    "ReferenceGain",
    "ReferenceResponse",
    "RouteCheck",
    "RunDifference",
    "Settings",
    "SheetJudgement",
    "Sign",
    "SpeechTest",
    "StimulusKind",
    "Switch",
    "Tolerance",
    "TwoCouplerResponse",
    "Volume",
    "attack_release",
    "average_at",
    "coil_difference",
    "compare_couplers",
    "compare_ears",
    "compare_measures",
    "compare_runs",
    "constant",
    "constant_range",
    "constant_source",
    "distortion_from_sweep",
    "distortion_from_tones",
    "entered_measure",
    "expansion_check",
    "feedback_margin",
    "frequency_lowering",
    "fricative_bands",
    "fricative_edges_hz",
    "front_back",
    "full_on_gain",
    "gain_of",
    "high_frequency_average_db",
    "highest_audible",
    "input_noise",
    "input_output",
    "judge_between",
    "judge_input_output",
    "judge_measure",
    "judge_response",
    "judge_sheet",
    "level_compression",
    "likely_reasons",
    "maximum_db",
    "noise_against_speech",
    "noise_reduction",
    "omitted_distortion",
    "output_90",
    "reading_at",
    "reference_gain",
    "reference_response",
    "remote_microphone_offset",
    "saturation_finding",
    "speech_kept",
    "speech_test",
    "tolerance",
    "two_coupler_response",
]
