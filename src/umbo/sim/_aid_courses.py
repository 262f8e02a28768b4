"""What a time-varying test of a virtual aid should find, measured on its noiseless output."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy import fft

from umbo.core import FloatArray
from umbo.errors import InputError
from umbo.sim._aid import VirtualAid
from umbo.sim._aid_bench import AidOnBench
from umbo.sim._aid_measures import condition
from umbo.sim._filtering import bin_frequencies, density_power, filter_periodic
from umbo.sim._paths import Path
from umbo.sim._stimuli import Stimulus, level_db

__all__ = [
    "band_output_db_spl",
    "noiseless",
    "step_times_s",
    "steps_output_db_spl",
]

_LAST_S = 0.2
_LEAST_PA2 = 1e-20
_SETTLED_SHARES = (0.75, 0.95)  # this part of a step counts as steady; the filters ring a little before the next jump


def noiseless(aid: VirtualAid) -> VirtualAid:
    """The aid without its own noise and without harmonics."""
    return replace(aid, noise=None, second_harmonic=0.0, third_harmonic=0.0)


def step_times_s(aid: VirtualAid, steps: Stimulus) -> tuple[float, float]:
    """Attack and release time for a tone that jumps up and down again.

    Measured on the envelope of the noiseless drive, from the moment the jump arrives in the output: to the last
    instant at which it lies more than 3 dB from the steady level after the jump up, and 4 dB after the jump down.

    Parameters
    ----------
    aid : VirtualAid
        The aid as set.
    steps : Stimulus
        Level steps: low, high, low.

    Returns
    -------
    attack_s, release_s : float
        The times. [s]

    Raises
    ------
    InputError
        If the stimulus is no such steps, or the output has not settled before the next step.

    References
    ----------
    ANSI S3.22, from memory.
    """
    if steps.kind != "level_steps" or steps.step_s is None or len(steps.levels_db_spl) != 3:
        raise InputError("time an attack and a release", f"the stimulus is '{steps.kind}'", "play three level steps")
    rate = steps.sampling_rate_hz
    heard_pa, lead = AidOnBench(aid=aid, level_db_spl=max(steps.levels_db_spl), repeats=2).heard_pa(steps)
    drive = noiseless(aid).process(heard_pa, rate, np.random.default_rng(0)).drive_pa
    envelope = np.abs(fft.ifft(2.0 * fft.rfft(drive), n=drive.size))
    start = lead + round(aid.delay_s * rate)
    period = 20.0 * np.log10(np.maximum(envelope[start : start + steps.samples_fs.size], 1e-12))
    _, up, down = period.reshape(3, -1)
    return (
        _settling_s(up, condition("attack_end"), rate),
        _settling_s(down, condition("release_end"), rate),
    )


def _settling_s(course_db: FloatArray, within_db: float, sampling_rate_hz: float) -> float:
    """When a course comes within so much of where it ends, for good. [s]"""
    first, last = (round(share * course_db.size) for share in _SETTLED_SHARES)
    settled = course_db[first:last]
    if np.ptp(settled) > 1.0:
        raise InputError(
            "time an attack and a release",
            f"the output still moves by {np.ptp(settled):.1f} dB at the end of a step",
            "play longer steps",
        )
    outside = np.flatnonzero(np.abs(course_db[:last] - np.mean(settled)) > within_db)
    return float((outside[-1] + 1) / sampling_rate_hz) if outside.size else 0.0


def steps_output_db_spl(aid: VirtualAid, steps: Stimulus, path: Path, rng: np.random.Generator) -> FloatArray:
    """Level of the tone at the end of each level step, with the aid's own noise at work in its detectors.

    Parameters
    ----------
    aid : VirtualAid
        The aid as set.
    steps : Stimulus
        Level steps.
    path : Path
        From the drive of the aid's receiver to the place of the output.
    rng : Generator
        Source of the aid's noise.

    Returns
    -------
    array (n,)
        Levels over the last fifth of a second of each step. [dB re 20 µPa]
    """
    rate, tone_hz = steps.sampling_rate_hz, steps.frequency_hz[0]
    heard_pa, lead = AidOnBench(aid=aid, level_db_spl=max(steps.levels_db_spl), repeats=1).heard_pa(steps)
    drive = aid.process(heard_pa, rate, rng).drive_pa
    last = drive[lead:].reshape(len(steps.levels_db_spl), -1)[:, -round(_LAST_S * rate) :]
    turned = last * np.exp(-2j * np.pi * tone_hz / rate * np.arange(last.shape[-1]))
    amplitude = 2.0 * np.abs(np.mean(turned, axis=-1)) * np.abs(path.at(np.array([tone_hz])))
    return level_db(amplitude**2 / 2.0)


def band_output_db_spl(
    how: AidOnBench,
    stimulus: Stimulus,
    path: Path,
    edges_hz: FloatArray,
    rng: np.random.Generator,
    *,
    last_s: float | None = None,
) -> tuple[FloatArray, FloatArray]:
    """Levels of the output in bands: what the stimulus made, and the aid's own noise.

    The gains are those in force with the noise; a recording holds the sum of both powers, and that of its microphone.

    Parameters
    ----------
    how : AidOnBench
        The aid as set and how it is played.
    stimulus : Stimulus
        What is played.
    path : Path
        From the drive of the aid's receiver to the place of the output.
    edges_hz : array (n, 2)
        Lower and upper edge of each band. [Hz]
    rng : Generator
        Source of the aid's noise.
    last_s : float, optional
        How much of the end of the recording the signal's level is taken from; without it all. [s]

    Returns
    -------
    signal_db_spl, noise_db_spl : array (n,)
        Levels; noise is its expectation over the whole run. [dB re 20 µPa]
    """
    rate = stimulus.sampling_rate_hz
    heard_pa, lead = how.heard_pa(stimulus)
    take = how.aid.process(heard_pa, rate, rng, split=True)
    recorded = filter_periodic(take.signal_pa, path.at_bins(heard_pa.size, rate))[lead:]
    if last_s is not None:
        recorded = recorded[recorded.size - round(last_s * rate) :]
    power = np.abs(fft.rfft(recorded)) ** 2 * (2.0 / recorded.size**2)
    places = np.searchsorted(bin_frequencies(recorded.size, rate), edges_hz)
    signal = level_db(np.array([np.sum(power[low:high]) for low, high in places]))
    noise = take.noise_density_pa2 * 10.0 ** (path.band_db() / 10.0)
    return signal, level_db(np.maximum(density_power(noise, edges_hz), _LEAST_PA2))
