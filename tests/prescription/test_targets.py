"""Speech in the field, and targets imported as numbers."""

import numpy as np
import pytest

from umbo.core import Bandwidth, Ear, PointState, Statistic
from umbo.errors import InputError
from umbo.prescription import Method, imported_target, speech_in_field


def test_speech_spectrum_has_its_overall_level():
    """Third-octave levels from 125 Hz to 16 kHz add up to the overall level within the bands left out."""
    hz = np.array(
        [125.0, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000]
    )
    level = speech_in_field(hz, 65.0, ear=None)
    assert 10 * np.log10(np.sum(10 ** (level.level_db / 10))) == pytest.approx(65.0, abs=0.3)
    assert level.states.is_ok.all()
    between = speech_in_field(np.array([1100.0]), 65.0, ear=None)
    assert between.state_at(1100) is PointState.INTERPOLATED


def test_imported_target_keeps_its_method():
    method = Method("invented rule", "2.1", "quiet")
    speech = imported_target([500, 1000], [70, 72], method=method, ear=Ear.LEFT, input_db_spl=65.0)
    assert speech.level.tags.statistic is Statistic.TARGET
    assert "imported: invented rule, 2.1, quiet" in speech.level.explain(at=500)
    limit = imported_target([500, 1000], [110, 112], method=method, ear=Ear.LEFT, input_db_spl=None)
    assert limit.level.tags.statistic is Statistic.LIMIT
    assert limit.level.grid.bandwidth is Bandwidth.TONE


def test_imported_numbers_have_to_fit():
    with pytest.raises(InputError, match="give one of each per point"):
        imported_target([500, 1000], [70], method=Method("x", "", ""), ear=Ear.LEFT, input_db_spl=65.0)
