"""Joins the virtual bench and the session in memory: a plan and its recordings without a disk."""

from datetime import date

import numpy as np

from umbo.calibration import Calibration, Recording
from umbo.core import CouplerKind, Coupling, Ear, Source
from umbo.session import Client, EarPlan, Plan, StimulusPlan, Take

DAY = date(2026, 11, 25)


class BenchPort:
    """The recordings of a bench, by name."""

    def __init__(self, samples, stimulus):
        self.samples, self.played = samples, stimulus

    def take(self, name):
        return Recording(name, self.samples[name], self.played.sampling_rate_hz)

    def stimulus(self, name):
        return Recording(name, self.played.samples_fs, self.played.sampling_rate_hz)


def calibration(name, chain):
    return Calibration(
        name=name, pa_per_full_scale=chain.pa_per_full_scale, u_db=chain.u_db, date=DAY, method="virtual bench"
    )


def recd_plan(takes, kind, *, age_months=None, declared_mm=None, ear=Ear.RIGHT, middle_ear="normal"):
    """Plan and port for one coupler take and one ear take."""
    common = {
        "stimulus": "sweep",
        "repeats": takes.repeats,
        "ear": ear,
        "coupling": Coupling.FOAM_TIP,
        "source": Source.INSERT,
    }
    plan = Plan(
        case_id="bench",
        client=Client(code="bench", age_months=age_months),
        ears={
            ear: EarPlan(ear=ear, middle_ear=middle_ear, tip_to_drum_mm=declared_mm, thresholds=None, discomfort=None)
        },
        calibrations={
            "coupler_mic": calibration("coupler_mic", takes.coupler_mic),
            "probe_mic": calibration("probe_mic", takes.probe_mic),
        },
        stimuli={
            "sweep": StimulusPlan(
                name="sweep",
                kind="exponential_sweep",
                start_hz=takes.stimulus.start_hz,
                stop_hz=takes.stimulus.stop_hz,
                level_db_spl=65.0,
                has_file=True,
            )
        },
        takes=(
            Take(name="coupler", place="coupler", coupler=CouplerKind(kind), calibration="coupler_mic", **common),
            Take(name="ear", place="probe_tip", coupler=None, calibration="probe_mic", **common),
        ),
        curves=(),
        date=DAY,
    )
    return plan, BenchPort({"coupler": takes.coupler_fs, "ear": takes.ear_fs}, takes.stimulus)


def octave_index(frequency_hz):
    """Index of the points at the octaves 125 Hz to 16 kHz."""
    return [int(np.argmin(np.abs(np.log(frequency_hz / f)))) for f in (125, 250, 500, 1000, 2000, 4000, 8000, 16000)]
