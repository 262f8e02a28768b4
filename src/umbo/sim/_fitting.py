"""Fitting a virtual aid to a virtual ear by an invented rule, so that a case has an aid worth verifying."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from umbo.core import CouplerKind, FloatArray
from umbo.sim._aid import VirtualAid
from umbo.sim._aid_bench import AidOnBench, played_levels
from umbo.sim._ears import VirtualEar
from umbo.sim._filtering import TWELFTH_OCTAVE_HZ
from umbo.sim._noise import NoiseFloor
from umbo.sim._paths import Path, coupler_path, ear_paths
from umbo.sim._scenario import Audiogram, SpeechTarget
from umbo.sim._sources import SourceName
from umbo.sim._speech import LTASS_DB, LTASS_HZ, speech_like

__all__ = ["Fitting", "fit_aid"]

_CENTRES_HZ = np.array([250.0, 500.0, 1000.0, 2000.0, 3000.0, 4000.0, 6000.0])
_REFERENCE_DB_SPL = 65.0

# Free field to eardrum: ANSI S3.5-1997 Table 3 as found alike in two public packages; 3 and 6 kHz read off between
# its third-octaves. An adult's: the rule is invented, and its targets are given with the case.
_FIELD_TO_DRUM_DB = np.array([1.0, 1.8, 2.6, 12.0, 15.2, 14.3, 7.1])

# Gain offsets of the rule, invented: a third of the loss, less at low frequencies.
_OFFSET_DB = np.array([-8.0, -4.0, 2.0, 0.0, -1.0, -1.0, -1.0])

# HA-1 reference levels of the dial for an insert earphone, ISO 389-2 / ANSI S3.6, from memory.
_DIAL_HZ = np.array([250.0, 500.0, 1000.0, 2000.0, 3000.0, 4000.0, 6000.0, 8000.0])
_DIAL_HA1_DB = np.array([14.5, 6.0, 0.0, 2.5, 2.5, 0.0, -2.5, -3.5])

_MARGIN_DB = 6.0
_KNEE_BELOW_SPEECH_DB = 10.0
_ROUNDS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """An aid and the targets it was fitted to.

    Attributes
    ----------
    aid : VirtualAid
        The aid.
    targets : tuple of SpeechTarget
        Third-octave levels at the eardrum, one set for each speech level.
    """

    aid: VirtualAid
    targets: tuple[SpeechTarget, ...]


def fit_aid(
    ear: VirtualEar,
    thresholds: Audiogram,
    discomfort: Audiogram,
    *,
    source: SourceName = "receiver",
    speech_levels_db_spl: tuple[float, ...] = (55.0, 65.0, 75.0),
    microphone_location_db: tuple[tuple[float, float], ...] | None = None,
) -> Fitting:
    """Fit a seven-channel aid to an ear by an invented rule.

    Gain at 65 dB is a third of the hearing loss with offsets, the ratio grows with the loss, and the limiter keeps
    tones 6 dB below the discomfort levels at this eardrum. The rule is no prescription: it gives a case plausible
    numbers, and its targets travel with the case.

    Parameters
    ----------
    ear : VirtualEar
        The ear, sealed.
    thresholds, discomfort : Audiogram
        Insert earphone, HA-1. [Hz, dB HL]
    source : SourceName
        Receiver of the aid.
    speech_levels_db_spl : tuple of float
        Speech levels to give targets for. [dB re 20 µPa]
    microphone_location_db : tuple of (frequency, level), optional
        Level at the aid's microphone over level of the field. [Hz, dB]

    Returns
    -------
    Fitting
        Aid and targets (third-octave levels at the eardrum).
    """
    loss_db = _on(_CENTRES_HZ, thresholds)
    insertion_db = np.maximum(loss_db / 3.0 + _OFFSET_DB, 0.0)
    ratio = np.clip(1.0 + (loss_db - 20.0) / 60.0, 1.0, 3.0)
    speech_db = np.interp(np.log(_CENTRES_HZ), np.log(LTASS_HZ), LTASS_DB) - 70.0 + _REFERENCE_DB_SPL
    wanted_db = speech_db + _FIELD_TO_DRUM_DB + insertion_db
    to_drum = ear_paths(source, ear).to_drum
    aid = VirtualAid(
        crossover_hz=_floats(np.sqrt(_CENTRES_HZ[1:] * _CENTRES_HZ[:-1])),
        gain_db=_floats(wanted_db - speech_db - _nearest(to_drum.band_db())),
        ratio=_floats(ratio),
        knee_db_spl=_floats(speech_db - _KNEE_BELOW_SPEECH_DB),
        ceiling_db_spl=_ceiling_db_spl(ear, to_drum, discomfort),
        second_harmonic=0.01,
        third_harmonic=0.005,
        noise=NoiseFloor(level_dba=24.0, low_corner_hz=150.0),
    )
    worn = AidOnBench(aid=aid, level_db_spl=_REFERENCE_DB_SPL, repeats=1, microphone_location_db=microphone_location_db)
    targets = tuple(
        SpeechTarget(
            level_db_spl=level,
            levels=tuple(
                (float(f), round(float(db), 1))
                for f, db in zip(_CENTRES_HZ, wanted_db + (level - _REFERENCE_DB_SPL) / ratio, strict=True)
            ),
        )
        for level in speech_levels_db_spl
    )
    return Fitting(aid=_tuned(worn, wanted_db, to_drum), targets=targets)


def _tuned(worn: AidOnBench, wanted_db: FloatArray, to_drum: Path) -> VirtualAid:
    """Turn the gains until speech at the drum has the levels wanted (a few rounds, 4 s of speech)."""
    speech = speech_like(np.random.default_rng(65), duration_s=4.0)
    for _ in range(_ROUNDS):
        found = played_levels(worn, speech, {"drum": to_drum}, np.random.default_rng(0))["drum"]
        short_db = wanted_db - _third_octave_db(found.signal_db_spl)
        worn = replace(worn, aid=replace(worn.aid, gain_db=_floats(np.array(worn.aid.gain_db) + short_db)))
    return worn.aid


def _ceiling_db_spl(ear: VirtualEar, to_drum: Path, discomfort: Audiogram) -> float:
    """Ceiling that keeps tones below discomfort at this drum, from 250 Hz to 8 kHz."""
    recd_db = ear_paths("insert", ear).to_drum.band_db() - coupler_path("insert", CouplerKind.HA1).band_db()
    dial_db = np.interp(np.log(TWELFTH_OCTAVE_HZ), np.log(_DIAL_HZ), _DIAL_HA1_DB)
    limit_db = _on(TWELFTH_OCTAVE_HZ, discomfort) + dial_db + recd_db
    inside = (TWELFTH_OCTAVE_HZ >= 240.0) & (TWELFTH_OCTAVE_HZ <= 8400.0)
    return float(np.min((limit_db - to_drum.band_db())[inside]) - _MARGIN_DB)


def _third_octave_db(twelfth_db: FloatArray) -> FloatArray:
    """Third-octave levels at the centres: the five twelfth-octaves around each, the outer ones by half."""
    power = 10.0 ** (twelfth_db / 10.0)
    summed = np.convolve(power, [0.5, 1.0, 1.0, 1.0, 0.5], mode="same")
    return _nearest(np.asarray(10.0 * np.log10(summed)))


def _nearest(values: FloatArray) -> FloatArray:
    """Values of the grid points nearest to the centres."""
    steps = np.rint(40.0 * np.log10(_CENTRES_HZ / TWELFTH_OCTAVE_HZ[0])).astype(int)
    return np.asarray(values[steps])


def _on(frequency_hz: FloatArray, audiogram: Audiogram) -> FloatArray:
    """Audiogram on other frequencies: straight lines over log frequency, held at the ends."""
    given_hz, level_db = np.transpose(audiogram)
    return np.asarray(np.interp(np.log(frequency_hz), np.log(given_hz), level_db))


def _floats(values: FloatArray) -> tuple[float, ...]:
    return tuple(round(float(value), 3) for value in values)
