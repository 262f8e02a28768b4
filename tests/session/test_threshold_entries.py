"""How thresholds and discomfort levels of a case come through a session: routes, marks, findings, limits."""

import numpy as np
import pytest
from curve_case import HZ, numbers, s1_case

from umbo.core import Ear, PlaneKind, PointState
from umbo.errors import CaseError
from umbo.interchange import open_case
from umbo.record import verify_answer
from umbo.session import run

OWN = 'scale = "nHL"\ncorrection = "scenario protocol"'
S1_EARDRUM_DB = [65.0, 68.0, 78.5, 86.0]  # scenario S1, F2


def result(folder):
    case = open_case(folder)
    return run(case.plan, case)


def right(folder):
    return result(folder).ears[Ear.RIGHT]


def case(tmp_path, *changes, **more):
    return s1_case(tmp_path / "s1", changes=changes, **more)


def codes(ear):
    return [finding.code for finding in ear.findings]


def without_limit(folder):
    path = folder / "case.toml"
    text = path.read_text()
    path.write_text(text[: text.index('[[target]]\nname = "limit"')])
    return folder


def extra(folder, text):
    path = folder / "case.toml"
    path.write_text(path.read_text() + text)
    return folder


def test_s1_by_a_shipped_set(tmp_path):
    ear = right(case(tmp_path, (OWN, 'scale = "nHL"\ncorrection = "tone-pip-10-10-5-0"\nmethod = "abr_tone"')))
    assert ear.thresholds.entered.level_db == pytest.approx([50, 55, 60, 65])  # F1
    assert ear.thresholds.at_eardrum.level_db == pytest.approx(S1_EARDRUM_DB, abs=0.1)
    assert ear.thresholds.route.startswith("dB eHL by 'tone-pip-10-10-5-0', version 1 + RETSPL 2 cc coupler HA-1")
    assert "recorder_correction_not_stated" in codes(ear)


def test_s1_corrected_by_the_recorder_is_entered_as_an_estimate(tmp_path):
    recorded = numbers((50, 55, 60, 65))
    changes = (
        (OWN, 'scale = "eHL"\ncorrected_by_recorder = true'),
        (f"level_db = {numbers((60, 65, 65, 65))}", f"level_db = {recorded}"),
    )
    ear = right(case(tmp_path, *changes))
    assert ear.thresholds.at_eardrum.level_db == pytest.approx(S1_EARDRUM_DB, abs=0.1)
    assert "recorder_correction_not_stated" not in codes(ear)


def test_s1_corrected_twice_is_refused(tmp_path):
    """Variant c: 40, 45, 55, 65 dB eHL never come to be."""
    folder = case(tmp_path, (OWN, f"{OWN}\ncorrected_by_recorder = true"))
    with pytest.raises(CaseError, match="corrected_by_recorder is true although the scale is nHL"):
        open_case(folder)


def test_a_regression_of_the_case_is_used_and_not_warned_about_as_fixed(tmp_path):
    own = '[corrections."scenario protocol"]\n'
    fixed = f"frequency_hz = {numbers(HZ)}\nlevel_db = [10, 10, 5, 0]\n"
    line = f"frequency_hz = {numbers(HZ)}\nslope = [0.8, 0.9, 1.0, 1.0]\nintercept_db = [5, 0, -5, 0]\n"
    ear = right(case(tmp_path, (own + fixed, own + line), nhl=(80, 65, 65, 65)))
    assert ear.thresholds.entered.level_db == pytest.approx([0.8 * 80 + 5, 0.9 * 65, 60, 65])
    assert "estimate_in_severe_loss" not in codes(ear)


def test_a_chirp_with_a_set_for_tone_pips_is_said(tmp_path):
    ear = right(case(tmp_path, (OWN, 'scale = "nHL"\ncorrection = "tone-pip-10-10-5-0"\nmethod = "abr_chirp"')))
    assert "correction_of_other_stimulus" in codes(ear)


def test_minimum_response_levels_are_called_so(tmp_path):
    ear = right(case(tmp_path, (OWN, 'scale = "HL"\nmethod = "vra"\nreliability = "fair"')))
    assert ear.thresholds.entered.tags.quantity == "minimum response level"
    assert ear.thresholds.entered.u_db == pytest.approx(np.hypot(5.0, 5.0))
    assert "minimum_response_levels" in codes(ear)
    assert ear.speech[0].sensation is not None


def test_a_bound_stays_a_bound_at_the_eardrum_and_in_audibility(tmp_path):
    changes = ((OWN, 'scale = "HL"\nno_response = [false, false, false, true]'),)
    ear = right(case(tmp_path, *changes))
    assert ear.thresholds.no_response == (False, False, False, True)
    for level in (ear.thresholds.entered, ear.thresholds.at_eardrum, ear.speech[0].sensation):
        assert level.state_at(4000) is PointState.WITHDRAWN
    heard = next(j for j in ear.verdict.judgements if j.criterion == "audible_65")
    # third-octaves from 500 to 2000 Hz; those between 2 and 4 kHz lean on the bound
    assert "at 7 of 7 frequencies that can be told" in heard.sentence


