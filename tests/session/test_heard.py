"""What a session says of audibility: corner audiogram (S6), normal hearing, lowering, and what is missing."""

from dataclasses import replace

import numpy as np
import pytest
from heard_case import HZ, S6_HZ, S6_SPEECH, heard_case
from open_case import open_case as open_fitting_case

from umbo import refdata
from umbo.audibility import Procedure, bands, speech_intelligibility_index
from umbo.audibility import importance as importance_of
from umbo.interchange import open_case
from umbo.session import HEARD_DRAWS, heard_speech, read_all, run

SILENT = (2000, 4000)
#: HA-1, ANSI S3.6, at the frequencies of HZ (from memory; table retspl_insert). [dB SPL]
RETSPL_HA1 = np.array((26.5, 14.5, 6.0, 0.0, 2.5, 0.0, -3.5))
THIRD = bands(Procedure.THIRD_OCTAVE)
NORMAL = {"hl": (0,) * 7, "recd": (2, 3, 3.5, 5.5, 9, 15, 19), "hz": HZ}


def heard(folder, **more):
    case = open_case(heard_case(folder, **more))
    return run(case.plan, case).ears["right"].heard


def test_a_corner_audiogram_has_bounds(tmp_path):
    """S6: by the standard less than half of the 0.362 that the simplified formula has; nothing sure above 1 kHz."""
    (one,) = heard(tmp_path / "s6", silent=SILENT)
    assert one.why_not == {}
    assert 0.0 < one.aided.sii < 0.181
    assert one.aided.bounds[0] == one.aided.sii < one.aided.bounds[1] < 0.362
    assert one.aided.frequency_hz[one.aided.is_bound].tolist() == [1250.0, 1600.0, 2000.0, 2500.0, 3150.0, 4000.0]
    assert one.unaided.sii == 0.0
    assert one.bandwidth.peaks is None  # exported curves have no percentiles
    assert one.bandwidth.average.relation == "at_most"
    assert one.bandwidth.average.at_least_hz == pytest.approx(1000.0, rel=0.01)
    assert one.bandwidth.average.at_most_hz < 1600.0
    assert one.words.sentence.startswith("When someone speaks in an ordinary voice")
    assert one.aided.draws == HEARD_DRAWS


def test_no_index_of_lowered_speech_and_the_reasons(tmp_path):
    folder = heard_case(tmp_path / "s6", silent=SILENT, fitting="frequency_lowering = true")
    case = open_case(folder)
    ear = run(case.plan, case).ears["right"]
    (one,) = ear.heard
    assert (one.aided, one.unaided, one.bandwidth, one.words) == (None,) * 4
    assert set(one.why_not) == {"index", "unaided", "bandwidth", "words"}
    assert one.why_not["index"].startswith("Frequency lowering is on, so speech sounds")
    assert "which sounds of speech arrive" in one.why_not["words"]
    assert "frequency_lowering" in [finding.code for finding in ear.findings]


def normal_speech(raised_db=0.0):
    """Average speech of 65 dB as it arrives in the open adult ear (tables ltass, field_to_eardrum), raised."""
    field_hz, field_db = refdata.table("ltass", source="byrne-1994").series("combined_70db_overall_db_spl")
    gain_hz, gain_db = refdata.table("field_to_eardrum", source="ansi-s3.5-1997").series(
        "ansi_s3p5_free_field_to_eardrum_db"
    )
    hz = np.log(np.array(HZ, dtype=float))
    return np.interp(hz, np.log(field_hz), field_db - 5.0) + np.interp(hz, np.log(gain_hz), gain_db) + raised_db


def test_a_normal_ear_hears_nearly_everything(tmp_path):
    (one,) = heard(tmp_path / "normal", speech=((65.0, normal_speech()),), **NORMAL)
    assert one.aided.sii > 0.9
    assert one.unaided.sii > 0.9
    assert one.bandwidth.average.relation == "at_least"
    assert one.bandwidth.average.at_least_hz == pytest.approx(8000.0, rel=0.02)
    assert set(one.words.groups) == {"well"}


@pytest.mark.parametrize("input_db", [50.0, 62.0, 80.0])
def test_unaided_speech_is_that_of_the_standard_in_a_free_field(tmp_path, input_db):
    """In an adult's ear the unaided gain is the standard's own transfer, so E is the free-field spectrum level."""
    loss = np.array((20, 25, 30, 40, 50, 55, 60))
    given = NORMAL | {"hl": loss.tolist()}
    (one,) = heard(tmp_path / "unaided", speech=((input_db, normal_speech()),), **given)
    hz, level = refdata.table("ltass", source="byrne-1994").series("combined_70db_overall_db_spl")
    band_hz = np.log(THIRD.frequency_hz)
    spectrum = np.interp(band_hz, np.log(hz), level) + input_db - 70.0 - THIRD.width_db
    normal_hz, normal = refdata.table("map_eardrum", source="bentler-pavlovic-1989").series("map_eardrum_db_spl")
    at_drum = loss + RETSPL_HA1 + NORMAL["recd"] - np.interp(np.log(HZ), np.log(normal_hz), normal)
    weight = importance_of(Procedure.THIRD_OCTAVE, material="average_speech")
    limit = np.interp(band_hz, np.log(HZ), at_drum)
    index = speech_intelligibility_index(spectrum, np.full(18, -50.0), limit, weight, Procedure.THIRD_OCTAVE)
    assert one.unaided.sii == pytest.approx(float(index), abs=1e-3)


