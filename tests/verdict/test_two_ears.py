"""Left against right: RECD, aided level, index, and deviations that mirror each other."""

from dataclasses import replace

import numpy as np
import pytest
from eardrum_levels import HZ, difference, level
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from umbo.core import Bandwidth, Component, Coupling, Ear, Grid, Level, Plane, PointState, Severity, Tags, Transfer
from umbo.errors import CombinationError, CouplingMismatchError, GridMismatchError, InputError, PlaneMismatchError
from umbo.verdict import (
    compare_aided,
    compare_recds,
    compare_sii,
    contrast,
    mirror_parts,
    rms_error,
    swapped_ears,
)

RECD_HZ = (250.0, 500.0, 750.0, 1000.0, 2000.0, 3000.0, 4000.0, 6000.0)


def recd(values_db, ear, *, causes=(), coupler="ha1", coupling=Coupling.FOAM_TIP, hz=RECD_HZ):
    tags = Tags(quantity="RECD", ear=ear, stimulus=None, statistic=None, coupling=coupling, source=None)
    values = np.broadcast_to(np.asarray(values_db, dtype=float), len(hz))
    return Transfer.given(
        Grid(np.array(hz), Bandwidth.TONE), values, start=Plane.coupler(coupler), end=Plane.eardrum(), tags=tags,
        source="invented", components=[Component(id_, id_, np.array([u]), "full", "B", "x") for id_, u in causes],
    )  # fmt: skip


def recds(left_db, **more):
    return compare_recds(recd(left_db, Ear.LEFT, **more), recd(0.0, Ear.RIGHT, **more))


def heard(values_db, ear, **more):
    return level(values_db, ear=ear, cause=f"threshold {ear}", **more)


@pytest.mark.parametrize(
    ("left_db", "code"),
    [
        ([9.0, 0, 0, 0, 0, 0, 0, 9.0], None),  # outside 0.5 to 4 kHz
        ([0.0, 3.0, -3.0, 3.0, 3.0, 3.0, 3.0, 0], None),
        ([0.0, 0, 0, 5.0, 0, 5.0, 0, 0], None),  # no two neighbours
        ([0.0, 0, 0, 3.1, -3.1, 0, 0, 0], "recd_ears_differ"),
        ([0.0, 6.0, 0, 0, 0, 0, 0, 0], None),
        ([0.0, 6.1, 0, 0, 0, 0, 0, 0], "recd_ears_differ_much"),
    ],
)
def test_recd_rule(left_db, code):
    """More than 3 dB at two neighbours from 0.5 to 4 kHz, or more than 6 dB at one."""
    assert [finding.code for finding in recds(left_db).findings] == ([] if code is None else [code])


def test_recd_sentence_and_range():
    (finding,) = recds([0.0, 0, 0, -4.0, -5.0, 0, 0, 0]).findings
    assert finding.severity is Severity.WARN
    assert finding.text == (
        "The RECD differs between the ears by more than 3 dB at 1000, 2000 Hz: left is 5.0 dB (u 0.0 dB) below right "
        "at 2000 Hz."
    )
    assert (finding.from_hz, finding.to_hz) == (1000.0, 2000.0)
    assert "tympanogram" in finding.action
    (known,) = compare_recds(
        recd(-15.0, Ear.LEFT), recd(0.0, Ear.RIGHT), known_reason="an open tube in the left ear"
    ).findings
    assert known.severity is Severity.INFO
    assert known.text.endswith("at 500 Hz, as an open tube in the left ear would make it.")
    assert known.action.startswith("Use each ear's own RECD")


def test_a_shared_cause_cancels_between_the_ears_and_others_do_not():
    both = (("coupler", 2.0),)
    found = recds(4.0, causes=both)
    assert found.contrast.u_db == pytest.approx(np.zeros(8), abs=1e-12)
    assert "by less than twice" not in found.findings[0].text
    apart = compare_recds(recd(4.0, Ear.LEFT, causes=(("l", 2.0),)), recd(0.0, Ear.RIGHT, causes=(("r", 2.0),)))
    assert apart.contrast.u_db == pytest.approx(np.full(8, np.sqrt(8.0)))
    assert apart.findings[0].text.endswith("(u 2.8 dB) above right at 500 Hz, by less than twice its uncertainty.")


def test_bands_that_cannot_be_used_compare_nothing():
    dead = recd(20.0, Ear.LEFT).marked(PointState.BELOW_NOISE, np.ones(8, dtype=bool), "x")
    found = compare_recds(dead, recd(0.0, Ear.RIGHT))
    assert [f.code for f in found.findings] == ["ears_not_compared"]
    assert not found.is_compared.any()


def test_two_kinds_are_refused():
    right = recd(0.0, Ear.RIGHT)
    with pytest.raises(PlaneMismatchError, match=r"from coupler:cc04 to eardrum and the other from coupler:ha1"):
        compare_recds(recd(0.0, Ear.LEFT, coupler="cc04"), right)
    with pytest.raises(CouplingMismatchError, match="one was taken with a mould and the other with a foam tip"):
        compare_recds(recd(0.0, Ear.LEFT, coupling=Coupling.MOULD), right)
    with pytest.raises(GridMismatchError):
        contrast(recd(0.0, Ear.LEFT, hz=RECD_HZ[:7]), right, quantity="RECD")
    with pytest.raises(CombinationError, match="one is a level and the other a transfer"):
        contrast(level(0.0), right, quantity="RECD")


