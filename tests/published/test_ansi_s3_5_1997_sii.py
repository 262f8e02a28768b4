"""ANSI S3.5-1997: worked values of the speech intelligibility index, and the numbers inside its formulas."""

import numpy as np
import pytest

from umbo import refdata
from umbo.audibility import (
    BINAURAL_DB,
    NO_NOISE_DB,
    Effort,
    Procedure,
    band_audibility,
    bands,
    importance,
    internal_noise_spectrum_level,
    level_distortion_factor,
    masking_spectrum_level,
    speech_intelligibility_index,
    speech_spectrum_level,
)
from umbo.errors import NotPossibleHereError, OutOfRangeError

THIRD = Procedure.THIRD_OCTAVE
WORKED = refdata.table("sii_worked_values", source="muesch-undated")
COMPUTED = refdata.table("sii_worked_values", source="computed-muesch-undated")
AVERAGE = importance(THIRD, material="average_speech")
QUIET = np.full(18, NO_NOISE_DB)
NORMAL_HEARING = np.zeros(18)


def in_quiet(effort, distance_m, *, ears):
    speech = speech_spectrum_level(THIRD, Effort(effort), distance_m=distance_m)
    threshold = NORMAL_HEARING - (BINAURAL_DB if ears == 2 else 0.0)
    return float(speech_intelligibility_index(speech, QUIET, threshold, AVERAGE, THIRD))


def with_distance():
    rows = zip(*(WORKED.text(name) for name in ("item", "effort")), WORKED.column("distance_m"), strict=True)
    return [(item, effort, float(distance)) for item, effort, distance in rows if effort]


@pytest.mark.parametrize(("item", "effort", "distance_m"), with_distance())
def test_binaural_series_over_distance(item, effort, distance_m):
    """Example of a program by H. Muesch: two ears, quiet, 0.5 to 20 m, normal and shouted; printed to 4 decimals."""
    expected = WORKED.at(item, "sii")
    assert in_quiet(effort, distance_m, ears=2) == pytest.approx(expected, abs=WORKED.at(item, "tolerance"))


def test_every_worked_row_is_tested():
    assert len(with_distance()) + 2 == WORKED.sidecar.rows == 82


@pytest.mark.parametrize("item", ["spectrum_average_importance", "spectrum_given_importance"])
def test_spectra_of_the_older_program(item):
    given = refdata.table("sii_worked_inputs", source="muesch-undated")
    weight = AVERAGE if item == "spectrum_average_importance" else given.column("importance_second_case")
    levels = (given.column(f"{name}_db") for name in ("speech_spectrum_level", "noise_spectrum_level"))
    found = speech_intelligibility_index(*levels, given.column("threshold_db_hl"), weight, THIRD)
    assert float(found) == pytest.approx(WORKED.at(item, "sii"), abs=WORKED.at(item, "tolerance"))


@pytest.mark.parametrize("effort", list(Effort))
def test_one_normal_ear_in_quiet(effort):
    """Rows computed with a general-purpose package, printed to 4 decimals."""
    assert in_quiet(effort, 1.0, ears=1) == pytest.approx(COMPUTED.at(f"monaural_{effort}", "sii"), abs=0.5e-4 + 1e-9)


def test_range_of_speech_is_that_of_the_table():
    facts = refdata.table("speech_percentiles", source="ansi-s3.5-1997")
    peaks, whole = facts.at("peaks_above_rms", "value"), facts.at("range", "value")
    speech = np.full(18, 0.0)  # so soft that neither masking nor level distortion has a part
    for above_db, expected in ((-peaks, 0.0), (0.0, peaks / whole), (whole - peaks, 1.0)):
        threshold = speech - above_db - bands(THIRD).internal_noise_db
        found = band_audibility(speech, QUIET, threshold, THIRD)
        assert found == pytest.approx(np.full(18, expected), abs=1e-12)


def test_level_distortion_begins_10_db_above_normal_speech_and_costs_a_160th_a_decibel():
    normal = bands(THIRD).normal_speech_db
    for above_db, expected in ((-20.0, 1.0), (10.0, 1.0), (26.0, 0.9), (170.0, 0.0), (200.0, 0.0)):
        assert level_distortion_factor(normal + above_db, THIRD) == pytest.approx(expected)


