"""McCreery, Bentler & Roush 2013 and Wiseman et al. 2023/24: the paediatric criterion is the table's."""

import numpy as np
import pytest

from umbo import refdata
from umbo.core import Bandwidth, Ear, Grid, Level, Outcome, Plane, Statistic, Tags
from umbo.verdict import RMS_HZ, guidance, rms_deviation


def equal_deviation(value_db, chosen=None):
    tags = Tags(quantity="x", ear=Ear.RIGHT, stimulus="s", statistic=Statistic.RMS, coupling=None, source=None)
    grid = Grid(np.array(RMS_HZ), Bandwidth.THIRD_OCTAVE)
    aided, target = (
        Level.given(grid, np.full(4, v), plane=Plane.eardrum(), tags=tags, source="x") for v in (value_db, 0.0)
    )
    return rms_deviation(aided.above(target, quantity="deviation"), "65", guidance=chosen)


def test_criterion_and_stricter_criterion():
    criterion = refdata.table("fit_tolerances", source="mccreery-2013").at("rms_criterion", "value")
    stricter = refdata.table("fit_tolerances", source="wiseman-2023").at("rms_stricter", "value")
    assert (criterion, stricter) == (5, 3)
    assert "and within 3 dB" in equal_deviation(stricter - 0.01).sentence
    assert "but not within 3 dB" in equal_deviation(stricter + 0.01).sentence
    assert equal_deviation(criterion - 0.01).outcome is Outcome.PASS
    assert equal_deviation(criterion + 0.01).outcome is Outcome.FAIL


def test_the_stricter_criterion_decides_only_where_it_was_chosen():
    four = equal_deviation(4.0)
    assert four.outcome is Outcome.PASS
    assert [(b.bound_db, b.outcome) for b in four.bounds] == [(5.0, Outcome.PASS), (3.0, Outcome.FAIL)]
    assert all("abstract read" in bound.source for bound in four.bounds)
    strict = equal_deviation(4.0, guidance("wiseman_2023"))
    assert strict.outcome is Outcome.FAIL
    assert strict.sentence == (
        "The rms deviation for speech at 65 dB is 4.0 dB (u 0.0 dB), above 3 dB and within 5 dB."
    )
    assert equal_deviation(4.0, guidance("mccreery_2013")).outcome is Outcome.PASS


def test_frequencies():
    described = refdata.table("fit_tolerances", source="mccreery-2013").text_at("rms_criterion", "description")
    assert described == f"Paediatric criterion: rms deviation over {', '.join(f'{f:.0f}' for f in RMS_HZ)} Hz"
    assert pytest.approx(500.0) == RMS_HZ[0]
