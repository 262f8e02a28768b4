"""Bisgaard, Vlaming & Dahlquist 2010: the ten standard audiograms, as read in two public repositories that agree."""

import numpy as np
import pytest

from umbo.chart import audiogram, thresholds_of_level
from umbo.core import Ear, Plane, Statistic, Transducer
from umbo.ear import standard_audiogram, standard_audiogram_names
from umbo.errors import InputError

HZ = [250, 375, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000]

#: Two rows by hand. [dB HL]
N3 = [35, 35, 35, 35, 40, 45, 50, 55, 60, 65]
S2 = [20, 20, 20, 22.5, 25, 35, 55, 75, 95, 95]


@pytest.mark.parametrize(("name", "level_db"), [("N3", N3), ("S2", S2)])
def test_levels_stand_on_the_dial(name, level_db):
    level = standard_audiogram(name, ear=Ear.LEFT)
    assert level.frequency_hz.tolist() == HZ
    assert level.level_db.tolist() == level_db
    assert (level.plane, level.tags.ear) == (Plane.dial("insert"), Ear.LEFT)
    assert level.tags.statistic is Statistic.THRESHOLD
    assert level.u_db.tolist() == [0.0] * 10


def test_there_are_ten_and_losses_grow_with_the_number():
    assert standard_audiogram_names() == ("N1", "N2", "N3", "N4", "N5", "N6", "N7", "S1", "S2", "S3")
    for family in ("N1 N2 N3 N4 N5 N6 N7", "S1 S2 S3"):
        rows = [standard_audiogram(name, ear=Ear.RIGHT).level_db.mean() for name in family.split()]
        assert np.all(np.diff(rows) > 0)


def test_another_dial_can_be_named_and_no_other_audiogram():
    level = standard_audiogram("N1", ear=Ear.RIGHT, transducer=Transducer.SUPRA_AURAL)
    assert (level.plane, level.tags.coupling) == (Plane.dial("supra_aural"), None)
    with pytest.raises(InputError, match="there are N1, N2, N3, N4, N5, N6, N7, S1, S2, S3"):
        standard_audiogram("n3", ear=Ear.RIGHT)


def test_an_example_can_be_drawn():
    chart = audiogram("n3", thresholds_of_level(standard_audiogram("N3", ear=Ear.RIGHT)))
    assert "Right ear: 250 Hz 35, 375 Hz 35" in chart.alt
