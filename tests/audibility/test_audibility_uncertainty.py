"""Uncertainty of the index: one cause is one error on both sides, and properties that hold for every ear."""

import numpy as np
import pytest
from ear_levels import AUDIOMETRIC_HZ, bands_at_eardrum, cause, responses, speech, threshold
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.audibility import (
    NO_NOISE_DB,
    Draws,
    IndexMethod,
    Procedure,
    audibility,
    band_audibility,
    bands,
    importance,
    internal_noise_spectrum_level,
    masking_spectrum_level,
    speech_intelligibility_index,
)
from umbo.core import PointState
from umbo.errors import InputError

PROCEDURES = st.sampled_from(Procedure)


def index(heard, limit, **more):
    no_response = responses(limit)
    return audibility(heard, limit, no_response=no_response, is_lowering_on=False, trusted_max_hz=None, **more)


def spectra(procedure, low_db, high_db):
    """Whole decibels: a difference of nothing is then nothing."""
    size = bands(procedure).size
    levels = st.lists(st.integers(low_db, high_db), min_size=size, max_size=size)
    return levels.map(lambda values: np.array(values, dtype=float))


@given(st.data(), PROCEDURES)
@settings(max_examples=60, deadline=None)
def test_the_index_lies_between_0_and_1_and_never_rises_with_noise_or_threshold(data, procedure):
    draw = data.draw
    heard, noise = draw(spectra(procedure, -20, 110)), draw(spectra(procedure, -50, 110))
    limit, more = draw(spectra(procedure, -10, 120)), draw(spectra(procedure, 0, 60))
    weight = importance(procedure, material="average_speech")
    first, noisier, deafer = speech_intelligibility_index(
        heard, np.stack([noise, noise + more, noise]), np.stack([limit, limit, limit + more]), weight, procedure
    )
    assert 0.0 <= first <= 1.0
    assert noisier <= first + 1e-12
    assert deafer <= first + 1e-12


@given(st.data())
@settings(max_examples=40, deadline=None)
def test_the_same_error_on_both_sides_acts_through_level_distortion_and_masking_alone(data):
    """An RECD that is wrong moves speech and threshold alike: where the threshold is what disturbs, nothing changes."""
    third = Procedure.THIRD_OCTAVE
    heard, limit = data.draw(spectra(third, 0, 90)), data.draw(spectra(third, 0, 100))
    wrong = data.draw(spectra(third, -20, 20))
    quiet = np.full(18, NO_NOISE_DB)
    pairs = [(heard, limit), (heard + wrong, limit + wrong)]
    right, moved = (band_audibility(e, quiet, t, third, level_distortion=False) for e, t in pairs)
    by_threshold = [
        masking_spectrum_level(e, quiet, third) <= internal_noise_spectrum_level(t, third) for e, t in pairs
    ]
    both = by_threshold[0] & by_threshold[1]
    assert moved[both] == pytest.approx(right[both], abs=1e-9)


def test_a_wrong_recd_cancels_only_where_it_is_one():
    """A loss so large that speech at 90 dB does not mask itself, and level distortion left out: nothing is left."""
    simple = IndexMethod(level_distortion=False)
    one = [cause("recd", 5.0)]
    same = index(speech(causes=one), threshold(50.0, causes=one), method=simple)
    assert same.u_sii < 1e-12
    assert same.interval == pytest.approx((same.sii, same.sii))
    other = index(speech(causes=one), threshold(50.0, causes=[cause("another", 5.0)]), method=simple)
    assert other.u_sii > 0.1


def test_with_level_distortion_a_wrong_recd_does_not_cancel():
    """Speech 30 dB above normal: every decibel costs K / 160."""
    one = [cause("recd", 3.0)]
    found = index(speech(raised_by_db=30.0, causes=one), threshold(50.0, causes=one))
    plain = index(speech(raised_by_db=30.0), threshold(50.0), method=IndexMethod(level_distortion=False))
    assert found.u_sii == pytest.approx(3.0 * plain.sii / 160.0, rel=0.05)


def test_a_small_error_propagates_linearly():
    """First order (JCGM 100 Eq. 10) where no band reaches an end of its range: d sii = sum I / 30 du."""
    flat = bands_at_eardrum(speech().level_db)
    limit = threshold(flat_loss())
    known = index(flat, limit)
    assert known.audibility.min() > 0.2
    assert known.audibility.max() < 0.8
    assert index(speech(causes=[cause("one", 1.0)]), limit).u_sii == pytest.approx(1 / 30, rel=0.03)
    alone = index(speech(causes=[cause("each", 1.0, across="none")]), limit).u_sii
    assert alone == pytest.approx(np.sqrt(np.sum(known.importance**2)) / 30, rel=0.03)
    both = index(speech(causes=[cause("a", 1.0)]), threshold(flat_loss(), causes=[cause("b", 1.0)])).u_sii
    assert both == pytest.approx(np.sqrt(2) / 30, rel=0.03)


def flat_loss():
    """A loss that leaves every band half audible, at the frequencies of the table from which thresholds are made."""
    third = bands(Procedure.THIRD_OCTAVE)
    half = third.normal_speech_db - third.internal_noise_db
    return np.concatenate([[half[0]], half])


def test_a_cause_that_moves_each_band_by_itself_is_shared_too():
    one = [cause("noise", 3.0, across="none")]
    limit = threshold(50.0, hz=bands(Procedure.THIRD_OCTAVE).frequency_hz, causes=one)
    assert index(speech(causes=one), limit, method=IndexMethod(level_distortion=False)).u_sii < 1e-12


def test_noise_has_its_part_of_the_uncertainty():
    sure = index(speech(), threshold(0.0), noise=speech())
    unsure = index(speech(), threshold(0.0), noise=speech(causes=[cause("noise", 2.0)]))
    assert sure.u_sii < 1e-12
    assert unsure.sii == sure.sii
    assert 2 / 30 * 0.95 < unsure.u_sii < 2 / 30 * 1.2  # a louder noise spreads further, too


def test_the_interval_holds_95_percent_of_the_draws_and_the_seed_fixes_it():
    given_ = (speech(causes=[cause("one", 1.0)]), threshold(flat_loss()))
    found = index(*given_)
    low, high = found.interval
    assert (high - low) / found.u_sii == pytest.approx(2 * 1.96, rel=0.04)
    assert index(*given_).interval == found.interval
    assert index(*given_, draws=Draws(seed=3)).interval != found.interval


def test_ends_of_the_range_make_the_interval_lopsided():
    limit = threshold(5.0, hz=AUDIOMETRIC_HZ)
    found = index(speech(causes=[cause("one", 4.0)]), limit)
    low, high = found.interval
    assert high <= 1.0
    assert found.sii - low > 2 * (high - found.sii)


def test_too_few_draws_are_refused():
    with pytest.raises(InputError, match="draw 100 or more"):
        Draws(n=10)


def test_a_band_that_is_not_counted_adds_no_uncertainty():
    """All of the uncertainty lies in 1 kHz, and 1 kHz is not known."""
    where = bands(Procedure.THIRD_OCTAVE).frequency_hz == 1000.0
    unsure = speech(causes=[cause("one", np.where(where, 5.0, 0.0))])
    limit = threshold(50.0)
    assert index(unsure, limit).u_sii > 0.003
    assert index(unsure.marked(PointState.STANDING_WAVE, where, "a reason"), limit).u_sii < 1e-12