def test_masking_of_two_bands_by_hand():
    """A 60 dB spectrum level at 1 kHz masks 1250 and 1600 Hz: Eq. (7) and (9) written out."""
    noise = QUIET.copy()
    noise[8] = 60.0
    found = masking_spectrum_level(np.full(18, -100.0), noise, THIRD)
    slope = -80 + 0.6 * (60 + 30 - 6.353)  # -29.81 dB per octave
    assert slope == pytest.approx(-29.8118, abs=1e-4)
    assert found[8] == pytest.approx(60.0, abs=1e-9)
    assert found[9] == pytest.approx(55.417, abs=0.001)  # 60 + 3.32 * (-29.8118) * lg(0.89 * 1.25)
    assert found[10] == pytest.approx(44.806, abs=0.001)  # 60 + 3.32 * (-29.8118) * lg(0.89 * 1.6)
    assert found[7] == pytest.approx(NO_NOISE_DB, abs=0.1)  # masking goes upwards only


def test_speech_masks_itself_24_db_down():
    speech = QUIET.copy()
    speech[0] = 90.0
    assert masking_spectrum_level(speech, QUIET, THIRD)[0] == pytest.approx(66.0)


def test_the_octave_procedure_has_neither_self_masking_nor_spread():
    noise = np.array([60.0, -20.0, 10.0, -50.0, 5.0, 0.0])
    found = masking_spectrum_level(np.full(6, 90.0), noise, Procedure.OCTAVE)
    assert np.array_equal(found, noise)


@pytest.mark.parametrize("procedure", list(Procedure))
def test_a_normal_ear_has_the_reference_internal_noise(procedure):
    table = refdata.table(f"sii_{procedure}", source="ansi-s3.5-1997")
    found = internal_noise_spectrum_level(np.zeros(bands(procedure).size), procedure)
    assert np.array_equal(found, table.column("reference_internal_noise_spectrum_level_db"))


def test_both_forms_of_the_bandwidth_are_one():
    """10 lg f - 6.353 in the formula against the bandwidth of the table, printed to 0.01 dB, centres to 1.5 %."""
    assert bands(THIRD).slope_width_db == pytest.approx(bands(THIRD).width_db, abs=0.06)
    assert bands(THIRD).upper_hz / bands(THIRD).frequency_hz == pytest.approx(2 ** (1 / 6), rel=0.002)


def test_distance_is_a_free_field():
    near, far = (speech_spectrum_level(THIRD, Effort.LOUD, distance_m=d) for d in (1.0, 10.0))
    assert near - far == pytest.approx(np.full(18, 20.0))
    with pytest.raises(OutOfRangeError, match=r"place a talker at 0 m: .* from 0.1 to 100 m"):
        speech_spectrum_level(THIRD, Effort.LOUD, distance_m=0.0)


def test_what_has_no_importance_function_is_refused():
    with pytest.raises(NotPossibleHereError, match=r"octave procedure for 'nu6': its table has .* average_speech only"):
        importance(Procedure.OCTAVE, material="nu6")


@pytest.mark.parametrize(
    ("speech", "said"),
    [
        (np.zeros(17), "it has 18 bands, and the levels given are 17"),
        (np.full(18, np.nan), "no finite number between -300 and 300 dB"),
        (np.full(18, 1e4), "no finite number between -300 and 300 dB"),
    ],
)
def test_wrong_levels_are_refused(speech, said):
    with pytest.raises(OutOfRangeError, match=said):
        band_audibility(speech, np.full(speech.size, 0.0), np.zeros(speech.size), THIRD)


@pytest.mark.parametrize("weight", [AVERAGE * 2, -AVERAGE, AVERAGE[:6]])
def test_wrong_importances_are_refused(weight):
    with pytest.raises(OutOfRangeError, match="the importances are not 18 numbers"):
        speech_intelligibility_index(QUIET, QUIET, NORMAL_HEARING, weight, THIRD)
