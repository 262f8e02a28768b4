"""Chan & Geisler 1990 (abstract read): the acoustic estimate of the drum's place is within 2 mm in 30 of 32."""

import numpy as np

from umbo import refdata
from umbo.ear import distance_from_notch


def test_uncertainty_of_the_acoustic_distance():
    within_mm = refdata.table("fit_tolerances", source="chan-geisler-1990").at("acoustic_location", "value")
    hz = 1000.0 * 10.0 ** (np.arange(-36, 49) / 40.0)
    curve = 20 * np.log10(np.abs(np.cos(0.5 * np.pi * hz / 9000.0)) + 0.03)
    found = distance_from_notch(hz, curve, np.ones(hz.size, dtype=bool))
    assert 2 * found.u_mm == within_mm
