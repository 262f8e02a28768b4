"""A fitting judged through a session: guidance, shares, suggestions, two ears, age of the RECD, loud outputs."""

from datetime import date
from math import erf, sqrt

import numpy as np
import pytest
from fitted_case import HEARING, LIMIT, RECD, SPEECH_65, TARGET_65, fitted_case
from open_case import FIELD, REAG, open_case

from umbo.core import Ear, Outcome
from umbo.ear import Closing
from umbo.errors import InputError
from umbo.interchange import open_case as opened
from umbo.session import DRAW_SEED, DRAWS, run, try_change
from umbo.session._judging import loop_findings
from umbo.session._routes import ON_EAR
from umbo.verdict import guidances


def result_of(tmp_path, ears=None, **more):
    case = opened(fitted_case(tmp_path / "case", ears, **more))
    return run(case.plan, case)


def right_of(tmp_path, own=None, **more):
    return result_of(tmp_path, {"right": own or {}}, **more).ears[Ear.RIGHT]


def criteria(ear):
    return {j.criterion: j.outcome for j in ear.verdict.judgements if not j.criterion.startswith("audible")}


def codes(findings):
    return [finding.code for finding in findings]


def test_every_guidance_can_be_declared(tmp_path):
    for one in guidances():
        ear = right_of(tmp_path / one.key, guidance=one.key)
        assert ear.guidance == one
        assert any(j.source.startswith(one.source) or one.source in j.source for j in ear.verdict.judgements)


@pytest.mark.parametrize(
    ("guidance", "expected"),
    [
        ("", {"match_65": Outcome.PASS, "rms_65": Outcome.PASS}),
        ("mccreery_2013", {"rms_65": Outcome.PASS}),
        ("wiseman_2023", {"rms_65": Outcome.CANNOT_TELL}),
        ("bsa", {"match_65": Outcome.PASS, "slope_65": Outcome.PASS}),
    ],
)
def test_s1_by_each_guidance(tmp_path, guidance, expected):
    """Deviations of S1, -1.5/+1/-1/-6: 3.17 dB rms; slopes +2.5/-2/-5 dB per octave. u of the rms is about 1 dB."""
    ear = right_of(tmp_path, guidance=guidance)
    found = criteria(ear)
    loudest = found.pop("maximum_output")
    assert found == expected
    assert loudest is not Outcome.PASS
    assert not ear.verdict.is_verified
    (speech,) = ear.speech
    assert speech.rms.value_db == pytest.approx(3.17, abs=0.005)
    assert [bound.bound_db for bound in speech.rms.bounds] == [5.0, 3.0]


def test_shares_stand_beside_judgements_and_agree_with_them(tmp_path):
    ear = right_of(tmp_path)
    draws = ear.draws
    assert (draws.n, draws.seed) == (DRAWS, DRAW_SEED)
    shares = {j.criterion: j.pass_share for j in ear.verdict.judgements if j.pass_share is not None}
    assert shares == {c.criterion: c.share for c in draws.criteria}
    assert set(shares) == {"match_65", "rms_65", "maximum_output"}
    assert shares["maximum_output"] < 0.5  # 2 dB over at 4 kHz
    assert shares["rms_65"] > 0.5
    assert draws.whole.share <= min(shares.values())
    again = right_of(tmp_path / "again")
    assert again.draws.whole == draws.whole


def test_the_share_of_one_criterion_is_a_normal_probability(tmp_path):
    """With one limit that one frequency reaches, the share is the normal distribution function of d over u."""
    ear = right_of(tmp_path, {"limit": (170, 170, 116, 170)})
    excess = ear.maximum.excess
    d, u = excess.level_db[2], excess.u_db[2]
    expected = 0.5 * (1 - erf(d / u / sqrt(2)))
    share = next(j.pass_share for j in ear.verdict.judgements if j.criterion == "maximum_output")
    assert share == pytest.approx(expected, abs=4 * sqrt(expected * (1 - expected) / DRAWS))


def test_nothing_to_draw_is_no_error(tmp_path):
    folder = fitted_case(tmp_path / "case")
    text = (folder / "case.toml").read_text()
    (folder / "case.toml").write_text(text[: text.index("[[target]]")])
    case = opened(folder)
    ear = run(case.plan, case).ears[Ear.RIGHT]
    assert ear.draws is None
    assert ear.to_try is None


def test_targets_too_close_to_draw_are_said_and_judged(tmp_path):
    folder = fitted_case(tmp_path / "case")
    text = (folder / "case.toml").read_text()
    at = "frequency_hz = [500, 1000, 2000, 4000]\nlevel_db = [78, 83, 90, 96]"
    assert at in text
    close = "frequency_hz = [500, 1000, 2000, 3990, 4000]\nlevel_db = [78, 83, 90, 96, 96]"
    (folder / "case.toml").write_text(text.replace(at, close))
    case = opened(folder)
    ear = run(case.plan, case).ears[Ear.RIGHT]
    assert ("not_drawn" in codes(ear.findings)) == (ear.draws is None)
    assert "rms_65" in criteria(ear)


