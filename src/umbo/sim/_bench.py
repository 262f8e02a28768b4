"""The bench in memory: an RECD measured on a known ear, with its truth beside it."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from umbo.core import CouplerKind, FloatArray
from umbo.sim._ears import Leak, VirtualEar
from umbo.sim._filtering import BAND_EDGE_RATIOS, TWELFTH_OCTAVE_HZ, filter_periodic
from umbo.sim._microphones import MicrophoneChain, RecordingFaults, coupler_microphone, probe_microphone
from umbo.sim._paths import EarPaths, Path, coupler_path, ear_paths
from umbo.sim._sources import SourceName
from umbo.sim._stimuli import Stimulus, exponential_sweep, level_db

__all__ = [
    "RecdBench",
    "RecdTakes",
    "RecdTruth",
    "bench_chains",
    "microphone_noise_db_spl",
    "recd_takes",
]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RecdTruth:
    """What the measurement should find; arrays (85,) on the twelfth-octave grid.

    Attributes
    ----------
    frequency_hz : array
        Exact twelfth-octaves, 125 Hz to 16 kHz. [Hz]
    recd_db : array
        Level at the drum over level in the coupler, band power, source without drift. [dB]
    recd_probe_tip_db : array
        The same with the level at the probe tip. [dB]
    coupler_response_db, probe_response_db, drum_response_db : array
        Pressure over drive: 0 dB is HA-1 at 1 kHz. [dB]
    coupler_noise_db_spl, ear_noise_db_spl : array
        Noise of the microphones in each band. [dB re 20 µPa]
    """

    frequency_hz: FloatArray
    recd_db: FloatArray
    recd_probe_tip_db: FloatArray
    coupler_response_db: FloatArray
    probe_response_db: FloatArray
    drum_response_db: FloatArray
    coupler_noise_db_spl: FloatArray
    ear_noise_db_spl: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RecdTakes:
    """Recordings of one coupler and one ear.

    Attributes
    ----------
    stimulus : Stimulus
        What was played.
    coupler_fs, ear_fs : array (repeats * n,)
        Back-to-back periods as recorded. [FS]
    coupler_mic, probe_mic : MicrophoneChain
        The chains, with their stated and their true calibration; one object where one microphone served both.
    repeats : int
        Periods in each recording. [1]
    truth : RecdTruth
        What there is to find.
    """

    stimulus: Stimulus
    coupler_fs: FloatArray
    ear_fs: FloatArray
    coupler_mic: MicrophoneChain
    probe_mic: MicrophoneChain
    repeats: int
    truth: RecdTruth


@dataclass(frozen=True, slots=True, kw_only=True)
class RecdBench:
    """How an RECD is measured here.

    Attributes
    ----------
    source : {"ideal", "insert", "receiver", "receiver_small", "receiver_power"}
        Sound source.
    level_db_spl : float
        Level of the sweep as an HA-1 coupler would have it at 1 kHz. [dB re 20 µPa]
    repeats : int
        Periods in a take. [1]
    coupler_mic, probe_mic : MicrophoneChain
        Chains; their calibration errors are drawn anew for each call unless ``perfect``.
    same_microphone : bool
        Whether the probe chain takes both recordings, so that its calibration cancels.
    perfect : bool
        No noise and no calibration errors.
    source_drift_db : float
        Change of the source between the coupler take and the ear take. [dB]
    coupler_leak : Leak or None
        Slit at the coupler.
    coupler_faults, ear_faults : RecordingFaults or None
        What the recorder does wrong.
    """

    source: SourceName = "insert"
    level_db_spl: float = 65.0
    repeats: int = 4
    coupler_mic: MicrophoneChain = field(default_factory=coupler_microphone)
    probe_mic: MicrophoneChain = field(default_factory=probe_microphone)
    same_microphone: bool = False
    perfect: bool = False
    source_drift_db: float = 0.0
    coupler_leak: Leak | None = None
    coupler_faults: RecordingFaults | None = None
    ear_faults: RecordingFaults | None = None


def recd_takes(
    ear: VirtualEar,
    kind: CouplerKind,
    rng: np.random.Generator,
    *,
    bench: RecdBench | None = None,
    stimulus: Stimulus | None = None,
) -> RecdTakes:
    """Measure one ear against one coupler, in memory.

    Parameters
    ----------
    ear : VirtualEar
        The ear, with its probe, leak and middle ear.
    kind : CouplerKind
        The coupler.
    rng : Generator
        Source of noise and calibration errors.
    bench : RecdBench, optional
        How to measure.
    stimulus : Stimulus, optional
        What to play; without it the default exponential sweep.

    Returns
    -------
    RecdTakes
        Samples, chains and truth. The truth of a leaking ear is its own; a sealed ear tells the fault's size.
    """
    how = bench if bench is not None else RecdBench()
    played = stimulus if stimulus is not None else _default_sweep()
    coupler_mic, probe_mic = bench_chains(how, rng)
    into_coupler = coupler_path(how.source, kind, how.coupler_leak)
    into_ear = ear_paths(how.source, ear)
    drive_pa = played.pascals(how.level_db_spl)
    drift = 10.0 ** (how.source_drift_db / 20.0)
    rate = played.sampling_rate_hz
    coupler_pa = np.tile(_answer(drive_pa, into_coupler, rate), how.repeats)
    ear_pa = np.tile(_answer(drive_pa * drift, into_ear.to_probe, rate), how.repeats)
    return RecdTakes(
        stimulus=played,
        coupler_fs=coupler_mic.record(coupler_pa, rate, rng, how.coupler_faults),
        ear_fs=probe_mic.record(ear_pa, rate, rng, how.ear_faults),
        coupler_mic=coupler_mic,
        probe_mic=probe_mic,
        repeats=how.repeats,
        truth=_truth(coupler_path(how.source, kind), into_ear, coupler_mic, probe_mic),
    )


def bench_chains(how: RecdBench, rng: np.random.Generator) -> tuple[MicrophoneChain, MicrophoneChain]:
    """Draw the calibration errors of the coupler chain and the ear chain of a bench."""
    probe_mic = how.probe_mic.perfect() if how.perfect else how.probe_mic.redraw(rng)
    if how.same_microphone:
        return probe_mic, probe_mic
    return how.coupler_mic.perfect() if how.perfect else how.coupler_mic.redraw(rng), probe_mic


def microphone_noise_db_spl(microphone: MicrophoneChain) -> FloatArray:
    """Noise of a chain in the twelfth-octave bands, shape (85,). [dB re 20 µPa]"""
    if microphone.noise is None:
        return level_db(np.zeros(TWELFTH_OCTAVE_HZ.size))
    width_hz = TWELFTH_OCTAVE_HZ * (BAND_EDGE_RATIOS[1] - BAND_EDGE_RATIOS[0])
    return level_db(microphone.noise.density_pa2(TWELFTH_OCTAVE_HZ) * width_hz)


def _answer(drive_pa: FloatArray, path: Path, sampling_rate_hz: float) -> FloatArray:
    """One steady period at the end of a path. [Pa]"""
    return filter_periodic(drive_pa, path.at_bins(drive_pa.size, sampling_rate_hz))


def _truth(coupler: Path, ear: EarPaths, coupler_mic: MicrophoneChain, probe_mic: MicrophoneChain) -> RecdTruth:
    in_coupler, at_probe, at_drum = coupler.band_db(), ear.to_probe.band_db(), ear.to_drum.band_db()
    return RecdTruth(
        frequency_hz=TWELFTH_OCTAVE_HZ,
        recd_db=at_drum - in_coupler,
        recd_probe_tip_db=at_probe - in_coupler,
        coupler_response_db=in_coupler,
        probe_response_db=at_probe,
        drum_response_db=at_drum,
        coupler_noise_db_spl=microphone_noise_db_spl(coupler_mic),
        ear_noise_db_spl=microphone_noise_db_spl(probe_mic),
    )


@lru_cache(maxsize=1)
def _default_sweep() -> Stimulus:
    return exponential_sweep()
