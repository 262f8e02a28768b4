"""A wrong RECD: gone from the sensation level of insert thresholds, whole in the maximum output (F2, F5 and F7)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from invented_clients import coupler_output, recd, tags, thresholds

from umbo.core import Bandwidth, CouplerKind, Coupling, Grid, Plane, Transducer, Transfer
from umbo.ear import aided_level, retspl

HZ = np.array([250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0])
BANDS = Grid(HZ, Bandwidth.THIRD_OCTAVE)


def values(low, high):
    """One value per frequency in steps of 0.1 dB."""
    one = st.integers(10 * low, 10 * high).map(lambda n: n / 10)
    return st.lists(one, min_size=HZ.size, max_size=HZ.size).map(np.array)


def by_hz(levels):
    return {f"{hz:g}": float(level) for hz, level in zip(HZ, levels, strict=True)}


def speech_and_maximum(output, transfer):
    """Levels at the eardrum of speech, and of the maximum output, from one coupler output. [dB SPL]"""
    bands = recd(by_hz(transfer), coupling=Coupling.MOULD, bandwidth=Bandwidth.THIRD_OCTAVE)
    tones = recd(by_hz(transfer), coupling=Coupling.MOULD)
    loud = coupler_output(by_hz(output), stimulus="maximum output", bandwidth=Bandwidth.TONE)
    return aided_level(coupler_output(by_hz(output)), bands, None), aided_level(loud, tones, None)


def by_insert(hearing, transfer):
    return thresholds(by_hz(hearing)) + retspl(CouplerKind.HA1, HZ) + recd(by_hz(transfer))


def by_headphone(hearing):
    """Thresholds by a real-ear-to-dial difference of 10 dB that knows nothing of the RECD."""
    redd = Transfer.given(
        Grid.tones(HZ),
        np.full(HZ.size, 10.0),
        start=Plane.dial("supra_aural"),
        end=Plane.eardrum(),
        tags=tags("REDD"),
        source="invented",
    )
    return thresholds(by_hz(hearing), transducer=Transducer.SUPRA_AURAL) + redd


def sensation(speech, heard):
    there = heard.on(BANDS, method="log_frequency", outside="refuse")
    return speech.above(there, quantity="sensation level").level_db


@given(hearing=values(0, 110), true=values(-10, 25), wrong=values(-15, 15), output=values(40, 130))
def test_it_cancels_in_sensation_level_and_not_in_maximum_output(hearing, true, wrong, output):
    (speech, loudest), (shown, shown_loudest) = (speech_and_maximum(output, r) for r in (true, true + wrong))
    right = sensation(speech, by_insert(hearing, true))
    assert sensation(shown, by_insert(hearing, true + wrong)) == pytest.approx(right, abs=1e-9)
    assert shown_loudest.level_db - loudest.level_db == pytest.approx(wrong, abs=1e-9)
    # thresholds that went another way to the eardrum do not hide it
    apart = sensation(shown, by_headphone(hearing)) - sensation(speech, by_headphone(hearing))
    assert apart == pytest.approx(wrong, abs=1e-9)