def test_more_gain_is_not_suggested_where_the_output_is_at_its_limit(tmp_path):
    ear = right_of(tmp_path, {"speech": (47, 70, 70, 36), "limit": (130, 114, 116, 116)})  # 21.5 and 36 dB low
    tried = ear.to_try
    assert tried.input_db_spl == 65.0
    by_hz = {hz: s for s in tried.suggestions for hz in s.frequency_hz}
    assert by_hz[4000.0].change_db == 0  # 2 dB over the limit there
    assert "lower the maximum output first" in by_hz[4000.0].sentence
    room = 130 - 107 - 2 * ear.maximum.excess.u_db[0]  # upper edge for a child
    assert by_hz[500.0].change_db == np.floor(room) < 21
    assert "in the coupler would bring this band closer to the target" in by_hz[500.0].sentence
    assert "as far as the limit of the maximum output allows" in by_hz[500.0].sentence


def test_less_gain_needs_no_room(tmp_path):
    ear = right_of(tmp_path, {"speech": (67, 70, 84, 66)}, guidance="mccreery_2013")  # 13 dB high at 2 kHz
    (one,) = [s for s in ear.to_try.suggestions if s.change_db]
    assert one.frequency_hz == (2000.0,)
    assert one.change_db == -13.0
    predicted = ear.to_try.predicted
    assert predicted.rms_after_db < predicted.rms_before_db
    assert all(j.sentence.startswith("Predicted, not measured:") for j in predicted.judgements)


def test_a_run_in_the_ear_speaks_of_no_coupler(tmp_path):
    case = opened(open_case(tmp_path / "open", curves=(), extra=()))
    ear = run(case.plan, case).ears[Ear.RIGHT]
    said = " ".join([*(s.sentence for s in ear.to_try.suggestions), *ear.verdict.actions])
    assert ear.to_try.suggestions
    assert "in the ear" in said
    assert "coupler" not in said
    assert FIELD.size == REAG.size


def test_exchanged_ears_mirror_each_other(tmp_path):
    """Each aid meets the other ear's target: 12 dB too much on one ear is 12 dB too little on the other."""
    up, down = [t + 6 for t in TARGET_65], [t - 6 for t in TARGET_65]
    near = (*SPEECH_65[:3], 71)  # -1.5/+1/-1/-1 dB from the own target
    result = result_of(tmp_path, {"right": {"target": up, "speech": near}, "left": {"target": down, "speech": near}})
    assert "ears_look_exchanged" in codes(result.findings)
    straight = result_of(tmp_path / "alike", {"right": {}, "left": {}})
    assert codes(straight.findings) == []


def test_s2_a_tube_explains_a_low_recd_and_nothing_else_does(tmp_path):
    """The left ear 15 dB lower at 500 Hz and 5 dB at 1 kHz (S2): with a tube in the left ear that is expected."""
    low = {"recd": (RECD[0] - 15, RECD[1] - 5, RECD[2] - 1, RECD[3] - 0.5)}
    known = result_of(tmp_path / "known", {"right": {}, "left": {**low, "middle_ear": "tube"}}, age_months=54)
    (finding,) = [f for f in known.findings if f.code.startswith("recd_ears")]
    assert finding.severity == "info"
    assert "an open tube in the left eardrum" in finding.text
    for name, left in (("unknown", low), ("effusion", {**low, "middle_ear": "effusion"})):
        other = result_of(tmp_path / name, {"right": {}, "left": left}, age_months=54)
        (finding,) = [f for f in other.findings if f.code.startswith("recd_ears")]
        assert finding.severity == "warn"
        assert "tympanogram" in finding.action
    high = {"recd": (RECD[0], RECD[1], RECD[2], RECD[3] - 9), "middle_ear": "tube"}  # not where a tube acts
    other = result_of(tmp_path / "high", {"right": {}, "left": high}, age_months=54)
    assert [f.severity for f in other.findings if f.code.startswith("recd_ears")] == ["warn"]


def test_s8_left_6_db_below_right_at_2_khz_with_equal_thresholds(tmp_path):
    left = {"speech": (SPEECH_65[0], SPEECH_65[1], SPEECH_65[2] - 6, SPEECH_65[3])}
    result = result_of(tmp_path, {"right": {}, "left": left}, age_months=120)
    (finding,) = [f for f in result.findings if f.code == "aided_ears_differ"]
    assert "left is 6.0 dB" in finding.text
    assert "below right at 2000 Hz" in finding.text
    deaf = {**left, "hearing": [h + 20 for h in HEARING]}
    other = result_of(tmp_path / "deaf", {"right": {}, "left": deaf}, age_months=120)
    assert not {"aided_ears_differ", "sii_ears_differ", "ears_not_compared"} & set(codes(other.findings))


