"""The lumped occluded-ear simulator against the table computed from the same element values elsewhere."""

import csv
import os
from pathlib import Path

import numpy as np
import pytest

from umbo.acoustics import RIGID, occluded_ear_simulator_lumped

pytestmark = pytest.mark.shared


@pytest.fixture
def rows(request):
    folder = Path(os.environ.get("UMBO_SHARED", request.config.rootpath.parent / "shared")) / "reference"
    if not folder.is_dir():
        pytest.skip(f"no shared reference folder at {folder}: set UMBO_SHARED to run these tests")
    with (folder / "oes_transfer_impedance_computed.csv").open() as file:
        return list(csv.DictReader(file))


def test_levels_to_the_printed_hundredth(rows):
    frequency = np.array([float(row["frequency_hz"]) for row in rows])
    z = occluded_ear_simulator_lumped(frequency).transfer_impedance(RIGID)
    printed = [float(row["level_re_1_MPa_s_per_m3_db"]) for row in rows]
    np.testing.assert_allclose(20 * np.log10(np.abs(z) / 1e6), printed, atol=0.0051)


def test_equivalent_volume_and_2cc_difference(rows):
    """With rho 1.204 kg/m³ and c 343.2 m/s, as the table says."""
    stiffness = 1.204 * 343.2**2
    for row in rows:
        f = float(row["frequency_hz"])
        z = abs(occluded_ear_simulator_lumped([f]).transfer_impedance(RIGID)[0])
        volume = stiffness / (2 * np.pi * f * z) * 1e6
        assert volume == pytest.approx(float(row["equivalent_volume_cm3"]), abs=0.00051)
        assert 20 * np.log10(2.0 / volume) == pytest.approx(float(row["oes_minus_2cc_stiff_source_db"]), abs=0.0051)
