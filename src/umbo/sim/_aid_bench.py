"""The bench with a hearing aid on it: recordings in couplers, and the truth at the eardrum."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.core import FloatArray
from umbo.sim._aid import VirtualAid
from umbo.sim._filtering import (
    BAND_EDGE_RATIOS,
    TWELFTH_OCTAVE_HZ,
    band_power_of_samples,
    bin_frequencies,
    filter_periodic,
)
from umbo.sim._microphones import MicrophoneChain, RecordingFaults
from umbo.sim._paths import Path
from umbo.sim._stimuli import Stimulus, level_db

__all__ = ["AidOnBench", "PlayedLevels", "play_aid", "played_levels", "tone_output_db_spl"]

_BAND_WIDTH_HZ = TWELFTH_OCTAVE_HZ * (BAND_EDGE_RATIOS[1] - BAND_EDGE_RATIOS[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class AidOnBench:
    """How an aid is played.

    Attributes
    ----------
    aid : VirtualAid
        The aid.
    level_db_spl : float
        Level of the stimulus at the place of the aid. [dB re 20 µPa]
    repeats : int
        Periods recorded. [1]
    lead_in_s : float
        How long the stimulus plays before the recording starts, so that the gains have settled; at most one
        period. [s]
    microphone_location_db : tuple of (frequency, level) or None
        Level at the aid's microphone over level of the field, joined by straight lines over log frequency; none
        for an aid in a test box. [Hz, dB]
    """

    aid: VirtualAid
    level_db_spl: float
    repeats: int = 2
    lead_in_s: float = 1.0
    microphone_location_db: tuple[tuple[float, float], ...] | None = None

    def heard_pa(self, stimulus: Stimulus) -> tuple[FloatArray, int]:
        """Pressure at the aid's microphone, lead-in first, and the samples of the lead-in."""
        period = stimulus.pascals(self.level_db_spl)
        if self.microphone_location_db is not None:
            frequency_hz, effect_db = np.transpose(self.microphone_location_db)
            bins = np.maximum(bin_frequencies(period.size, stimulus.sampling_rate_hz), 1.0)
            effect = np.interp(np.log(bins), np.log(frequency_hz), effect_db)
            period = filter_periodic(period, np.asarray(10.0 ** (effect / 20.0)))
        lead = min(round(self.lead_in_s * stimulus.sampling_rate_hz), period.size)
        return np.concatenate([period[period.size - lead :], np.tile(period, self.repeats)]), lead


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlayedLevels:
    """Band levels of an aid's sound at one place; arrays (85,) on the twelfth-octave grid.

    Attributes
    ----------
    signal_db_spl : array
        What the stimulus made. [dB re 20 µPa]
    noise_db_spl : array
        Expected level of the aid's own noise, through the gains in force. [dB re 20 µPa]
    """

    signal_db_spl: FloatArray
    noise_db_spl: FloatArray


def play_aid(
    how: AidOnBench,
    stimulus: Stimulus,
    path: Path,
    microphone: MicrophoneChain,
    rng: np.random.Generator,
    *,
    faults: RecordingFaults | None = None,
) -> FloatArray:
    """Record an aid at the end of a path.

    Parameters
    ----------
    how : AidOnBench
        The aid and how it is played.
    stimulus : Stimulus
        What is played.
    path : Path
        From the drive of the aid's receiver to the microphone.
    microphone : MicrophoneChain
        What records.
    rng : Generator
        Source of the noise of aid and microphone.
    faults : RecordingFaults, optional
        What the recorder does wrong.

    Returns
    -------
    array (repeats * n,)
        Samples. [FS]
    """
    heard_pa, lead = how.heard_pa(stimulus)
    take = how.aid.process(heard_pa, stimulus.sampling_rate_hz, rng)
    response = path.at_bins(heard_pa.size, stimulus.sampling_rate_hz)
    pressure_pa = filter_periodic(take.drive_pa, response)[lead:]
    return microphone.record(pressure_pa, stimulus.sampling_rate_hz, rng, faults)


def played_levels(
    how: AidOnBench, stimulus: Stimulus, paths: dict[str, Path], rng: np.random.Generator
) -> dict[str, PlayedLevels]:
    """True levels of an aid's sound at the ends of several paths, from one run of the aid.

    Parameters
    ----------
    how : AidOnBench
        The aid and how it is played.
    stimulus : Stimulus
        What is played.
    paths : dict of Path
        From the drive of the aid's receiver to each place.
    rng : Generator
        Source of the aid's noise; the signal part depends on it through the gains only.

    Returns
    -------
    dict of PlayedLevels
        By the same names.
    """
    heard_pa, lead = how.heard_pa(stimulus)
    rate = stimulus.sampling_rate_hz
    take = how.aid.process(heard_pa, rate, rng, split=True)
    found = {}
    for name, path in paths.items():
        heard = filter_periodic(take.signal_pa, path.at_bins(heard_pa.size, rate))[lead:]
        noise = take.noise_density_pa2 * 10.0 ** (path.band_db() / 10.0) * _BAND_WIDTH_HZ
        found[name] = PlayedLevels(
            signal_db_spl=level_db(band_power_of_samples(heard, rate)), noise_db_spl=level_db(noise)
        )
    return found


def tone_output_db_spl(aid: VirtualAid, level_db_spl: float, path: Path) -> tuple[FloatArray, FloatArray]:
    """Steady output for tones on the twelfth-octave grid, and where the limiter sets it.

    Parameters
    ----------
    aid : VirtualAid
        The aid.
    level_db_spl : float
        Level of the tones at its microphone; 90 for its OSPL90. [dB re 20 µPa]
    path : Path
        From the drive of the aid's receiver to the place of the output.

    Returns
    -------
    level_db_spl : array (85,)
        Level of the fundamental, noise-free. [dB re 20 µPa]
    limited : array of bool (85,)
        Where the limiter is at work.
    """
    harmonics, limited = aid.tone_drive_pa(TWELFTH_OCTAVE_HZ, level_db_spl)
    return np.asarray(level_db(harmonics[0] ** 2 / 2.0) + path.band_db()), limited