def test_noise_of_the_recording_is_part_of_the_index(tmp_path):
    """Noise 12 dB below speech everywhere, which no state says: at most 27 dB of the 30 dB range are left (Eq. 12)."""
    loud = normal_speech(30.0)
    just_below = loud - np.array(NORMAL["recd"]) - 12.0
    quiet, noisy = (
        heard(tmp_path / str(n), speech=((65.0, loud),), noise_db=noise, **NORMAL)[0]
        for n, noise in enumerate((-20.0, just_below))
    )
    assert quiet.has_noise
    assert noisy.has_noise
    assert noisy.aided.is_known.tolist() == quiet.aided.is_known.tolist()
    assert 0.8 * quiet.aided.sii < noisy.aided.sii <= 0.9 * quiet.aided.sii  # what spreads upwards comes on top
    assert noisy.unaided.sii == quiet.unaided.sii


def test_the_open_ear_is_that_of_the_age(tmp_path):
    given = NORMAL | {"hl": (20, 25, 30, 40, 50, 55, 60), "speech": ((65.0, normal_speech()),)}
    baby, adult = (heard(tmp_path / str(age), age_months=age, **given)[0].unaided for age in (3, 540))
    assert abs(baby.sii - adult.sii) > 0.01


def test_noise_is_that_of_one_repeat(tmp_path):
    """Four repeats averaged have a quarter of the noise power that a listener hears in one: 6.02 dB."""
    speech = ((65.0, normal_speech(10.0)),)
    results = []
    for noise, repeats in ((30.0 + 10 * np.log10(4), 1), (30.0, 4)):
        case = open_case(heard_case(tmp_path / str(repeats), speech=speech, noise_db=noise, **NORMAL))
        readings, (ear,) = read_all(case.plan, case), run(case.plan, case).ears.values()
        taken = tuple((take, replace(one, repeats=repeats)) for take, one in readings.speech)
        runs = [one.run for one in ear.speech]
        found = heard_speech(runs, ear.thresholds, ear.plan, case.plan.client, replace(readings, speech=taken))
        results.append(found[0].aided.sii)
    assert results[0] == pytest.approx(results[1], abs=1e-9)


def test_bands_above_the_trusted_limit_of_the_route_are_not_known(tmp_path):
    """With the probe 12 mm before the eardrum the RECD ends near 3 kHz (36 kHz mm / 12 mm, F12)."""
    (one,) = heard(tmp_path / "shallow", speech=((65.0, normal_speech(10.0)),), tip_mm=12.0, **NORMAL)
    assert 2000.0 < one.trusted_max_hz < 3500.0
    assert one.aided.is_known[one.aided.frequency_hz <= 2000.0].all()
    assert not one.aided.is_known[one.aided.frequency_hz > one.trusted_max_hz * 1.015].any()
    assert one.aided.bounds[1] > one.aided.bounds[0]
    assert one.bandwidth.average.known_to_hz <= one.trusted_max_hz * 1.015
    assert one.words.groups[-1] == "not_measured"


def test_without_thresholds_the_reason_is_said(tmp_path):
    (one,) = heard(tmp_path / "none", with_thresholds=False)
    assert set(one.why_not.values()) == {
        "No thresholds are known for this ear, and what is audible is a matter of thresholds."
    }
    assert len(one.why_not) == 4


def test_thresholds_without_a_way_to_the_eardrum(tmp_path):
    """Measured in the ear without an RECD: insert thresholds stay on their dial."""
    folder = open_fitting_case(tmp_path / "open")
    text = (folder / "case.toml").read_text()
    dial = 'transducer = "insert"\ncoupler = "ha1"\ncoupling = "foam_tip"'
    (folder / "case.toml").write_text(text.replace('transducer = "supra_aural"', dial))
    case = open_case(folder)
    (one,) = run(case.plan, case).ears["right"].heard
    assert one.aided is None
    assert one.why_not["index"].startswith("The thresholds are not known at the eardrum: carry insert-earphone")


def test_an_open_fitting_is_heard_by_its_reading_in_the_ear(tmp_path):
    case = open_case(open_fitting_case(tmp_path / "open"))
    (one,) = run(case.plan, case).ears["right"].heard
    assert one.trusted_max_hz is None
    assert one.aided.sii > one.unaided.sii > 0.0


def test_speech_of_s6_is_at_the_eardrum_as_given(tmp_path):
    (one,) = heard(tmp_path / "s6", silent=SILENT)
    level = one.run.at_eardrum
    at = [float(level.level_db[level.grid.index(hz)]) for hz in S6_HZ]
    assert at == pytest.approx(list(S6_SPEECH), abs=0.1)


def test_no_speech_nothing_to_hear(tmp_path):
    assert heard(tmp_path / "silent", speech=()) == ()
