"""A probe tube's response is found against a reference microphone and taken out."""

import numpy as np
import pytest

from umbo.calibration import probe_tube_response
from umbo.errors import CalibrationError

HZ = np.array([125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0])


def test_response_is_probe_less_reference():
    tube = probe_tube_response(HZ, np.linspace(60, 40, 7), np.full(7, 65.0), name="probe", u_db=0.5)
    assert tube.at(HZ) == pytest.approx(np.linspace(-5, -25, 7))
    assert tube.at(np.array([np.sqrt(125 * 250)]))[0] == pytest.approx((-5 - 25 / 3) / 2, abs=1e-9)
    assert tube.component().id == "probe_tube:probe"


def test_range_of_the_tube_is_kept():
    tube = probe_tube_response(HZ, np.zeros(7), np.zeros(7), name="probe", u_db=0.5)
    with pytest.raises(CalibrationError, match="16000 Hz is wanted and the tube was calibrated from 125 to 8000 Hz"):
        tube.at(np.array([16000.0]))


def test_unequal_readings_are_refused():
    with pytest.raises(CalibrationError, match="7 and 6 points on 7 frequencies"):
        probe_tube_response(HZ, np.zeros(7), np.zeros(6), name="probe", u_db=0.5)
