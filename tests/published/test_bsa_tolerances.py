"""BSA guidance on real-ear measurement (from memory): the per-frequency tolerance is the table's."""

import numpy as np

from umbo import refdata
from umbo.core import Bandwidth, Ear, Grid, Level, Plane, Statistic, Tags
from umbo.verdict import fit_to_target, guidance, match_to_target

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


def test_slope_is_the_table_s():
    table = refdata.table("fit_tolerances", source="bsa-undated")
    bsa = guidance("bsa")
    assert bsa.slope_db_per_octave == table.at("slope", "value")
    assert (bsa.whom, bsa.status, bsa.rms_db) == ("adults", "from memory", None)
    assert [(band.from_hz, band.to_hz) for band in bsa.bands] == [(250.0, 2000.0), (3000.0, 4000.0)]
    tags = Tags(quantity="x", ear=Ear.RIGHT, stimulus="s", statistic=Statistic.RMS, coupling=None, source=None)
    level = Level.given(Grid(HZ, Bandwidth.THIRD_OCTAVE), np.zeros(6), plane=Plane.eardrum(), tags=tags, source="x")
    _, judgements = fit_to_target(level, level, "65", guidance=bsa)
    assert [judgement.criterion for judgement in judgements] == ["match_65", "slope_65"]
    assert judgements[1].points[0].tolerance_db == 5
    assert "(from memory)" in judgements[1].source
