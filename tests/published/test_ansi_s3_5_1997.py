"""ANSI S3.5-1997: band tables of the speech intelligibility index."""

import math

import numpy as np
import pytest

from umbo import refdata

THIRD = ("sii_third_octave", "ansi-s3.5-1997")
FUNCTIONS = ["average_speech", "nonsense_syllables", "cid22", "nu6", "drt", "short_passages", "spin"]
SPEECH = ["speech_normal_spectrum_level_db", "speech_raised_db", "speech_loud_db", "speech_shout_db"]


@pytest.mark.parametrize("function", FUNCTIONS)
def test_third_octave_importances_sum_to_1(function):
    found = refdata.table(THIRD[0], source=THIRD[1])
    # Printed to 4 decimals, 18 bands: the sum may miss 1 by 18 half units of the last place.
    assert math.fsum(found.column(f"importance_{function}")) == pytest.approx(1.0, abs=18 * 0.5e-4)


@pytest.mark.parametrize("quantity", ["sii_octave", "sii_critical_band"])
def test_octave_and_critical_band_importances_sum_to_1(quantity):
    found = refdata.table(quantity, source="ansi-s3.5-1997")
    values = found.column("importance_average_speech")
    assert math.fsum(values) == pytest.approx(1.0, abs=values.size * 0.5e-4)


def test_the_connected_speech_test_column_is_not_a_standard_one():
    found = refdata.table("sii_third_octave", source="cst-undated")
    assert math.fsum(found.column("importance_cst_nonstandard")) == pytest.approx(0.975, abs=1e-9)
    assert "not part of ANSI S3.5" in found.sidecar.title


def test_octave_importances_as_recalled_from_the_standard():
    found = refdata.table("sii_octave", source="ansi-s3.5-1997")
    assert found.column("importance_average_speech").tolist() == [
        0.0617,
        0.1671,
        0.2373,
        0.2648,
        0.2142,
        0.0549,
    ]


def test_octave_speech_values_are_the_third_octave_ones_at_the_same_centre():
    octave = refdata.table("sii_octave", source="ansi-s3.5-1997")
    third = refdata.table(THIRD[0], source=THIRD[1])
    for frequency_hz in octave.column("frequency_hz"):
        for column in (*SPEECH, "reference_internal_noise_spectrum_level_db", "free_field_to_eardrum_db"):
            assert octave.at(frequency_hz, column) == third.at(frequency_hz, column), (frequency_hz, column)


def test_bandwidths_are_those_of_third_octaves():
    """Base-two band edges around base-ten centres: the only reading that gives the printed decimals."""
    found = refdata.table(THIRD[0], source=THIRD[1])
    index = np.arange(found.sidecar.rows) - 8  # 1000 Hz is the ninth band
    width_hz = 1000 * 10 ** (index / 10) * (2 ** (1 / 6) - 2 ** (-1 / 6))
    assert found.column("bandwidth_10log_hz_db") == pytest.approx(10 * np.log10(width_hz), abs=0.005)


def test_band_edges_meet():
    for quantity in ("sii_octave", "sii_critical_band"):
        found = refdata.table(quantity, source="ansi-s3.5-1997")
        assert np.array_equal(found.column("upper_hz")[:-1], found.column("lower_hz")[1:])
        inside = (found.column("lower_hz") < found.column("frequency_hz")) & (
            found.column("frequency_hz") < found.column("upper_hz")
        )
        assert inside.all()


def test_the_free_field_transfer_is_the_same_in_both_tables():
    third = refdata.table(THIRD[0], source=THIRD[1])
    transfer = refdata.table("field_to_eardrum", source="ansi-s3.5-1997")
    assert np.array_equal(
        third.column("free_field_to_eardrum_db"), transfer.column("ansi_s3p5_free_field_to_eardrum_db")
    )
    assert np.array_equal(third.column("frequency_hz"), transfer.column("frequency_hz"))


def test_normal_speech_is_62_35_db_overall():
    """Standard speech at normal effort: 62.35 dB overall at 1 m in the standard (from memory)."""
    found = refdata.table(THIRD[0], source=THIRD[1])
    level_db = found.column("speech_normal_spectrum_level_db") + found.column("bandwidth_10log_hz_db")
    assert 10 * np.log10(np.sum(10 ** (level_db / 10))) == pytest.approx(62.35, abs=0.1)
