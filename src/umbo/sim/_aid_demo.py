"""Ready-made aids and aid-test cases: a schoolgirl's two aids, and aids drawn at random."""

from __future__ import annotations

import numpy as np

from umbo.core import CouplerKind, Ear
from umbo.sim._aid import VirtualAid
from umbo.sim._aid_inputs import RemoteMicrophone, Telecoil
from umbo.sim._aid_scenario import AidEar, AidFault, AidScenario
from umbo.sim._expansion import Expansion
from umbo.sim._lowering import FrequencyLowering
from umbo.sim._noise import NoiseFloor
from umbo.sim._ports import Ports
from umbo.sim._steady_reduction import noise_reduction, tone_canceller

__all__ = ["random_aid", "school_aid", "school_scenario"]

_CROSSOVER_HZ = (350.0, 700.0, 1400.0, 2400.0, 3500.0, 5000.0)
_BANDS = len(_CROSSOVER_HZ) + 1

# Remote microphone of the case, invented: behind the compressor about 3, 2 and 2 dB too soft at 0.75, 1 and 2 kHz.
_REMOTE_DB = ((750.0, -5.4), (1000.0, -3.9), (2000.0, -3.7))


def school_aid() -> VirtualAid:
    """A behind-the-ear aid with every feature of the bench, invented.

    Returns
    -------
    VirtualAid
        At full volume; HFA-OSPL90 near 112 dB, HFA full-on gain near 48 dB in an HA-1 coupler.
    """
    return VirtualAid(
        crossover_hz=_CROSSOVER_HZ,
        gain_db=(40.0, 46.0, 52.0, 57.0, 60.0, 60.0, 56.0),
        ratio=(1.5, 1.8, 2.0, 2.0, 2.2, 2.2, 2.0),
        knee_db_spl=(50.0, 50.0, 48.0, 45.0, 42.0, 40.0, 38.0),
        attack_s=0.005,
        release_s=0.06,
        ceiling_db_spl=119.5,
        second_harmonic=0.10,
        third_harmonic=0.02,
        noise=NoiseFloor(level_dba=26.0, low_corner_hz=150.0),
        expansion=Expansion(knee_db_spl=(35.0, 35.0, 33.0, 32.0, 30.0, 28.0, 28.0), slope=2.0, most_db=15.0),
        noise_reduction=noise_reduction((8.0, 8.0, 8.0, 6.0, 6.0, 6.0, 6.0)),
        feedback_canceller=tone_canceller((0.0, 0.0, 3.0, 6.0, 10.0, 10.0, 6.0)),
        lowering=FrequencyLowering(start_hz=4000.0, ratio=2.0),
        ports=Ports(),
        telecoil=Telecoil(equivalent_db_spl=58.0),
        remote_microphone=RemoteMicrophone(offset_db=_REMOTE_DB),
    )


def school_scenario(seed: int = 8, *, couplers: tuple[CouplerKind, ...] = (CouplerKind.HA1,)) -> AidScenario:
    """A girl of ten with two aids: the right one sound, the left one with a weak receiver and exchanged ports.

    Parameters
    ----------
    seed : int
        Seed of the recordings. [1]
    couplers : tuple of CouplerKind
        Couplers of the data-sheet tests.

    Returns
    -------
    AidScenario
        Every test of the bench; the check source has drifted by 1.4 dB since the morning.
    """
    aid = school_aid()
    faults = (AidFault.WEAK_RECEIVER, AidFault.NOISY_MICROPHONE, AidFault.SWAPPED_PORTS)
    return AidScenario(
        name="invented-school",
        seed=seed,
        ears=(
            AidEar(side=Ear.RIGHT, aid=aid, fitted_db=-12.0),
            AidEar(side=Ear.LEFT, aid=aid, fitted_db=-12.0, faults=faults),
        ),
        couplers=couplers,
        check_drift_db=1.4,
    )


def random_aid(rng: np.random.Generator) -> VirtualAid:
    """An aid with every feature, its numbers drawn from wide ranges (assumed).

    Parameters
    ----------
    rng : Generator
        Source of the draws.

    Returns
    -------
    VirtualAid
        At full volume.
    """

    def between(low: float, high: float, count: int = _BANDS) -> tuple[float, ...]:
        return tuple(round(float(value), 2) for value in rng.uniform(low, high, count))

    def one(low: float, high: float) -> float:
        return between(low, high, 1)[0]

    base = one(25.0, 50.0)
    knees = between(38.0, 52.0)
    return VirtualAid(
        crossover_hz=_CROSSOVER_HZ,
        gain_db=tuple(round(base + step, 2) for step in between(-8.0, 8.0)),
        ratio=between(1.2, 3.0),
        knee_db_spl=knees,
        attack_s=float(rng.uniform(0.002, 0.02)),
        release_s=float(rng.uniform(0.03, 0.12)),
        ceiling_db_spl=one(105.0, 122.0),
        second_harmonic=float(rng.uniform(0.0, 0.10)),
        third_harmonic=float(rng.uniform(0.0, 0.08)),
        noise=NoiseFloor(level_dba=one(20.0, 32.0), low_corner_hz=150.0),
        expansion=Expansion(
            knee_db_spl=tuple(knee - 12.0 for knee in knees), slope=one(1.3, 3.0), most_db=one(8.0, 20.0)
        ),
        noise_reduction=noise_reduction(between(3.0, 12.0), time_constant_s=one(0.5, 2.0), detection_s=1.5),
        feedback_canceller=tone_canceller(between(3.0, 12.0)),
        lowering=FrequencyLowering(start_hz=one(2500.0, 5000.0), ratio=one(1.2, 3.0), shift_hz=one(0.0, 1000.0)),
        ports=Ports(spacing_m=float(rng.uniform(0.006, 0.016)), mismatch_db=one(-1.5, 0.0)),
        telecoil=Telecoil(equivalent_db_spl=one(50.0, 66.0), low_corner_hz=one(150.0, 500.0)),
        remote_microphone=RemoteMicrophone(offset_db=((500.0, one(-6.0, 6.0)), (2000.0, one(-6.0, 6.0)))),
    )