def test_points_are_filled_in_on_request_only(tmp_path):
    ear = right(case(tmp_path, (OWN, f"{OWN}\nfill_in_hz = [1500, 3000, 6000]")))
    assert ear.thresholds.entered.frequency_hz.tolist() == [500, 1000, 1500, 2000, 3000, 4000]
    assert ear.thresholds.at_eardrum.state_at(1500) is PointState.INTERPOLATED
    assert ear.thresholds.no_response == (False,) * 6
    unfilled = next(f for f in ear.findings if f.code == "not_filled_in")
    assert "at 6000 Hz: it lies outside what was measured" in unfilled.text


def test_no_point_is_filled_in_beside_a_bound(tmp_path):
    keys = 'scale = "HL"\nno_response = [false, false, false, true]\nfill_in_hz = [3000]'
    ear = right(case(tmp_path, (OWN, keys)))
    assert "not_filled_in" in codes(ear)
    assert ear.thresholds.entered.grid.size == 4


def test_a_measured_redd_replaces_the_average(tmp_path):
    changes = (
        (OWN, 'scale = "HL"\nredd_db = [12, 10, 15, 13]'),
        ('transducer = "insert"\ncoupler = "ha1"\ncoupling = "foam_tip"', 'transducer = "supra_aural"'),
    )
    ear = right(case(tmp_path, *changes))
    assert ear.thresholds.route == "dB HL + measured REDD (F3)"
    assert ear.thresholds.at_eardrum.level_db == pytest.approx([72, 75, 80, 78])


DISCOMFORT = (
    f'\n[ear.right.discomfort]\nscale = "SPL"\nfrequency_hz = {numbers(HZ)}\nlevel_db = [110, 114, 116, 118]\n'
    "no_response = [false, false, false, true]\n"
)


def test_discomfort_at_the_eardrum_is_taken_as_it_is(tmp_path):
    ear = right(extra(case(tmp_path), DISCOMFORT))
    assert ear.discomfort.entered.plane.kind is PlaneKind.EARDRUM
    assert ear.maximum.limit.level_db.tolist() == [110, 114, 116, 118]
    assert ear.maximum.limit_source == "discomfort levels, dB SPL at the eardrum, by a probe"
    judged = next(j for j in ear.verdict.judgements if j.criterion == "maximum_output")
    last = judged.points[-1]
    assert (str(last.outcome), last.is_measured) == ("cannot_tell", False)  # no discomfort at that level: a bound
    assert "no discomfort at this level" in last.reason


FITTING = '[ear.right.fitting]\nprescription = "none"'
PREDICTION = (FITTING, f'{FITTING}\ndiscomfort_prediction = "constant-100-db-spl"')


def test_discomfort_is_predicted_only_when_chosen(tmp_path):
    assert right(without_limit(s1_case(tmp_path / "plain"))).maximum.limit is None
    ear = right(without_limit(case(tmp_path, PREDICTION)))
    assert ear.discomfort.is_predicted
    assert ear.maximum.limit.level_db == pytest.approx([100.0] * 4)
    assert ear.maximum.limit_source.startswith("predicted discomfort levels, predicted by 'constant-100-db-spl'")
    assert "discomfort_predicted" in codes(ear)
    judged = next(j for j in ear.verdict.judgements if j.criterion == "maximum_output")
    assert str(judged.outcome) == "cannot_tell"  # 107, 114, 117, 118 dB SPL against 100 ± 10 dB
    record = verify_answer(result(tmp_path / "s1")).ears["right"].discomfort
    assert record.predicted
    assert record.scale == "nHL"


def test_an_imported_limit_comes_before_a_prediction(tmp_path):
    ear = right(case(tmp_path, PREDICTION))
    assert ear.maximum.limit_source.startswith("imported limit")


def test_below_a_prediction_nothing_is_shown_to_be_safe_for_an_adult_either(tmp_path):
    folder = without_limit(case(tmp_path, PREDICTION, ("age_months = 3", "age_months = 500")))
    mpo = folder / "mpo.csv"
    mpo.write_text(mpo.read_text().replace("98,", "80,").replace("101,", "80,").replace("97,", "75,"))
    ear = right(folder)  # 89, 93, 96, 96 dB SPL: below 100, but not by twice the spread
    judged = next(j for j in ear.verdict.judgements if j.criterion == "maximum_output")
    assert str(judged.outcome) == "cannot_tell"


