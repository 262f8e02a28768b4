"""A linear aid in memory: a plan, and recordings made with plain numpy."""

from datetime import date

import numpy as np

from umbo.aid import Feature, InputRoute, Settings, Switch, Volume
from umbo.calibration import Calibration, Recording
from umbo.core import CouplerKind, Coupling, Ear, Source
from umbo.session import AidTest, AidTestPlan, AidTestRun, Client, EarPlan, Plan, StimulusPlan, Take

RATE_HZ = 48000
PA_FS = 100.0
ALL_OFF = dict.fromkeys(Feature, Switch.OFF)


def settings(name="reference", volume=Volume.REFERENCE, **states):
    return Settings(name, volume, ALL_OFF | {Feature(key): Switch(value) for key, value in states.items()})


FULL_ON = settings("full_on", Volume.FULL_ON)
REFERENCE = settings()


def amplitude_fs(level_db_spl):
    return np.sqrt(2) * 20e-6 * 10 ** (np.asarray(level_db_spl) / 20) / PA_FS


def sweep():
    """An exponential sweep of unit amplitude, 0.7 s, with silence after it."""
    t = np.arange(int(0.7 * RATE_HZ)) / RATE_HZ
    growth = np.log(20_000 / 80)
    fade = np.minimum(1, np.minimum(t, t[::-1]) / 0.005)
    played = fade * np.sin(2 * np.pi * 80 * 0.7 / growth * np.expm1(t / 0.7 * growth))
    return np.concatenate([played, np.zeros(int(0.3 * RATE_HZ))])


def noise(seed, seconds, level_db_spl):
    samples = np.random.default_rng(seed).standard_normal(round(seconds * RATE_HZ))
    return amplitude_fs(level_db_spl) / np.sqrt(2) * samples


class AidCase:
    """Takes are added one by one; the aid has one gain for all frequencies."""

    def __init__(self, tests=None):
        self.tests = tests or AidTestPlan(box_u_db=0.0)
        self.takes, self.samples, self.stimuli, self.played = [], {}, {}, {}

    def stimulus_of(self, kind, level_db_spl, played, **more):
        name = f"{kind} {level_db_spl} {len(played) if played is not None else 0}"
        if name not in self.stimuli:
            self.stimuli[name] = StimulusPlan(
                name=name,
                kind=kind,
                start_hz=80.0 if kind == "exponential_sweep" else None,
                stop_hz=20_000.0 if kind == "exponential_sweep" else None,
                level_db_spl=level_db_spl,
                has_file=played is not None,
                file="" if played is None else f"{kind}.wav",
                **more,
            )
            if played is not None:
                self.played[name] = played
        return name

    def add(self, test, stimulus, samples, *, set_to=REFERENCE, ear=Ear.RIGHT, coupler=CouplerKind.HA1, run="now",
            repeats=1, route=InputRoute.ACOUSTIC, lead_in="stimulus", name=None):  # fmt: skip
        called = name or f"{ear} {coupler} {test} {set_to.name if set_to else ''} {run} {len(self.takes)}"
        tested = AidTestRun(test=AidTest(test), settings=set_to, route=route, run=run, lead_in=lead_in)
        take = Take(
            name=called, stimulus=stimulus, repeats=repeats, ear=ear, place="coupler", coupler=coupler,
            coupling=Coupling.MOULD, source=Source.INSERT if test == "check_source" else Source.AID,
            calibration="mic", tested=tested,
        )  # fmt: skip
        self.takes.append(take)
        self.samples[called] = samples
        return self

    def swept(self, test, level_db_spl, gain_db, **how):
        """Two repeats of a sweep through a gain, in a little noise."""
        stimulus = self.stimulus_of("exponential_sweep", level_db_spl, 0.5 * sweep())
        seed = len(self.takes)
        samples = np.tile(amplitude_fs(level_db_spl + gain_db) * sweep(), 2)
        samples += noise(seed, samples.size / RATE_HZ, 25.0)
        return self.add(test, stimulus, samples, repeats=2, **how)

    def quiet(self, level_db_spl, test="input_noise", **how):
        stimulus = self.stimulus_of("silence", None, None)
        return self.add(test, stimulus, noise(100 + len(self.takes), 3.0, level_db_spl), **how)

    def sounded(self, test, gain_db, kind="noise", level_db_spl=65.0, seed=77, seconds=4.0, **how):
        """Speech or noise through a gain."""
        played = noise(seed, seconds, level_db_spl)
        stimulus = self.stimulus_of(kind, level_db_spl, played)
        return self.add(test, stimulus, 10 ** (gain_db / 20) * played, **how)

    def stepped(self, test, levels_db_spl, gain_db, frequency_hz=2000.0, step_s=0.3, **how):
        """Steps of one tone through a gain for each level."""
        time_s = np.arange(round(step_s * RATE_HZ)) / RATE_HZ
        tone = np.sin(2 * np.pi * frequency_hz * time_s)
        gains = np.broadcast_to(gain_db, (len(levels_db_spl),))
        samples = np.concatenate([amplitude_fs(x + g) * tone for x, g in zip(levels_db_spl, gains, strict=True)])
        played = np.concatenate([amplitude_fs(x) * tone for x in levels_db_spl])
        stimulus = self.stimulus_of(
            "level_steps", None, played, frequency_hz=(frequency_hz,), levels_db_spl=tuple(levels_db_spl), step_s=step_s
        )
        return self.add(test, stimulus, samples + noise(5, samples.size / RATE_HZ, 10.0), **how)

    def plan(self):
        chain = Calibration(name="mic", pa_per_full_scale=PA_FS, u_db=0.3, date=date(2026, 11, 25), method="invented")
        ears = {
            ear: EarPlan(ear=ear, middle_ear="unknown", tip_to_drum_mm=None, thresholds=None, discomfort=None)
            for ear in dict.fromkeys(take.ear for take in self.takes)
        }
        return Plan(
            case_id="memory",
            client=Client(code="memory", age_months=120.0),
            ears=ears,
            calibrations={"mic": chain},
            stimuli=self.stimuli,
            takes=tuple(self.takes),
            curves=(),
            date=date(2026, 11, 25),
            aid_tests=self.tests,
        )  # fmt: skip

    def take(self, name):
        return Recording(name, self.samples[name], float(RATE_HZ))

    def stimulus(self, name):
        return Recording(name, self.played[name], float(RATE_HZ))
