"""The index of levels at the eardrum: what is known, what is only bounded, and what is refused."""

import numpy as np
import pytest
from ear_levels import AUDIOMETRIC_HZ, GRID, bands_at_eardrum, responses, speech, tags, threshold

from umbo.audibility import (
    STANDARD,
    Draws,
    Effort,
    IndexMethod,
    Procedure,
    ThresholdReading,
    audibility,
    require_no_lowering,
    standard_speech,
)
from umbo.core import Bandwidth, Ear, Grid, Level, Plane, PointState, Statistic
from umbo.errors import (
    BandwidthMismatchError,
    EarMismatchError,
    InputError,
    NotPossibleHereError,
    OutOfRangeError,
    PlaneMismatchError,
    StatisticMismatchError,
)

FEW = Draws(n=200)


def index(heard, limit, **more):
    given = {"no_response": responses(limit), "is_lowering_on": False, "trusted_max_hz": None, "draws": FEW}
    return audibility(heard, limit, **(given | more))


def test_a_normal_ear_at_its_eardrum_has_the_index_of_the_standard():
    """0.9958 and 0.9177: rows of sii_worked_values for one ear, normal and shouted, to 4 decimals."""
    for effort, expected in ((Effort.NORMAL, 0.9958), (Effort.SHOUT, 0.9177)):
        assert index(speech(effort=effort), threshold(0.0)).sii == pytest.approx(expected, abs=1e-4)


def test_a_flat_loss_of_40_db():
    """0.3823: four independent programs agree (flat 40 dB HL, normal effort, quiet)."""
    assert index(speech(), threshold(40.0)).sii == pytest.approx(0.3823, abs=1e-4)


def test_standard_speech_through_the_average_open_ear_is_unaided_speech():
    in_field = standard_speech(Effort.NORMAL, distance_m=1.0, ear=Ear.RIGHT)
    assert in_field.plane == Plane.free_field()
    assert 10 * np.log10(np.sum(10 ** (in_field.level_db / 10))) == pytest.approx(62.35, abs=0.01)  # from memory
    at_eardrum = bands_at_eardrum(in_field.level_db + STANDARD.bands.to_eardrum_db)
    assert index(at_eardrum, threshold(40.0)).sii == pytest.approx(0.3823, abs=1e-4)


def test_exact_and_nominal_third_octaves_are_one_band():
    nominal = speech()
    exact = bands_at_eardrum(nominal.level_db, hz=Grid.third_octave().frequency_hz[1:19])
    assert index(exact, threshold(40.0)).sii == index(nominal, threshold(40.0)).sii


def test_hearing_levels_are_interpolated_and_not_sound_pressures():
    """A flat loss measured at octaves only is a flat loss between them, whatever a normal ear does there."""
    octaves = threshold(40.0, hz=AUDIOMETRIC_HZ)
    found = index(speech(), octaves)
    assert found.sii == pytest.approx(0.3823, abs=1e-4)
    assert found.states.at(1) is PointState.INTERPOLATED
    assert found.is_known.all()


def test_bands_outside_the_thresholds_are_not_invented():
    """Tones from 250 to 6000 Hz: 160 Hz is not known, 200 is not; 8 kHz is 0.42 octaves above the last."""
    found = index(speech(), threshold(40.0, hz=[250.0, 500.0, 1000.0, 2000.0, 4000.0, 6000.0]))
    assert found.unknown_hz.tolist() == [160.0, 200.0, 8000.0]
    assert found.is_known[found.frequency_hz == 6300.0].all()  # 0.07 octaves above the last tone: held
    assert found.audibility[[0, 1, 17]].tolist() == [0.0, 0.0, 0.0]
    assert found.audibility_most[[0, 1, 17]].tolist() == [1.0, 1.0, 1.0]
    assert found.bounds[0] == found.sii
    assert found.bounds[1] - found.sii == pytest.approx(0.0083 + 0.0095 + 0.0185, abs=1e-3)
    assert found.states.at(17) is PointState.EXTRAPOLATED
    assert "160, 200, 8000 Hz are not known" in found.sentence