def test_a_rule_of_ones_own_on_the_dial_goes_the_thresholds_way(tmp_path):
    name = PREDICTION[1].replace("constant-100-db-spl", "line")
    rule = (
        '\n[discomfort_rules.line]\nscale = "HL"\nslope = 0.5\nintercept_db = 70.0\nu_db = 9.0\nsource = "invented"\n'
    )
    ear = right(extra(without_limit(case(tmp_path, (PREDICTION[0], name))), rule))
    assert ear.discomfort.entered.level_db == pytest.approx([95, 97.5, 100, 102.5])
    # dial + RETSPL HA-1 + RECD, as the thresholds: + 15, + 13, + 18.5, + 21
    assert ear.discomfort.at_eardrum.level_db == pytest.approx([110, 110.5, 118.5, 123.5], abs=0.1)


def test_a_threshold_nobody_can_have_points_at_the_reference(tmp_path):
    low = (f"level_db = {numbers((60, 65, 65, 65))}", f"level_db = {numbers((-18, 65, 65, 65))}")
    changes = (
        (OWN, 'scale = "HL"'),
        ('transducer = "insert"\ncoupler = "ha1"\ncoupling = "foam_tip"', 'transducer = "supra_aural"'),
    )
    assert "threshold_below_audibility" in codes(right(case(tmp_path, low, *changes)))


def left(keys, level_db):
    return (
        '\n[ear.left]\nmiddle_ear = "normal"\n[ear.left.thresholds]\n'
        f"{keys}\nfrequency_hz = {numbers(HZ)}\nlevel_db = {numbers(level_db)}\n"
    )


def test_two_ears_are_compared(tmp_path):
    insert = 'scale = "HL"\ntransducer = "insert"\ncoupler = "ha1"\ncoupling = "foam_tip"'
    found = result(extra(case(tmp_path, (OWN, 'scale = "HL"')), left(insert, (0, 0, 0, 0)))).findings
    assert {f.code for f in found} >= {"asymmetric_thresholds", "threshold_may_be_the_other_ears"}


def test_sound_field_thresholds_entered_for_both_ears(tmp_path):
    field = 'scale = "HL"\ntransducer = "sound_field"'
    changes = (
        (OWN, 'scale = "HL"'),
        ('transducer = "insert"\ncoupler = "ha1"\ncoupling = "foam_tip"', 'transducer = "sound_field"'),
    )
    answer = result(extra(case(tmp_path, *changes), left(field, (60, 65, 65, 65))))
    assert "identical_sound_field" in [f.code for f in answer.findings]
    assert "sound_field_better_ear" in codes(answer.ears[Ear.RIGHT])


def test_extended_high_frequencies_reach_the_eardrum_by_the_ear_simulator(tmp_path):
    hz, levels = (500, 1000, 2000, 4000, 9000, 12500), (40, 40, 40, 40, 50, 60)
    text = (
        '\n[ear.left]\nmiddle_ear = "normal"\nrecd = "adult_average"\n[ear.left.thresholds]\nscale = "HL"\n'
        'transducer = "insert"\ncoupler = "oes"\ncoupling = "foam_tip"\n'
        f"frequency_hz = {numbers(hz)}\nlevel_db = {numbers(levels)}\n"
    )
    ear = result(extra(case(tmp_path), text)).ears[Ear.LEFT]
    assert ear.thresholds.at_eardrum.level_db[-2:] == pytest.approx([50 + 16.0, 60 + 37.0])  # ISO 389-5:2006
    assert "two_insert_references" in codes(ear)
    folder = tmp_path / "s1" / "case.toml"
    folder.write_text(folder.read_text().replace('coupler = "oes"', 'coupler = "ha1"'))
    refused = result(tmp_path / "s1").ears[Ear.LEFT].thresholds
    assert "the highest tabulated frequency is 8000 Hz" in refused.why_not


@pytest.mark.parametrize("scale", ["HL", "SPL"])
def test_without_a_way_to_the_eardrum_nothing_is_predicted_there(tmp_path, scale):
    rule = f'\n[discomfort_rules.line]\nscale = "{scale}"\nslope = 0.5\nintercept_db = 70.0\nu_db = 9.0\nsource = "x"\n'
    folder = extra(
        without_limit(case(tmp_path, (PREDICTION[0], PREDICTION[1].replace("constant-100-db-spl", "line")))), rule
    )
    path = folder / "case.toml"
    text = path.read_text()
    start, stop = text.index('[[curve]]\nname = "coupler"'), text.index('[[curve]]\nname = "speech 65"')
    path.write_text(text[:start] + text[stop:])  # no RECD
    ear = right(folder)
    assert "no RECD re the 2 cc coupler HA-1 was measured" in ear.thresholds.why_not
    if scale == "SPL":
        assert ear.discomfort is None
    else:
        assert ear.discomfort.at_eardrum is None
        assert ear.discomfort.why_not == ear.thresholds.why_not
