"""Audibility of speech: the speech intelligibility index and the audible bandwidth, with their uncertainty."""

from umbo.audibility._ansi_s3_5_1997 import (
    BINAURAL_DB,
    NO_NOISE_DB,
    band_audibility,
    internal_noise_spectrum_level,
    level_distortion_factor,
    masking_spectrum_level,
    speech_intelligibility_index,
)
from umbo.audibility._audibility import OPEN_INDEX, Audibility, audibility
from umbo.audibility._bandwidth import (
    HIGHEST_INDEX_HZ,
    AudibleBandwidth,
    ExtendedBand,
    Heard,
    audible_bandwidth,
)
from umbo.audibility._draws import COVERAGE, Draws
from umbo.audibility._equivalent import STANDARD, IndexMethod, ThresholdReading
from umbo.audibility._field_speech import standard_speech
from umbo.audibility._highest import Reach
from umbo.audibility._lowering import require_no_lowering
from umbo.audibility._plain_words import (
    ORDINARY_DB_SPL,
    SOFT_DB_SPL,
    SOUND_GROUPS,
    SoundGroup,
    SpokenWords,
    Told,
    heard_sounds,
)
from umbo.audibility._procedures import Bands, Effort, Procedure, bands, importance, speech_spectrum_level

__all__ = [
    "BINAURAL_DB",
    "COVERAGE",
    "HIGHEST_INDEX_HZ",
    "NO_NOISE_DB",
    "OPEN_INDEX",
    "ORDINARY_DB_SPL",
    "SOFT_DB_SPL",
    "SOUND_GROUPS",
    "STANDARD",
    "Audibility",
    "AudibleBandwidth",
    "Bands",
    "Draws",
    "Effort",
    "ExtendedBand",
    "Heard",
    "IndexMethod",
    "Procedure",
    "Reach",
    "SoundGroup",
    "SpokenWords",
    "ThresholdReading",
    "Told",
    "audibility",
    "audible_bandwidth",
    "band_audibility",
    "bands",
    "heard_sounds",
    "importance",
    "internal_noise_spectrum_level",
    "level_distortion_factor",
    "masking_spectrum_level",
    "require_no_lowering",
    "speech_intelligibility_index",
    "speech_spectrum_level",
    "standard_speech",
]
