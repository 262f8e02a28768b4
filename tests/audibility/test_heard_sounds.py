"""What a family is told: words, no numbers, and "could not measure" where that is so."""

import re
from itertools import pairwise

import numpy as np
import pytest
from ear_levels import bands_at_eardrum, responses, speech, threshold
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.audibility import SOUND_GROUPS, Draws, Procedure, Told, audibility, bands, heard_sounds
from umbo.core import PointState

FEW = Draws(n=100)
HZ = [125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0]


def found(heard, limit, no_response=None):
    flags = responses(limit) if no_response is None else no_response
    return audibility(heard, limit, no_response=flags, is_lowering_on=False, trusted_max_hz=None, draws=FEW)


def test_a_steep_loss_in_three_sentences():
    limit = threshold([10.0, 10.0, 10.0, 45.0, 70.0, 90.0, 100.0], hz=HZ)
    levels = {55.0: speech(raised_by_db=-7.0), 65.0: speech(raised_by_db=3.0), 80.0: speech(raised_by_db=18.0)}
    said = heard_sounds({level: found(heard, limit) for level, heard in levels.items()})
    assert [words.input_db_spl for words in said] == [55.0, 65.0, 80.0]
    assert said[0].sentence == (
        "When someone speaks softly, vowels and other low sounds are loud enough to be heard well; consonants "
        "of middle pitch such as d and g, and also thin, high sounds such as s and f are too soft to be heard."
    )
    assert said[1].sentence.startswith(
        "When someone speaks in an ordinary voice, vowels and other low sounds are loud "
    )
    assert said[2].sentence.startswith("When someone speaks loudly, ")
    assert said[2].groups[2] is Told.NOT


def test_everything_and_nothing():
    well, nothing = (heard_sounds({65.0: found(speech(), threshold(level))})[0] for level in (0.0, 110.0))
    assert well.groups == (Told.WELL,) * 3
    assert well.sentence == (
        "When someone speaks in an ordinary voice, vowels and other low sounds, consonants of middle pitch such as d "
        "and g, and also thin, high sounds such as s and f are loud enough to be heard well."
    )
    assert nothing.groups == (Told.NOT,) * 3


def test_what_was_not_measured_is_said():
    marked = speech().marked(PointState.BELOW_NOISE, speech().frequency_hz > 2800.0, "too close to the noise")
    said = heard_sounds({65.0: found(marked, threshold(0.0))})[0]
    assert said.groups == (Told.WELL, Told.WELL, Told.NOT_MEASURED)
    assert "thin, high sounds such as s and f are something we could not measure" in said.sentence


def test_no_response_below_the_speech_is_not_called_heard():
    limit = threshold(20.0, hz=HZ)
    flags = np.array(HZ) >= 4000.0
    assert heard_sounds({65.0: found(speech(), limit, flags)})[0].groups[2] is Told.NOT_MEASURED
    deaf = threshold([20.0] * 4 + [60.0, 110.0, 110.0], hz=HZ)
    assert heard_sounds({65.0: found(speech(), deaf, flags)})[0].groups[2] is Told.NOT


@given(st.integers(30, 100), st.integers(-10, 110), st.integers(40, 95))
@settings(max_examples=40, deadline=None)
def test_no_number_is_ever_told(level, loss, input_db):
    words = heard_sounds({float(input_db): found(bands_at_eardrum(float(level)), threshold(float(loss)))})[0]
    assert not re.search(r"\d|%|per ?cent|score|half|index", words.sentence)
    assert words.sentence.endswith(".")
    assert words.sentence.count(".") == 1


@pytest.mark.parametrize(("lower", "upper"), list(pairwise(SOUND_GROUPS)))
def test_groups_meet(lower, upper):
    assert lower.below_hz == upper.from_hz


def test_every_group_has_bands_in_both_procedures():
    for procedure in (Procedure.THIRD_OCTAVE, Procedure.OCTAVE):
        hz = bands(procedure).frequency_hz
        assert all(((hz >= g.from_hz) & (hz < g.below_hz)).any() for g in SOUND_GROUPS)


def test_loud_speech_is_not_called_soft():
    """Level distortion takes three eighths of the index of speech 70 dB above normal, and nothing of its loudness."""
    heard = found(speech(raised_by_db=70.0), threshold(55.0))
    assert heard.distortion == pytest.approx(1 - 60 / 160)
    assert heard.audibility.max() < 2 / 3
    assert heard_sounds({65.0: heard})[0].groups[0] is Told.WELL


def test_one_band_that_is_not_known_does_not_silence_a_group():
    marked = speech().marked(PointState.STANDING_WAVE, speech().frequency_hz == 4000.0, "a reason")
    assert heard_sounds({65.0: found(marked, threshold(0.0))})[0].groups == (Told.WELL,) * 3
