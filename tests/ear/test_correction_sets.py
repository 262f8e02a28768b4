"""Sets from nHL to eHL: what they give, what they refuse, and what is said about them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from umbo.ear import (
    CorrectionSet,
    ThresholdMethod,
    correction_finding,
    correction_names,
    correction_set,
    estimate_by_set,
    estimate_findings,
    estimate_u_db,
    recorder_finding,
)
from umbo.errors import InputError, NotPossibleHereError, OutOfRangeError

HZ = (500.0, 1000.0, 2000.0, 4000.0)


def regression(slope=(0.8, 0.8, 0.9, 1.0), intercept_db=(4.0, 2.0, 1.0, -2.0)):
    return CorrectionSet(
        name="by level",
        version="1",
        made_for=ThresholdMethod.ABR_TONE,
        frequency_hz=HZ,
        slope=slope,
        intercept_db=intercept_db,
        source="invented",
    )


@pytest.mark.parametrize(
    ("name", "corrections"),
    [
        ("tone-pip-10-10-5-0", (10, 10, 5, 0)),  # from memory
        ("tone-pip-15-10-5-0", (15, 10, 5, 0)),  # from memory
        ("tone-pip-20-15-10-5", (20, 15, 10, 5)),  # from memory
        # about 5 dB less for narrow-band chirps: Ferm et al. 2013, Ferm & Lightfoot 2015 (abstracts read)
        ("narrow-band-chirp-5-5-0-minus-5", (5, 5, 0, -5)),
        ("narrow-band-chirp-10-5-0-minus-5", (10, 5, 0, -5)),
        ("narrow-band-chirp-15-10-5-0", (15, 10, 5, 0)),
    ],
)
def test_every_shipped_set_by_its_numbers(name, corrections):
    shipped = correction_set(name)
    assert shipped.estimate(HZ, (60, 65, 65, 65)) == pytest.approx(
        [n - c for n, c in zip((60, 65, 65, 65), corrections, strict=True)]
    )
    assert not shipped.is_level_dependent
    assert shipped.phrase == f"'{name}', version 1"


def test_no_set_is_left_out_and_none_is_named_for_a_programme():
    assert len(correction_names()) == 6
    assert all(name.startswith(("tone-pip-", "narrow-band-chirp-")) for name in correction_names())


def test_an_unknown_set_is_one_sentence_with_the_known_ones():
    with pytest.raises(InputError) as refused:
        correction_set("tone-pip")
    assert str(refused.value).startswith(
        "correct nHL thresholds by 'tone-pip': no set of that name is known (there are: "
    )
    assert "tone-pip-10-10-5-0" in str(refused.value)


def test_a_regression_follows_the_level():
    assert regression().is_level_dependent
    assert regression().estimate((500.0, 4000.0), (100.0, 50.0)) == pytest.approx([0.8 * 100 + 4, 50 - 2])


@given(nhl=st.floats(0, 120), c=st.floats(-10, 30))
def test_slope_one_is_the_fixed_difference(nhl, c):
    fixed = CorrectionSet.fixed((1000.0,), (c,), name="x", version="", made_for=None, source="invented")
    assert fixed.estimate((1000.0,), (nhl,)) == pytest.approx([nhl - c])  # F1


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"slope": (0.8, 0.8, 0.9)}, "it has 3 slopes and 4 intercepts for 4 frequencies"),
        ({"slope": (0.8, 0.8, 0.9, 0.0)}, "0 is no slope above 0 and at most 2"),
        ({"intercept_db": (1.0, 1.0, 1.0, float("nan"))}, "nan is no slope above 0"),
    ],
)
def test_a_set_that_is_none_is_refused(change, sentence):
    with pytest.raises(InputError, match=sentence):
        regression(**change)


def test_a_frequency_without_a_line_is_refused_and_not_interpolated():
    with pytest.raises(OutOfRangeError) as refused:
        correction_set("tone-pip-10-10-5-0").estimate((1500.0,), (60.0,))
    assert str(refused.value) == (
        "correct the threshold at 1500 Hz by 'tone-pip-10-10-5-0': the set has 500, 1000, 2000, 4000 Hz; leave that "
        "threshold out, or name a set that has it."
    )


def by_set(*, correction="tone-pip-10-10-5-0", method=None, corrected=None):
    named = None if correction is None else correction_set(correction)
    return estimate_by_set(HZ, (60, 65, 65, 65), named, method=method, corrected_by_recorder=corrected)


def test_a_second_correction_is_refused():
    """S1, variant c: the recorder had corrected already, and another correction would give 40, 45, 55, 65."""
    assert by_set(corrected=False) == [50, 55, 60, 65]
    with pytest.raises(InputError, match="the recorder has corrected them already"):
        by_set(corrected=True)


def test_no_set_and_clicks_are_refused():
    with pytest.raises(InputError, match="no correction set is named"):
        by_set(correction=None)
    with pytest.raises(NotPossibleHereError, match="a click excites all frequencies at once"):
        by_set(method=ThresholdMethod.CLICK)


def test_a_set_for_another_stimulus_is_said():
    tones = correction_set("tone-pip-10-10-5-0")
    found = correction_finding(tones, ThresholdMethod.ABR_CHIRP)
    assert found.text == (
        "The thresholds are from narrow-band-chirp ABR; the correction 'tone-pip-10-10-5-0' was made for tone-pip ABR."
    )
    assert correction_finding(tones, ThresholdMethod.ABR_TONE) is None
    assert correction_finding(tones, None) is None
    own = CorrectionSet.fixed(HZ, (0, 0, 0, 0), name="own", version="", made_for=None, source="invented")
    assert correction_finding(own, ThresholdMethod.ASSR) is None


def test_whether_the_recorder_had_corrected_is_asked():
    assert recorder_finding(corrected_by_recorder=None).code == "recorder_correction_not_stated"
    assert recorder_finding(corrected_by_recorder=False) is None


def test_the_warning_on_severe_loss_is_for_fixed_sets():
    fixed = estimate_findings(HZ, (75, 60, 60, 60), (65, 50, 55, 60))
    assert [f.code for f in fixed] == ["estimate_in_severe_loss"]
    assert "28.6 dB in severe to profound loss at 500 Hz" in fixed[0].text  # McCreery et al. 2015, Table 5
    assert estimate_findings(HZ, (75, 60, 60, 60), (65, 50, 55, 60), is_level_dependent=True) == ()


def test_each_kind_of_estimate_has_its_spread():
    tone, chirp, assr = (
        estimate_u_db(m) for m in (ThresholdMethod.ABR_TONE, ThresholdMethod.ABR_CHIRP, ThresholdMethod.ASSR)
    )
    assert tone == pytest.approx(15 / 1.2816, abs=0.01)  # 80 % within 15 dB (Stapells, Gravel & Martin 1995)
    assert tone < chirp < assr
    assert estimate_u_db(None) == tone
