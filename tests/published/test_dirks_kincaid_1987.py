"""Dirks & Kincaid 1987, as cited: a probe within 6 mm of the eardrum reads within 2 dB of it to 6 kHz."""

import math

import pytest

from umbo import refdata


def test_the_rule_is_the_rigid_drum_formula():
    rule = refdata.table("fit_tolerances", source="dirks-kincaid-1987")
    error = refdata.table("probe_standing_wave_error", source="computed-rigid-drum")
    distance_mm = rule.at("tip_to_drum_within_2_db_to_6_khz", "value")
    assert error.at(distance_mm, "error_at_6000_hz_db") == pytest.approx(-2.0, abs=0.05)
    plain = 20 * math.log10(math.cos(2 * math.pi * 6000 * distance_mm * 1e-3 / 343.2))
    assert error.at(distance_mm, "error_at_6000_hz_db") == pytest.approx(plain, abs=0.05)
