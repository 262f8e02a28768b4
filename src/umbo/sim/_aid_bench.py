"""The bench with a hearing aid on it: recordings in couplers, and the truth at the eardrum."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from umbo.core import FloatArray
from umbo.errors import InputError
from umbo.sim._aid import VirtualAid
from umbo.sim._aid_inputs import AidInput
from umbo.sim._filtering import (
    BAND_EDGE_RATIOS,
    TWELFTH_OCTAVE_HZ,
    ComplexArray,
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
        Level of the stimulus at the place of the aid, or at its remote microphone. [dB re 20 µPa]
    repeats : int
        Periods recorded. [1]
    lead_in_s : float
        How long before the recording the bench runs; at most one period of the stimulus. [s]
    lead_in : {"stimulus", "silence"}
        What there is before the recording: the stimulus, so that the gains have settled, or nothing, so that the
        recording shows them settle.
    input : {"acoustic", "telecoil", "remote_microphone"}
        Where the stimulus goes in.
    field_a_per_m : float or None
        Magnetic field strength of the stimulus in place of its level, for the telecoil. [A/m]
    direction_deg : float
        Where the sound comes from, 0 for the front. [°]
    microphone_location_db : tuple of (frequency, level) or None
        Level at the aid's microphone over level of the field, joined by straight lines over log frequency; none
        for an aid in a test box. [Hz, dB]
    """

    aid: VirtualAid
    level_db_spl: float
    repeats: int = 2
    lead_in_s: float = 1.0
    lead_in: Literal["stimulus", "silence"] = "stimulus"
    input: AidInput = "acoustic"
    field_a_per_m: float | None = None
    direction_deg: float = 0.0
    microphone_location_db: tuple[tuple[float, float], ...] | None = None

    def heard_pa(self, stimulus: Stimulus) -> tuple[FloatArray, int]:
        """Pressure at the aid's input, behind the ports, lead-in first, and the samples of the lead-in."""
        period = self._filtered(stimulus)
        lead = min(round(self.lead_in_s * stimulus.sampling_rate_hz), period.size)
        before = period[period.size - lead :] if self.lead_in == "stimulus" else np.zeros(lead)
        return np.concatenate([before, np.tile(period, self.repeats)]), lead

    def _filtered(self, stimulus: Stimulus) -> FloatArray:
        """One period at the aid's input. [Pa]"""
        level_db_spl = self.input_level_db_spl()
        period = stimulus.pascals(level_db_spl)
        plain = self.microphone_location_db is None and not self.aid.directional and self.aid.ports.front_db == 0.0
        if self.input == "acoustic" and plain:
            return period
        frequency_hz = bin_frequencies(period.size, stimulus.sampling_rate_hz)
        return filter_periodic(period, self.input_response(frequency_hz))

    def input_level_db_spl(self) -> float:
        """Level of the stimulus in sound; of a magnetic field, the level that drives the aid alike at 1 kHz.

        Returns
        -------
        float
            Level. [dB re 20 µPa]

        Raises
        ------
        InputError
            If level and input do not belong together.
        """
        coil = self.aid.telecoil
        if (self.input == "telecoil") != (self.field_a_per_m is not None):
            raise InputError(
                f"play an aid by its input '{self.input}'",
                "a telecoil takes a magnetic field, and nothing else does",
                "give field_a_per_m with the telecoil, and only then",
            )
        if coil is None or self.field_a_per_m is None:
            return self.level_db_spl
        return coil.level_db_spl(self.field_a_per_m)

    def input_response(self, frequency_hz: FloatArray) -> ComplexArray:
        """Pressure at the aid's input over that of the stimulus.

        Parameters
        ----------
        frequency_hz : array (n,)
            Frequencies. [Hz]

        Returns
        -------
        array (n,)
            Complex response; of the telecoil over its value at 1 kHz. [Pa/Pa]

        Raises
        ------
        InputError
            If the aid has no such input.
        """
        if self.input == "acoustic":
            response = self.aid.ports.response(frequency_hz, self.direction_deg, directional=self.aid.directional)
            if self.microphone_location_db is None:
                return response
            given_hz, effect_db = np.transpose(self.microphone_location_db)
            effect = np.interp(np.log(np.maximum(frequency_hz, 1.0)), np.log(given_hz), effect_db)
            return np.asarray(response * 10.0 ** (effect / 20.0))
        chosen = self.aid.telecoil if self.input == "telecoil" else self.aid.remote_microphone
        if chosen is None:
            raise InputError(f"play an aid by its input '{self.input}'", "this aid has none", "play it by sound")
        return chosen.response(frequency_hz)


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
        Level of the tones at its input; 90 for its OSPL90. [dB re 20 µPa]
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
