"""Tests of an aid by itself through a session: what is measured, what is not and why, and what is compared."""

import numpy as np
import pytest
from aid_port import FULL_ON, REFERENCE, AidCase, settings, sweep

from umbo.aid import DataSheet, InputRoute, Item, Volume
from umbo.core import CouplerKind, Ear, Outcome, Plane, Severity
from umbo.errors import NotPossibleHereError
from umbo.session import AidTestPlan, EnteredReadings, run_aid


def run(case, **how):
    return run_aid(case.plan(), case, **how)


def linear(case=None, gain_db=30.0, **how):
    """OSPL90, full-on gain and response of an aid of one gain."""
    case = case or AidCase()
    return (
        case.swept("output_90", 90.0, gain_db, set_to=FULL_ON, **how)
        .swept("full_on_gain", 50.0, gain_db, set_to=FULL_ON, **how)
        .swept("reference_response", 60.0, gain_db, **how)
    )


def values(aid):
    return {measure.item: measure.value for measure in aid.sheet_tests.measures}


def codes(findings):
    return {finding.code for finding in findings}


def test_levels_and_gains_of_a_linear_aid():
    """120 dB SPL at 90 dB input is 30 dB of gain; the reference test gain is the lower of 120 - 77 and 30 dB."""
    (aid,) = run(linear()).aids
    found = values(aid)
    assert found[Item.HFA_OSPL90] == pytest.approx(120.0, abs=0.1)
    assert found[Item.HFA_FULL_ON_GAIN] == pytest.approx(30.0, abs=0.1)
    assert aid.sheet_tests.reference.is_full_on
    assert aid.outcome is Outcome.PASS
    assert aid.sheet_tests.output_90.high_frequency_average.u == pytest.approx(0.3, abs=0.01)  # the calibration


def test_averages_are_read_at_their_exact_frequencies():
    (aid,) = run(linear()).aids
    hz = aid.sheet_tests.output_90.curve.frequency_hz
    assert {1000.0, 1600.0, 2500.0} <= set(hz.tolist())
    assert np.all(np.diff(hz) > 0)


def test_a_case_without_tests_is_not_possible_here():
    case = AidCase().swept("check_source", 70.0, 0.0, set_to=None)
    with pytest.raises(NotPossibleHereError, match="no recording in it says which test it is"):
        run(case)


def test_input_noise_is_referred_by_the_gain_of_its_settings():
    """White noise of 60 dB SPL to 24 kHz holds 53.0 dB from 200 Hz to 5 kHz; less 30 dB of gain is 23.0 dB."""
    (aid,) = run(linear().quiet(60.0)).aids
    measure = aid.sheet_tests.input_noise.total
    assert measure.value == pytest.approx(60 + 10 * np.log10(4800 / 24000) - 30, abs=0.2)
    assert "noise_by_other_gain" in codes(aid.sheet_tests.input_noise.findings)
    found = next(f for f in aid.findings if f.code == "noise_by_other_gain")
    assert found.severity is Severity.INFO  # linear: the gain at 60 dB is that at 50 dB


def test_input_noise_without_a_gain_says_so():
    (aid,) = run(AidCase().quiet(60.0)).aids
    assert aid.sheet_tests.input_noise is None
    (missing,) = aid.unmeasured
    assert "no gain at the settings 'reference'" in missing.why
    assert aid.outcome is Outcome.CANNOT_TELL


def test_a_compressive_aid_is_warned_about():
    on = settings("user", compression="on")
    case = AidCase().swept("reference_response", 60.0, 30.0, set_to=on).quiet(60.0, set_to=on)
    (aid,) = run(case).aids
    found = next(f for f in aid.findings if f.code == "noise_by_other_gain")
    assert found.severity is Severity.WARN
    assert "stimulus_matters" in codes(aid.findings)


def test_the_background_is_taken_out_of_the_noise():
    loud = run(linear().quiet(60.0)).aids[0].sheet_tests.input_noise.total.value
    case = linear().quiet(60.0).quiet(52.0, test="background", set_to=None)
    clean = run(case).aids[0].sheet_tests.input_noise.total.value
    assert clean == pytest.approx(loud + 10 * np.log10(1 - 10**-0.8), abs=0.15)
    drowned = run(linear().quiet(60.0).quiet(57.0, test="background", set_to=None)).aids[0]
    assert "told from the noise of the coupler's microphone" in drowned.unmeasured[0].why


def test_a_second_take_of_a_test_is_not_mixed_in():
    (aid,) = run(linear().swept("output_90", 90.0, 20.0, set_to=FULL_ON, name="again")).aids
    assert values(aid)[Item.HFA_OSPL90] == pytest.approx(120.0, abs=0.1)
    assert "'again' is a second take" in aid.unmeasured[0].why


def sheet(**nominal):
    return DataSheet(name="sheet", plane=Plane.coupler("ha1"), standard="ANSI S3.22", nominal=nominal)