def test_less_audible_speech_in_one_of_two_like_ears_is_said(tmp_path):
    left = {"speech": [level - 8 for level in SPEECH_65]}
    result = result_of(tmp_path, {"right": {}, "left": left}, age_months=120)
    (finding,) = [f for f in result.findings if f.code == "sii_ears_differ"]
    both = {side: ear.heard[0].aided.sii for side, ear in result.ears.items()}
    assert both[Ear.RIGHT] - both[Ear.LEFT] > 0.05
    assert f"is {both[Ear.LEFT]:.2f} left and {both[Ear.RIGHT]:.2f} right" in finding.text
    deaf = {**left, "hearing": [h + 20 for h in HEARING]}
    other = result_of(tmp_path / "deaf", {"right": {}, "left": deaf}, age_months=120)
    assert "sii_ears_differ" not in codes(other.findings)


@pytest.mark.parametrize(("last", "said"), [("ok", 1), ("noisy", 0)])
def test_an_index_that_lacks_bands_of_the_other_ear_is_not_compared(tmp_path, last, said):
    """At 2 kHz the left aid is 8 dB too soft, or below the noise, where nobody knows what is heard."""
    left = {"speech": [level - 8 for level in SPEECH_65]}
    folder = fitted_case(tmp_path / "case", {"right": {}, "left": left}, age_months=120)
    if last == "noisy":
        curve = folder / "left_speech.csv"
        rows = curve.read_text().splitlines()
        curve.write_text(
            "\n".join(r.rsplit(",", 1)[0] + ",90" if r[:4] in ("2000", "1000") else r for r in rows) + "\n"
        )
    case = opened(folder)
    result = run(case.plan, case)
    found = {side: ear.heard[0].aided for side, ear in result.ears.items()}
    assert found[Ear.RIGHT].sii - found[Ear.LEFT].sii > 0.05
    assert codes(result.findings).count("sii_ears_differ") == said


def test_with_one_ear_nothing_is_said_of_two(tmp_path):
    result = result_of(tmp_path, {"right": {}})
    assert not [code for code in codes(result.findings) if "ears" in code]


@pytest.mark.parametrize(
    ("age_months", "day", "is_expired"),
    [(3, "2026-05-10", False), (3, "2026-05-01", True), (30, "2026-03-05", False), (30, "2026-02-20", True)],
)
def test_an_recd_of_an_earlier_day_grows_old(tmp_path, age_months, day, is_expired):
    """4 weeks below 6 months, 3 months from 1 to 3 years; the case is of 1 June 2026."""
    ear = right_of(tmp_path, age_months=age_months, day=day)
    assert ear.recd.measured_on == date.fromisoformat(day)
    assert ear.recd_age.is_expired is is_expired
    assert ("recd_too_old" in codes(ear.findings)) is is_expired


def test_the_age_at_the_recd_counts_and_not_the_age_now(tmp_path):
    """Seven months old now, five when the RECD was taken 61 days ago: 4 weeks, and not 8, were allowed."""
    ear = right_of(tmp_path, age_months=7, day="2026-04-01")
    assert ear.recd_age.limit == "4 weeks"


def test_a_new_mould_ends_an_recd(tmp_path):
    ear = right_of(tmp_path, {"mould": "2026-05-25"}, day="2026-05-20")
    assert "recd_older_than_mould" in codes(ear.findings)
    same_day = right_of(tmp_path / "same", {"mould": "2026-05-25"})
    assert "recd_older_than_mould" not in codes(same_day.findings)


def test_without_a_date_nothing_is_said_of_age(tmp_path):
    ear = right_of(tmp_path, measured="")
    assert (ear.recd_age, ear.recd.measured_on) == (None, None)


def test_loud_outputs_ask_for_care_in_the_coupler_and_at_the_eardrum(tmp_path):
    ear = right_of(tmp_path, {"maximum": (98, 133, 118, 97)}, age_months=400)
    texts = [f.text for f in ear.findings if f.code == "output_above_caution"]
    assert any("in the 2 cc coupler HA-1 exceeds 132 dB SPL at 1000 Hz" in text for text in texts)
    assert any("at the eardrum exceeds 132 dB SPL" in text for text in texts)
    assert not [f for f in right_of(tmp_path / "quiet", {"maximum": (88, 91, 91, 77)}).findings if "caution" in f.code]


