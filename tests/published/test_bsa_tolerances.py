"""BSA guidance on real-ear measurement (from memory): the per-frequency tolerance is the table's."""

import numpy as np

from umbo import refdata
from umbo.core import Bandwidth, Ear, Grid, Level, Plane, Statistic, Tags
from umbo.verdict import match_to_target

HZ = np.array([250.0, 500.0, 1000.0, 2000.0, 3000.0, 4000.0])


def test_tolerance_per_frequency():
    table = refdata.table("fit_tolerances", source="bsa-undated")
    low, high = table.at("match_250_to_2000_hz", "value"), table.at("match_3000_to_4000_hz", "value")
    tags = Tags(quantity="x", ear=Ear.RIGHT, stimulus="s", statistic=Statistic.RMS, coupling=None, source=None)
    level = Level.given(Grid(HZ, Bandwidth.THIRD_OCTAVE), np.zeros(6), plane=Plane.eardrum(), tags=tags, source="x")
    _, judgement = match_to_target(level, level, "65")
    assert [p.tolerance_db for p in judgement.points] == [low, low, low, low, high, high]
    assert table.status_at("match_250_to_2000_hz", "value") == "from memory"
    assert "(from memory)" in judgement.source