def test_a_sheet_is_judged_in_its_coupler_only():
    tests = AidTestPlan(
        data_sheet=DataSheet(
            name="sheet", plane=Plane.coupler("ha1"), standard="ANSI S3.22", nominal={Item.HFA_OSPL90: 112.0}
        ),
        box_u_db=0.0,
    )
    case = linear(linear(AidCase(tests)), gain_db=44.0, coupler=CouplerKind.CC04)
    result = run(case)
    by_kind = {aid.kind: aid for aid in result.aids}
    (item,) = by_kind[CouplerKind.HA1].sheet.items
    assert item.outcome is Outcome.FAIL  # 120 against 112 ± 4 dB
    assert by_kind[CouplerKind.CC04].sheet is None
    ((ear, pair),) = result.comparisons.couplers
    assert ear is Ear.RIGHT
    assert pair.step.value_at(1000) == pytest.approx(14.0, abs=0.1)  # as planted


def test_typed_in_current_is_judged():
    entered = {Ear.RIGHT: EnteredReadings(battery_current_ma=1.75, battery_current_u_ma=0.1, settings=REFERENCE)}
    nominal = DataSheet(name="sheet", plane=Plane.coupler("ha1"), standard="", nominal={Item.BATTERY_CURRENT: 1.4})
    (aid,) = run(linear(AidCase(AidTestPlan(data_sheet=nominal, entered=entered)))).aids
    (item,) = aid.sheet.items
    assert item.outcome is Outcome.CANNOT_TELL  # 1.75 over 1.68 mA by less than twice 0.1 mA


def test_an_unstated_level_of_the_box_is_said():
    assert "box_level_exact" in codes(run(linear(AidCase(AidTestPlan()))).findings)
    assert "box_level_exact" not in codes(run(linear(AidCase(AidTestPlan(box_u_db=0.5)))).findings)
    (aid,) = run(linear(AidCase(AidTestPlan(box_u_db=0.5)))).aids
    assert aid.sheet_tests.full_on_gain.high_frequency_average.u == pytest.approx(np.hypot(0.3, 0.5), abs=0.01)


def test_a_drift_since_the_earlier_run_is_told():
    """3 dB less than earlier with one microphone: its calibration cancels, and 3 dB are beyond 2 dB."""
    result = run(linear(linear(run="earlier"), gain_db=27.0))
    changes = {c.now.item: c.difference for c in result.comparisons.changes[Ear.RIGHT]}
    hfa = changes[Item.HFA_OSPL90]
    assert hfa.change == pytest.approx(-3.0, abs=0.05)
    assert hfa.is_significant
    assert hfa.u < 0.05
    assert "run_drift" in codes(result.findings)
    assert {one.difference.tags.quantity for one in result.comparisons.runs} == {
        "change of the OSPL90",
        "change of the response",
    }


def test_two_ears_set_alike_are_compared_and_others_not():
    result = run(linear(linear(), gain_db=22.0, ear=Ear.LEFT))
    first = result.comparisons.ears[0].difference
    assert first.value_at(1000) == pytest.approx(-8.0, abs=0.1)
    assert "ears_difference" in codes(result.findings)
    other = settings("reference", Volume.REFERENCE, directional="on")
    case = AidCase().swept("reference_response", 60.0, 30.0).swept(
        "reference_response", 60.0, 22.0, ear=Ear.LEFT, set_to=other
    )  # fmt: skip
    assert run(case).comparisons.ears == ()


def test_one_ear_alone():
    case = linear(linear(), gain_db=22.0, ear=Ear.LEFT)
    assert {aid.ear for aid in run(case, ears=[Ear.LEFT]).aids} == {Ear.LEFT}


@pytest.mark.parametrize(("drift_db", "severity"), [(0.5, None), (1.4, Severity.WARN), (2.5, Severity.STOP)])
def test_drift_of_the_check_source(drift_db, severity):
    """Warn above 1 dB, stop above 2 dB (common practice, no source); a stop forbids a pass."""
    case = linear().swept("check_source", 70.0, 0.0, set_to=None, run="earlier")
    result = run(case.swept("check_source", 70.0, drift_db, set_to=None))
    (check,) = result.comparisons.check_source
    assert check.change_db == pytest.approx(drift_db, abs=0.05)
    assert (None if check.finding is None else check.finding.severity) is severity
    assert result.outcome is (Outcome.CANNOT_TELL if severity is Severity.STOP else Outcome.PASS)


def directional(state, front_db, back_db):
    set_to = settings("user", Volume.AS_FITTED, directional=state)
    case = AidCase().sounded("front", front_db, set_to=set_to).sounded("back", back_db, set_to=set_to)
    (aid,) = run(case).aids
    (check,) = aid.features.checks
    return check


def test_front_and_back():
    assert directional("on", 30.0, 22.0).value == pytest.approx(8.0, abs=0.01)
    assert directional("on", 30.0, 22.0).outcome is Outcome.PASS
    assert "reversed" in directional("on", 22.0, 30.0).sentence
    assert directional("off", 30.0, 29.0).outcome is Outcome.PASS
    assert directional("unknown", 30.0, 22.0).outcome is Outcome.CANNOT_TELL