@pytest.mark.parametrize("state", [s for s in PointState if not s.is_usable])
def test_a_point_that_cannot_be_used_is_not_known(state):
    where = GRID.frequency_hz == 1000.0
    for marked in (
        {"heard": speech().marked(state, where, "a reason")},
        {"limit": threshold(40.0).marked(state, threshold(40.0).frequency_hz == 1000.0, "a reason")},
        {"noise": bands_at_eardrum(-40.0).marked(state, where, "a reason")},
    ):
        given = {"heard": speech(), "limit": threshold(40.0)} | marked
        found = index(given["heard"], given["limit"], noise=given.get("noise"))
        assert found.unknown_hz.tolist() == [1000.0]
        assert found.states.at(8) is state
        assert any("a reason" in reason for reason in found.states.reasons(8))


def test_points_above_the_trusted_limit_are_not_known():
    found = index(speech(), threshold(40.0), trusted_max_hz=5011.9)
    assert found.unknown_hz.tolist() == [6300.0, 8000.0]
    assert found.states.reasons(17) == ("extrapolated: above the trusted limit of 5012 Hz",)


def test_no_response_bounds_the_audibility():
    hz = [125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0]
    limit = threshold([40.0, 40.0, 40.0, 40.0, 40.0, 110.0, 0.0], hz=hz)
    silent = np.array([False] * 6 + [True])
    found = index(speech(), limit.marked(PointState.WITHDRAWN, silent, "no response at this level"), no_response=silent)
    top = found.frequency_hz > 4000.0  # lines from 4 to 8 kHz end in a bound
    assert found.is_bound.tolist() == top.tolist()
    assert found.is_known.tolist() == (~top).tolist()
    assert not found.audibility[top].any()
    assert 0.5 < found.audibility_most[-1] < 1.0  # with the threshold at 0 dB HL, where it is at least
    assert found.bounds[1] > found.sii + 0.01
    assert index(speech(), limit).sii > found.sii


def test_a_bound_far_above_speech_is_certainly_not_heard():
    limit = threshold(100.0)
    found = index(speech(), limit, no_response=np.ones(limit.grid.size, dtype=bool))
    assert found.is_bound.all()
    assert (found.sii, found.bounds, found.u_sii) == (0.0, (0.0, 0.0), 0.0)


def test_noise_at_the_eardrum_takes_audibility():
    quiet, noisy = index(speech(), threshold(0.0)), index(speech(), threshold(0.0), noise=speech(raised_by_db=0.0))
    # noise of the long-term spectrum of speech, 0 dB: half of the range at most
    assert noisy.sii < 0.51 < quiet.sii


def test_octaves_are_read_at_their_centres():
    octaves = index(speech(), threshold(40.0), method=IndexMethod(procedure=Procedure.OCTAVE))
    # by hand, table sii_octave: E - X - 40 + 15 over 30, and every band below U + 10
    expected = np.clip((np.array([34.75, 34.27, 25.01, 17.32, 9.33, 1.13]) - np.array(
        [-3.9, -9.7, -12.5, -17.7, -25.9, -7.1]) - 25.0) / 30.0, 0.0, 1.0)  # fmt: skip
    assert octaves.audibility == pytest.approx(expected)


def test_a_simplified_index_says_so():
    simple = IndexMethod(level_distortion=False, threshold=ThresholdReading.BAND_LEVEL)
    found = index(speech(), threshold(40.0), method=simple)
    assert not simple.is_standard
    assert "simplified after ANSI S3.5-1997" in found.sentence
    # a band as strong as the tone at threshold is on average just audible: half of the range
    level = bands_at_eardrum(60.0)
    tone = Level.given(
        Grid.tones([125.0, 8000.0]), [60.0, 60.0], plane=Plane.eardrum(),
        tags=tags("threshold", Statistic.THRESHOLD), source="invented",
    )  # fmt: skip
    half = index(level, tone, method=simple)
    masked = half.audibility < 0.5
    assert half.audibility[~masked] == pytest.approx(0.5)


def test_frequency_lowering_is_refused():
    require_no_lowering(is_on=False)
    with pytest.raises(NotPossibleHereError) as refused:
        index(speech(), threshold(40.0), is_lowering_on=True)
    assert str(refused.value) == (
        "compute a speech intelligibility index: frequency lowering is on, so speech sounds arrive at frequencies they "
        "do not have, and the index weighs every band by the sounds that belong there; turn the lowering off and "
        "measure again; judge lowered sounds by their audibility where they arrive."
    )