def aided(left_db, left_threshold_db=0.0, **more):
    return compare_aided(
        level(left_db, ear=Ear.LEFT, **more), level(0.0, ear=Ear.RIGHT, cause="r"),
        heard(left_threshold_db, Ear.LEFT), heard(0.0, Ear.RIGHT),
    )  # fmt: skip


def test_aided_level_counts_where_thresholds_agree():
    (finding,) = aided([0.0, 0, 0, -6.0, 0, 0]).findings
    assert finding.code == "aided_ears_differ"
    assert finding.text == (
        "The aided level at 65 dB differs between the ears by more than 5 dB at 2000 Hz: left is 6.0 dB (u 0.0 dB) "
        "below right at 2000 Hz, although the thresholds agree there."
    )
    assert aided([0.0, 0, 0, -5.0, 0, 0]).findings == ()
    assert aided([0.0, 0, 0, -20.0, 0, 0], [0.0, 0, 0, 6.0, 0, 0]).findings == ()
    assert len(aided([0.0, 0, 0, -20.0, 0, 0], [0.0, 0, 0, 5.0, 0, 0]).findings) == 1


def test_no_response_is_no_threshold_to_agree_with():
    silent = heard(0.0, Ear.LEFT).marked(PointState.WITHDRAWN, np.ones(len(HZ), dtype=bool), "no response")
    found = compare_aided(level(20.0, ear=Ear.LEFT), level(0.0, cause="r"), silent, heard(0.0, Ear.RIGHT))
    assert [f.code for f in found.findings] == ["ears_not_compared"]


def test_thresholds_elsewhere_are_refused():
    hz = HZ[:5]
    with pytest.raises(GridMismatchError, match="the thresholds 5 points"):
        compare_aided(level(0.0), level(0.0), heard(0.0, Ear.LEFT, hz=hz), heard(0.0, Ear.RIGHT, hz=hz))


def test_index():
    same = {"u_left": 0.01, "u_right": 0.01, "thresholds_alike": True}
    assert compare_sii(0.75, 0.70, **same) == ()
    (finding,) = compare_sii(0.60, 0.70, **same)
    assert finding.text == (
        "The speech intelligibility index is 0.60 left and 0.70 right: -0.10 (u 0.01) apart, more than 0.05, although "
        "the thresholds agree."
    )
    (unsure,) = compare_sii(0.60, 0.67, u_left=0.03, u_right=0.04, thresholds_alike=True)
    assert "(u 0.05) apart, more than 0.05, by less than twice its uncertainty" in unsure.text
    assert compare_sii(0.2, 0.9, u_left=0, u_right=0, thresholds_alike=False) == ()
    with pytest.raises(InputError, match="give indices from 0 to 1"):
        compare_sii(60.0, 70.0, **same)


vectors = arrays(np.float64, 6, elements=st.floats(-20, 20))


@given(left=vectors, right=vectors)
def test_the_two_parts_are_all_there_is(left, right):
    """s² + m² is the mean of both ears' mean squares (parallelogram law)."""
    shared, mirrored = mirror_parts(left, right)
    assert shared**2 + mirrored**2 == pytest.approx((rms_error(left) ** 2 + rms_error(right) ** 2) / 2, abs=1e-9)


@given(left_target=vectors, right_target=vectors)
def test_aids_that_meet_their_targets_on_the_wrong_sides_share_nothing(left_target, right_target):
    shared, mirrored = mirror_parts(right_target - left_target, left_target - right_target)
    assert shared == pytest.approx(0.0, abs=1e-12)
    assert mirrored == pytest.approx(rms_error(left_target - right_target))


def test_exchanged_aids_are_noticed_and_a_common_deviation_is_not():
    apart = np.array([0.0, 0, 5, 10, 15, 10])
    (finding,) = swapped_ears(difference(apart + 1), difference(1 - apart))
    assert finding.code == "ears_look_exchanged"
    assert finding.text.startswith("The deviations of the two ears mirror each other (8.7 dB rms up on one")
    assert swapped_ears(difference(apart), difference(apart)) == ()
    assert swapped_ears(difference(apart / 2), difference(-apart / 2)) == ()  # 4.3 dB rms, under 5
    assert swapped_ears(difference(apart), difference(0 * apart)) == ()  # one ear off, the other not
    few = difference(apart).marked(PointState.CLIPPED, np.arange(6) > 1, "x")
    assert swapped_ears(few, difference(-apart)) == ()
    with pytest.raises(GridMismatchError):
        swapped_ears(difference(0.0), difference(0.0, hz=HZ[:4]))


def test_thresholds_taken_with_different_tips_are_still_thresholds():
    """What joined the earphone to the ear belongs to an RECD; a level is a level."""
    one, other = heard(40.0, Ear.LEFT), heard(40.0, Ear.RIGHT)
    foam, mould = (
        replace(level_, tags=replace(level_.tags, coupling=c))
        for level_, c in ((one, Coupling.FOAM_TIP), (other, Coupling.MOULD))
    )
    assert contrast(foam, mould, quantity="threshold").difference_db.tolist() == [0.0] * len(HZ)


def test_levels_of_two_ears_keep_their_plane():
    assert isinstance(level(0.0), Level)
    at_dial = Level.given(
        Grid(np.array(HZ), Bandwidth.THIRD_OCTAVE), np.zeros(6), plane=Plane.dial("insert"), tags=level(0.0).tags,
        source="x",
    )  # fmt: skip
    with pytest.raises(PlaneMismatchError, match="one is at the eardrum and the other on the insert dial"):
        contrast(level(0.0), at_dial, quantity="threshold")
