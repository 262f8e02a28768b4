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
from umbo.sim._filtering import bin_frequencies, filter_periodic
from umbo.sim._paths import Path
from umbo.sim._stimuli import Stimulus, level_db

__all__ = ["band_output_db_spl", "noiseless", "step_times_s", "third_octave_output_db_spl"]

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


def third_octave_output_db_spl(
    how: AidOnBench, stimulus: Stimulus, path: Path, centre_hz: FloatArray, *, last_s: float | None = None
) -> FloatArray:
    """Third-octave levels of the noiseless output.

    Parameters
    ----------
    how : AidOnBench
        The aid as set and how it is played.
    stimulus : Stimulus
        What is played.
    path : Path
        From the drive of the aid's receiver to the place of the output.
    centre_hz : array (n,)
        Exact centres. [Hz]
    last_s : float, optional
        How much of the end of the recording counts; without it all. [s]

    Returns
    -------
    array (n,)
        Levels. [dB re 20 µPa]
    """
    half = 10.0**0.05
    edges = [(float(centre / half), float(centre * half)) for centre in centre_hz]
    return band_output_db_spl(how, stimulus, path, edges, last_s=last_s)


def band_output_db_spl(
    how: AidOnBench,
    stimulus: Stimulus,
    path: Path,
    edges_hz: list[tuple[float, float]],
    *,
    last_s: float | None = None,
) -> FloatArray:
    """Levels of the noiseless output in bands.

    Parameters
    ----------
    how : AidOnBench
        The aid as set and how it is played.
    stimulus : Stimulus
        What is played.
    path : Path
        From the drive of the aid's receiver to the place of the output.
    edges_hz : list of tuple of float
        Lower and upper edge of each band. [Hz]
    last_s : float, optional
        How much of the end of the recording counts; without it all. [s]

    Returns
    -------
    array (n,)
        Levels. [dB re 20 µPa]
    """
    rate = stimulus.sampling_rate_hz
    quiet = replace(how, aid=replace(how.aid, noise=None))
    heard_pa, lead = quiet.heard_pa(stimulus)
    drive = quiet.aid.process(heard_pa, rate, np.random.default_rng(0)).drive_pa
    recorded = filter_periodic(drive, path.at_bins(drive.size, rate))[lead:]
    if last_s is not None:
        recorded = recorded[recorded.size - round(last_s * rate) :]
    power = np.abs(fft.rfft(recorded)) ** 2 * (2.0 / recorded.size**2)
    frequency_hz = bin_frequencies(recorded.size, rate)
    places = np.searchsorted(frequency_hz, edges_hz)
    return level_db(np.array([np.sum(power[low:high]) for low, high in places]))