def test_critical_bands_are_refused():
    with pytest.raises(NotPossibleHereError, match="a critical band is narrower than a third octave"):
        IndexMethod(procedure=Procedure.CRITICAL_BAND)


@pytest.mark.parametrize(
    ("heard", "limit", "error"),
    [
        (standard_speech(Effort.NORMAL, distance_m=1.0, ear=Ear.RIGHT), threshold(0.0), PlaneMismatchError),
        (bands_at_eardrum(60.0, statistic=Statistic.P99), threshold(0.0), StatisticMismatchError),
        (speech(), speech(), BandwidthMismatchError),
        (threshold(0.0), threshold(0.0), BandwidthMismatchError),
        (speech(ear=Ear.LEFT), threshold(0.0), EarMismatchError),
    ],
)
def test_other_levels_are_refused(heard, limit, error):
    with pytest.raises(error):
        index(heard, limit)


def test_a_discomfort_level_is_no_threshold():
    limit = Level.given(
        Grid.tones([500.0, 1000.0]), [100.0, 100.0], plane=Plane.eardrum(),
        tags=tags("discomfort level", Statistic.LIMIT), source="invented",
    )  # fmt: skip
    with pytest.raises(StatisticMismatchError, match="has the statistic 'limit', and 'threshold' is needed"):
        index(speech(), limit)


def test_answers_about_response_are_counted():
    with pytest.raises(InputError, match="there are 2 answers for 19 thresholds"):
        index(speech(), threshold(0.0), no_response=[False, True])


def test_third_octave_levels_of_tones_only_are_refused():
    tones = Level.given(
        Grid(GRID.frequency_hz, Bandwidth.TWELFTH_OCTAVE), np.full(18, 60.0), plane=Plane.eardrum(),
        tags=tags("speech", Statistic.RMS), source="invented",
    )  # fmt: skip
    with pytest.raises(BandwidthMismatchError, match="per 1/12 octave, and a band level per 1/3 octave is needed"):
        index(tones, threshold(0.0))


def test_tones_beyond_the_table_of_a_normal_ear_are_left_out():
    """What a normal ear hears at 9 kHz is not tabulated: 8 kHz cannot be read between 6 and 9 kHz, 6.3 kHz is held."""
    found = index(speech(), threshold(40.0, hz=[125.0, 500.0, 1000.0, 2000.0, 4000.0, 6000.0, 9000.0]))
    assert found.unknown_hz.tolist() == [8000.0]
    with_bound = [False] * 6 + [True]
    again = index(
        speech(), threshold(40.0, hz=[125.0, 500.0, 1000.0, 2000.0, 4000.0, 6000.0, 9000.0]), no_response=with_bound
    )
    assert not again.is_bound.any()
    with pytest.raises(OutOfRangeError, match="no threshold lies between 125 and 8000 Hz"):
        index(speech(), threshold(40.0, hz=[9000.0, 10000.0]))


def test_in_the_upper_bound_what_is_not_known_masks_nothing():
    """Speech that cannot be used, read 90 dB too loud at 500 Hz, masks the bands above it as it is read."""
    where = GRID.frequency_hz == 500.0
    loud = bands_at_eardrum(speech().level_db + 90.0 * where).marked(PointState.STANDING_WAVE, where, "a reason")
    found = index(loud, threshold(20.0))
    clean = index(speech().marked(PointState.STANDING_WAVE, where, "a reason"), threshold(20.0))
    assert found.sii < clean.sii - 0.05
    assert found.bounds[1] == pytest.approx(clean.bounds[1])


def test_an_end_that_was_extrapolated_itself_is_not_held():
    hz = [125.0, 500.0, 1000.0, 2000.0, 4000.0, 6000.0]
    last = np.array(hz) == 6000.0
    limit = threshold(40.0, hz=hz)
    assert index(speech(), limit).unknown_hz.tolist() == [8000.0]
    marked = limit.marked(PointState.EXTRAPOLATED, last, "beyond what was measured")
    assert index(speech(), marked).unknown_hz.tolist() == [5000.0, 6300.0, 8000.0]
