"""McCreery, Bentler & Roush 2013 and Wiseman et al. 2023/24: the paediatric criterion is the table's."""

import numpy as np
import pytest

from umbo import refdata
from umbo.core import Bandwidth, Ear, Grid, Level, Plane, Statistic, Tags
from umbo.verdict import RMS_HZ, Outcome, rms_deviation


def equal_deviation(value_db):
    tags = Tags(quantity="x", ear=Ear.RIGHT, stimulus="s", statistic=Statistic.RMS, coupling=None, source=None)
    grid = Grid(np.array(RMS_HZ), Bandwidth.THIRD_OCTAVE)
    aided, target = (
        Level.given(grid, np.full(4, v), plane=Plane.eardrum(), tags=tags, source="x") for v in (value_db, 0.0)
    )
    return rms_deviation(aided.above(target, quantity="deviation"), "65")


def test_criterion_and_stricter_criterion():
    criterion = refdata.table("fit_tolerances", source="mccreery-2013").at("rms_criterion", "value")
    stricter = refdata.table("fit_tolerances", source="wiseman-2023").at("rms_stricter", "value")
    assert (criterion, stricter) == (5, 3)
    assert "and within 3 dB" in equal_deviation(stricter - 0.01).sentence
    assert "but not within 3 dB" in equal_deviation(stricter + 0.01).sentence
    assert equal_deviation(criterion - 0.01).outcome is Outcome.PASS
    assert equal_deviation(criterion + 0.01).outcome is Outcome.FAIL


def test_frequencies():
    described = refdata.table("fit_tolerances", source="mccreery-2013").text_at("rms_criterion", "description")
    assert described == f"Paediatric criterion: rms deviation over {', '.join(f'{f:.0f}' for f in RMS_HZ)} Hz"
    assert pytest.approx(500.0) == RMS_HZ[0]
