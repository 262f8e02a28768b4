"""A sweep and steady tones read one compressive aid of the bench differently, a linear one alike; the session says so.

By how much: own simulation of compressors of 2:1 to 3:1, 0.5 to 1.8 dB rms (``docs/explanation/the-aid-by-itself``).
"""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from umbo.aid import Feature, Settings, Switch, Volume
from umbo.calibration import Calibration, Recording
from umbo.core import CouplerKind, Coupling, Ear, Source
from umbo.session import (
    AidTest,
    AidTestPlan,
    AidTestRun,
    Client,
    EarPlan,
    Plan,
    StimulusPlan,
    Take,
    run_aid,
)
from umbo.sim import (
    AidOnBench,
    coupler_microphone,
    coupler_path,
    exponential_sweep,
    play_aid,
    school_aid,
    settings_of,
    tones,
)

LEVEL_DB_SPL = 70.0
TONES_HZ = (315.0, 400.0, 500.0, 630.0, 800.0, 1000.0, 1250.0, 1600.0, 2000.0, 2500.0, 3150.0, 4000.0, 5000.0, 6300.0)
STEP_S = 2.0
RATIO, RELEASE_S = 2.5, 0.25


@pytest.fixture
def show():
    return print


class Memory:
    """A plan's recordings, by name."""

    def __init__(self, samples, played):
        self.samples, self.played = samples, played

    def take(self, name):
        return Recording(name, self.samples[name], 48000.0)

    def stimulus(self, name):
        return Recording(name, self.played[name], 48000.0)


def recordings(compression):
    model = replace(school_aid(), ratio=(RATIO,) * 7, release_s=RELEASE_S)
    aid = settings_of("dynamic" if compression else "reference").applied(model, -12.0)
    sounds = {
        "sweep": exponential_sweep(),
        "tones": tones(TONES_HZ, [LEVEL_DB_SPL] * len(TONES_HZ), step_s=STEP_S),
    }
    path, chain = coupler_path("receiver", CouplerKind.HA1), coupler_microphone(pa_per_full_scale=400.0)
    rng = np.random.default_rng(3)
    repeats = {"sweep": 2, "tones": 1}
    samples = {
        name: play_aid(
            AidOnBench(aid=aid, level_db_spl=LEVEL_DB_SPL, repeats=repeats[name]), sound, path, chain.perfect(), rng
        )
        for name, sound in sounds.items()
    }
    return samples, {name: sound.samples_fs for name, sound in sounds.items()}, repeats


def plan_of(stimulus, repeats, state):
    features = dict.fromkeys(Feature, Switch.OFF) | {Feature.COMPRESSION: state}
    run = AidTestRun(test=AidTest.REFERENCE_RESPONSE, settings=Settings("as set", Volume.REFERENCE, features))
    take = Take(
        name=stimulus.name, stimulus=stimulus.name, repeats=repeats, ear=Ear.RIGHT, place="coupler",
        coupler=CouplerKind.HA1, coupling=Coupling.MOULD, source=Source.AID, calibration="mic", tested=run,
    )  # fmt: skip
    day = date(2026, 11, 25)
    right = EarPlan(ear=Ear.RIGHT, middle_ear="unknown", tip_to_drum_mm=None, thresholds=None, discomfort=None)
    return Plan(
        case_id="sweep and steps",
        client=Client(code="invented", age_months=None),
        ears={Ear.RIGHT: right},
        calibrations={"mic": Calibration(name="mic", pa_per_full_scale=400.0, u_db=0.0, date=day, method="bench")},
        stimuli={stimulus.name: stimulus},
        takes=(take,),
        curves=(),
        date=day,
        aid_tests=AidTestPlan(box_u_db=0.0),
    )  # fmt: skip


def both(compression):
    """Gain by a sweep at the tones' frequencies, gain by the tones, and what was said of each."""
    samples, played, repeats = recordings(compression)
    state = Switch.ON if compression else Switch.OFF
    stimuli = (
        StimulusPlan(
            name="sweep", kind="exponential_sweep", start_hz=80.0, stop_hz=20_000.0, level_db_spl=LEVEL_DB_SPL,
            has_file=True, file="sweep.wav",
        ),
        StimulusPlan(
            name="tones", kind="tones", start_hz=None, stop_hz=None, level_db_spl=None, has_file=True,
            file="tones.wav", frequency_hz=TONES_HZ, levels_db_spl=(LEVEL_DB_SPL,) * len(TONES_HZ), step_s=STEP_S,
        ),
    )  # fmt: skip
    found, said = {}, {}
    for stimulus in stimuli:
        (aid,) = run_aid(plan_of(stimulus, repeats[stimulus.name], state), Memory(samples, played)).aids
        found[stimulus.name], said[stimulus.name] = aid, {finding.code for finding in aid.findings}
    return found, said


def levels(aid):
    """Output at the tones. [dB SPL]"""
    curve = aid.sheet_tests.response.curve
    return np.interp(np.log(TONES_HZ), np.log(curve.frequency_hz), curve.level_db)


@pytest.mark.parametrize(("compression", "low_db", "high_db"), [(True, 0.5, 1.8), (False, 0.0, 0.15)])
def test_they_part_behind_a_compressor_only(compression, low_db, high_db, show):
    found, said = both(compression)
    assert ("stimulus_matters" in said["sweep"]) is compression
    assert ("stimulus_matters" in said["tones"]) is compression
    difference = levels(found["sweep"]) - levels(found["tones"])
    rms = float(np.sqrt(np.mean(difference**2)))
    show(f"compression {'on' if compression else 'off'}: a sweep reads {rms:.2f} dB rms away from steady tones")
    assert low_db <= rms <= high_db
