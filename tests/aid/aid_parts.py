"""What the tests of an aid by itself share: conditions, an invented calibration, and tones made in plain numpy."""

from datetime import date

import numpy as np

from umbo.aid import Conditions, Feature, InputRoute, Settings, StimulusKind, Switch, Volume
from umbo.calibration import Calibration, Recording
from umbo.core import Component, Ear, Grid, Level, Plane, Source, Statistic, Tags

RATE_HZ = 48000.0
PA_FS = 100.0
HA1 = Plane.coupler("ha1")
CAL = Calibration(name="coupler_mic", pa_per_full_scale=PA_FS, u_db=0.2, date=date(2026, 11, 25), method="entered")
EXACT = Calibration(name="exact", pa_per_full_scale=PA_FS, u_db=0.0, date=date(2026, 11, 25), method="entered")
ALL_OFF = dict.fromkeys(Feature, Switch.OFF)


def tags(quantity="output", stimulus="sweep", ear=Ear.RIGHT, statistic=Statistic.RMS):
    return Tags(quantity=quantity, ear=ear, stimulus=stimulus, statistic=statistic, coupling=None, source=Source.AID)


def settings(volume=Volume.REFERENCE, name=None, **states):
    features = ALL_OFF | {Feature(key): Switch(value) for key, value in states.items()}
    return Settings(name or str(volume), volume, features)


def conditions(
    stimulus=StimulusKind.SWEEP,
    input_db_spl=60.0,
    *,
    set_to=None,
    plane=HA1,
    route=InputRoute.ACOUSTIC,
    u=0.2,
    run="now",
):
    return Conditions(
        plane=plane,
        ear=Ear.RIGHT,
        stimulus=stimulus,
        input_db_spl=input_db_spl,
        settings=set_to or settings(),
        route=route,
        box="box",
        input_u_db=u,
        run=run,
    )


def curve(values, grid=None, *, plane=HA1, u_db=0.0, quantity="output", calibration=CAL, **kind):
    where = grid or Grid.twelfth_octave()
    level = np.broadcast_to(np.asarray(values, float), (where.size,))
    noise = Component(f"noise:{quantity}", "noise", np.full(where.size, u_db), "none", "A", "invented")
    return Level.given(
        where,
        level,
        plane=plane,
        tags=tags(quantity, **kind),
        source="invented",
        components=[noise, calibration.component()],
    )


def amplitude_fs(level_db_spl):
    """Peak value in full scale of a tone with this level. [FS]"""
    return np.sqrt(2) * 20e-6 * 10 ** (np.asarray(level_db_spl) / 20) / PA_FS


def tone(frequency_hz, level_db_spl, duration_s, phase=0.0):
    time_s = np.arange(round(duration_s * RATE_HZ)) / RATE_HZ
    return amplitude_fs(level_db_spl) * np.sin(2 * np.pi * frequency_hz * time_s + phase)


def recording(samples, name="take"):
    return Recording(name, np.asarray(samples, float), RATE_HZ)


def noise_fs(level_db_spl, size, rng):
    """White noise whose level over the whole band is this one. [FS]"""
    return amplitude_fs(level_db_spl) / np.sqrt(2) * rng.standard_normal(size)