def test_half_a_pair_is_no_check():
    (aid,) = run(AidCase().sounded("front", 30.0)).aids
    assert aid.features.checks == ()
    assert "needs the test 'back'" in aid.unmeasured[0].why


def test_remote_microphone_at_its_three_frequencies():
    """S8: 2.33 dB too soft fails ±2 dB."""
    case = AidCase().sounded("remote_microphone", 30.0).sounded(
        "remote_microphone", 30.0 - 2.33, route=InputRoute.REMOTE_MICROPHONE
    )  # fmt: skip
    (check,) = run(case).aids[0].features.remote
    assert check.frequency_hz == (750.0, 1000.0, 2000.0)
    assert check.offset_db == pytest.approx(-2.33, abs=0.01)
    assert check.outcome is Outcome.FAIL
    alone = run(AidCase().sounded("remote_microphone", 30.0)).aids[0]
    assert "input = 'remote_microphone' was not recorded" in alone.unmeasured[0].why


def test_noise_reduction_needs_quiet_before():
    on = settings("on", noise_reduction="on")
    case = AidCase().sounded("noise", 30.0, seconds=14.0).sounded("noise", 22.0, seconds=14.0, set_to=on)
    (aid,) = run(case).aids
    assert "begin it after quiet" in aid.unmeasured[0].why
    case = AidCase()
    for gain_db, set_to in ((30.0, REFERENCE), (22.0, on)):
        case.sounded("noise", gain_db, seconds=14.0, set_to=set_to, lead_in="silence")
    (found,) = run(case).aids[0].features.noise_reductions
    assert found.check.value == pytest.approx(8.0, abs=0.05)


def test_a_lone_noise_run_has_no_partner():
    (aid,) = run(AidCase().sounded("noise", 30.0, lead_in="silence", seconds=14.0)).aids
    assert "has no partner" in aid.unmeasured[0].why


def test_speech_against_noise_where_nothing_was_recorded_with_the_feature_off():
    on = settings("on", noise_reduction="on")
    case = AidCase().sounded("noise", 30.0, kind="speech", set_to=on).sounded("noise", 24.0, set_to=on, seed=78)
    (check,) = run(case).aids[0].features.checks
    assert check.check == "noise_against_speech"
    assert check.value == pytest.approx(6.0, abs=0.1)


def test_telecoil_needs_the_response():
    case = AidCase()
    stimulus = case.stimulus_of("exponential_sweep", None, 0.5 * sweep(), field_a_per_m=0.0316)
    case.add("telecoil", stimulus, 0.01 * sweep(), route=InputRoute.TELECOIL)
    (aid,) = run(case).aids
    assert "needs the test 'reference_response'" in aid.unmeasured[0].why


def test_speech_gain_and_compression_between_levels():
    """25 and 20 dB of gain at 55 and 65 dB: 5 dB out for 10 dB in, a ratio of 2."""
    case = AidCase().sounded("speech", 25.0, kind="speech", level_db_spl=55.0)
    case.sounded("speech", 20.0, kind="speech", level_db_spl=65.0)
    (aid,) = run(case).aids
    assert [test.level_db_spl for test in aid.features.speech] == [55.0, 65.0]
    assert aid.features.speech[0].gain.value_at(1000) == pytest.approx(25.0, abs=0.05)
    at = aid.features.compression.grid.index(1000)
    assert aid.features.compression.ratio[at] == pytest.approx(2.0, abs=0.02)
    alone = [finding for finding in aid.findings if finding.code == "noise_not_known"]
    assert len(alone) == 1  # two recordings with one repeat share their warning
    assert alone[0].text.startswith("2 recordings")


@pytest.mark.parametrize(("noise_db_spl", "outcome"), [(45.0, Outcome.FAIL), (70.0, Outcome.CANNOT_TELL)])
def test_expansion_hidden_by_the_own_noise_is_no_fault(noise_db_spl, outcome):
    """Declared on and not there: a fault if the aid is quiet (EIN 8 dB), not to be told if it is not (EIN 33 dB)."""
    on = settings("user", expansion="on")
    levels = [20.0, 30.0, 40.0, 50.0, 60.0]
    case = linear().quiet(noise_db_spl).stepped("expansion", levels, 30.0, set_to=on)
    (check,) = run(case).aids[0].features.checks
    assert check.value == pytest.approx(1.0, abs=0.02)
    assert check.outcome is outcome
    assert ("own noise of 33 dB SPL" in check.sentence) is (outcome is Outcome.CANNOT_TELL)


def test_ratio_of_an_input_output_curve():
    """Rising by 5 dB for 10 dB in is a ratio of 2."""
    on = settings("dynamic", compression="on")
    levels = [50.0, 60.0, 70.0, 80.0, 90.0]
    case = AidCase().stepped("input_output", levels, [30.0, 25.0, 20.0, 15.0, 10.0], set_to=on)
    (curve,) = run(case).aids[0].sheet_tests.input_output
    assert curve.ratio.value == pytest.approx(2.0, abs=0.02)
