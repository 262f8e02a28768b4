"""Imported curves keep what they say and admit what they do not; insertions are averaged."""

import numpy as np
import pytest

from umbo.core import Ear, Grid, Plane, Source, Statistic, Tags
from umbo.curves import IMPORTED_U_DB, ImportedReading, average_levels

TAGS = Tags(quantity="sweep", ear=Ear.LEFT, stimulus="s", statistic=Statistic.RMS, coupling=None, source=Source.INSERT)
HZ = np.array([250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0])


def imported(**changes):
    given = {
        "name": "export",
        "frequency_hz": HZ,
        "level_db": np.arange(60.0, 66.0),
        "u_db": None,
        "noise_level_db": None,
        "plane": Plane.coupler("ha1"),
        "tags": TAGS,
    }
    return ImportedReading(**(given | changes))


def test_points_are_taken_over_and_between_them_marked():
    level = imported().on(Grid.audiometric()).level
    assert level.value_at(1000.0) == 62.0
    assert str(level.state_at(1000.0)) == "ok"
    assert str(level.state_at(1500.0)) == "interpolated"
    assert level.value_at(1500.0) == pytest.approx(62 + np.log2(1.5), abs=1e-9)
    assert str(level.state_at(125.0)) == "extrapolated"
    assert str(level.state_at(16000.0)) == "outside_coupler"


def test_missing_uncertainty_is_assumed_and_said():
    reading = imported()
    assert np.all(reading.on(Grid.tones(HZ)).level.u_db == IMPORTED_U_DB)
    assert "states no uncertainty and no noise" in reading.findings[0].text
    assert imported(u_db=np.full(6, 0.3), noise_level_db=np.full(6, 20.0)).findings == ()


def test_stated_noise_decides_states():
    noise = np.array([20.0, 20.0, 20.0, 55.0, 60.0, 20.0])
    level = imported(noise_level_db=noise).on(Grid.tones(HZ)).level
    assert level.states.words == ("ok", "ok", "ok", "noisy", "below_noise", "ok")


def test_average_of_insertions():
    one, two = (
        imported(name="a").on(Grid.tones(HZ)).level,
        imported(name="b", level_db=np.arange(62.0, 68.0)).on(Grid.tones(HZ)).level,
    )
    mean = average_levels([one, two], "ear")
    assert mean.level_db == pytest.approx(np.arange(61.0, 67.0))
    # two independent causes of 0.7 dB halved each, and a scatter of sqrt(2) / sqrt(2) dB
    assert mean.u_db == pytest.approx(np.sqrt(0.35**2 + 0.35**2 + 1.0))
    assert average_levels([one], "ear") is one