def test_a_tried_change_is_arithmetic(tmp_path):
    result = result_of(tmp_path)
    tried = try_change(result, Ear.RIGHT, {2000.0: 3.0, 4000.0: 2.0})
    assert tried.predicted.change_db.tolist() == [0, 0, 3, 2]
    assert tried.predicted.deviation.level_db == pytest.approx([-1.5, 1, 2, -4], abs=0.1)
    assert tried.predicted.rms_after_db == pytest.approx(np.sqrt((1.5**2 + 1 + 4 + 16) / 4), abs=0.05)
    assert tried.margin_after_db - tried.margin_db == pytest.approx([0, 0, -3, -2])
    over = np.array([-3, 0, 1, 2]) + 2 * result.ears[Ear.RIGHT].maximum.excess.u_db
    assert tried.margin_db == pytest.approx(-over, abs=0.1)  # upper edge for a child
    assert tried.predicted.cautions[0].startswith("At 2000, 4000 Hz the maximum output, if it rises with the gain")
    assert len(LIMIT) == tried.margin_db.size


@pytest.mark.parametrize(
    ("ear", "change", "input_db_spl", "said"),
    [
        (Ear.LEFT, {2000.0: 3.0}, None, "the case has only the right ear"),
        (Ear.RIGHT, {3000.0: 3.0}, None, "3000 Hz is not among the 500, 1000, 2000, 4000 Hz of its target"),
        (Ear.RIGHT, {2000.0: 3.0, 2010.0: 1.0}, None, "2000 Hz and 2010 Hz are one band"),
        (Ear.RIGHT, {2000.0: 41.0}, None, "a change of +41 dB at 2000 Hz is none"),
        (Ear.RIGHT, {2000.0: float("nan")}, None, "a change of +nan dB at 2000 Hz is none"),
        (Ear.RIGHT, {-2000.0: 3.0}, None, "-2000 Hz is not among"),
        (Ear.RIGHT, {}, None, "no change is given"),
        (Ear.RIGHT, {2000.0: 3.0}, 55.0, "speech at 55 dB is not among those compared with a target (65 dB)"),
    ],
)
def test_a_change_that_cannot_be_tried_is_refused(tmp_path, ear, change, input_db_spl, said):
    result = result_of(tmp_path)
    with pytest.raises(InputError) as refused:
        try_change(result, ear, change, input_db_spl=input_db_spl)
    assert said in str(refused.value)


def test_an_open_loop_through_the_ear_is_not_mended_at_two_couplers():
    hz = np.array([500.0, 1000.0, 2000.0])
    by = {}
    for routes in (("2 cc coupler HA-1", "0.4 cc coupler"), ("2 cc coupler HA-1", ON_EAR)):
        loop = Closing("speech 65 dB", routes, hz, np.full(3, 9.0), np.full(3, 1.0), np.ones(3, dtype=bool))
        (by[routes[1]],) = loop_findings([loop])
    assert by["0.4 cc coupler"].action.startswith("Check the coupler labels and seals")
    assert by[ON_EAR].action.startswith("Check the probe's place and depth in the ear")
    assert by[ON_EAR].code == "loop_open"


PEAKED = "frequency_hz,level_db,u_db,noise_db\n" + "\n".join(
    f"{hz},{level},0.3,10"
    for hz, level in ((500, 90), (1000, 90), (1413, 118), (2000, 90), (4000, 80), (5623, 114), (8000, 70))
)


@pytest.mark.parametrize(("without", "outcome", "hz"), [("", "fail", 1413.0), ("1413,118", "cannot_tell", 5623.0)])
def test_a_peak_between_or_beyond_the_limits_is_no_pass(tmp_path, without, outcome, hz):
    """Limits at 0.5, 1, 2 and 4 kHz; the RECD is held to 8 kHz by the same curve."""
    folder = fitted_case(tmp_path / "peak", age_months=400)
    for name, plane, more in (("right_coupler", "coupler:ha1", 70), ("right_ear", "probe_tip", 75)):
        rows = "\n".join(f"{f},{more},0.3,10" for f in (500, 1000, 2000, 4000, 8000))
        head = f"# plane: {plane}\n# reference: dB SPL\nfrequency_hz,level_db,u_db,noise_db\n"
        (folder / f"{name}.csv").write_text(f"{head}{rows}\n")
    lines = [line for line in PEAKED.splitlines() if line != f"{without},0.3,10"]
    (folder / "right_mpo.csv").write_text("# plane: coupler:ha1\n# reference: dB SPL\n" + "\n".join(lines) + "\n")
    case = opened(folder)
    ear = run(case.plan, case).ears["right"]
    judged = next(j for j in ear.verdict.judgements if j.criterion == "maximum_output")
    assert judged.outcome == outcome
    worst = max((p for p in judged.points if p.outcome == outcome), key=lambda p: p.deviation_db)
    assert worst.frequency_hz == pytest.approx(hz, rel=0.03)
    assert ear.maximum.excess.frequency_hz.size > 4
    assert not ear.verdict.is_verified
