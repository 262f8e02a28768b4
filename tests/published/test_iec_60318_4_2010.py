"""IEC 60318-4: the occluded-ear simulator has an effective volume of 1.26 cm3 near 500 Hz (recalled)."""

import numpy as np
import pytest

from umbo import refdata


def test_effective_volume_at_500_hz():
    recalled = refdata.table("coupler_dimensions", source="iec-60318-4-2010").at("effective_volume_500_hz", "value")
    computed = refdata.table("oes_transfer_impedance", source="computed-simulator-library-2024")
    assert recalled == 1.26
    assert computed.at(500, "equivalent_volume_cm3") == pytest.approx(recalled, abs=0.005)


def test_cavity_length_implied_by_the_half_wave_resonance():
    found = refdata.table("coupler_dimensions", source="iec-60318-4-2010")
    length_mm = 343.2 / (2 * found.at("half_wave_resonance", "value")) * 1e3
    assert found.at("cavity_length_implied", "value") == pytest.approx(length_mm, abs=0.05)


def test_2cc_cavity_heights_follow_from_the_volume():
    found = refdata.table("coupler_dimensions", source="iec-60318-5-2006")
    for diameter_mm in (18, 21):
        height_mm = 2000 / (np.pi * (diameter_mm / 2) ** 2)
        tabulated = found.at(f"ha1_cavity_height_for_{diameter_mm}_mm", "value")
        assert tabulated == pytest.approx(height_mm, abs=0.05)
