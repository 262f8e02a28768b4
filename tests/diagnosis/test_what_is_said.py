"""The answer: sentences, the deciding measurement, states, noise, and what is refused."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from measured_ears import HZ, measured
from measured_levels import as_measurement

from umbo.core import CouplerKind, Grid, Plane, PlaneKind, PointState, Severity
from umbo.diagnosis import CAUSES, Deciding, Measurement, diagnose, diagnose_many, source_class
from umbo.diagnosis._deciding import deciding_measurement
from umbo.diagnosis._drum_level import Carried, blended
from umbo.diagnosis._engine import KINDS, engine
from umbo.diagnosis._fit_grid import FIT_HZ, onto_fit_grid
from umbo.diagnosis._hypotheses import hypotheses
from umbo.diagnosis._posterior import joined, normalised
from umbo.diagnosis._words import named, words_of
from umbo.errors import InputError, OutOfRangeError, PlaneMismatchError


@pytest.fixture(scope="module")
def leaking():
    drawn = (
        measured(np.random.default_rng(seed), "leak", declared=CouplerKind.HA1, age_months=480.0) for seed in range(50)
    )
    ear = next(one for one in drawn if one.cost_db["leak"] > 5.0)
    return ear, as_measurement(ear, ear.source)


@pytest.fixture(scope="module")
def answer(leaking):
    return diagnose(leaking[1])


def test_the_answer_says_what_how_sure_and_what_to_do(answer):
    assert answer.best == "leak"
    assert answer.is_sure
    assert answer.sentence.startswith("The measurement is explained by a leak past the ear tip (probability ")
    assert answer.action == words_of("leak").action
    finding = answer.finding()
    assert (finding.code, finding.severity) == ("diagnosis_leak", Severity.WARN)
    assert answer.causes["leak"] >= answer.probability["leak"]


def test_probabilities_are_ranked_and_sum_to_one(answer):
    shares = list(answer.probability.values())
    assert sum(shares) == pytest.approx(1.0)
    assert shares == sorted(shares, reverse=True)


def test_the_evidence_can_be_drawn(answer):
    best = answer.explanations[0]
    assert best.coupler_db.shape == best.ear_db.shape == best.drum_db.shape == answer.frequency_hz.shape
    inside = (answer.frequency_hz > 240) & (answer.frequency_hz < 4000)
    assert np.sqrt(np.mean((best.ear_db - answer.ear_db)[inside] ** 2)) < 1.5
    height = next(one for one in best.estimates if one.name == "height of the leak")
    assert height.low < height.value < height.high
    assert height.unit == "µm"


def test_the_level_at_the_drum_is_a_level_there(answer, leaking):
    level = answer.level_at_drum
    assert level.plane == Plane.eardrum()
    assert level.grid is leaking[1].ear.grid
    np.testing.assert_allclose(level.level_db, leaking[1].ear.level_db + answer.to_drum.level_db)
    assert (level.u_db >= leaking[1].ear.u_db - 1e-12).all()


def test_no_state_is_dropped(leaking):
    marked = replace(leaking[1], ear=leaking[1].ear.marked(PointState.CLIPPED, HZ > 9000, "clipped"))
    found = diagnose(marked)
    assert found.level_at_drum.state_at(HZ[-1]) is PointState.CLIPPED


def test_unusable_points_do_not_count(leaking):
    """Nonsense in points that are marked changes nothing."""
    one = leaking[1]
    spoilt = one.ear.marked(PointState.CLIPPED, HZ > 9000, "clipped")
    nonsense = replace(spoilt, level_db=np.where(HZ > 9000, 140.0, spoilt.level_db))
    first, second = diagnose_many([replace(one, ear=spoilt), replace(one, ear=nonsense)])
    assert first.probability[first.best] == pytest.approx(second.probability[second.best], abs=1e-6)


def test_noise_decides_whether_noise_limits(leaking):
    loud = replace(leaking[1], ear_noise_db=leaking[1].ear.level_db - np.where(HZ < 1500, 3.0, 30.0))
    found = diagnose(loud)
    assert found.is_noise_limited
    assert found.finding().code == "noise_limited"
    assert "Noise" in found.sentence
    assert "quiet" in found.action
    quiet = replace(leaking[1], ear_noise_db=leaking[1].ear.level_db - 30.0)
    assert not diagnose(quiet).is_noise_limited


def test_the_same_measurement_has_the_same_answer(leaking, answer):
    again = diagnose_many([leaking[1], leaking[1]])
    for one in again:
        assert one.probability == pytest.approx(dict(answer.probability), abs=1e-4)


def test_a_source_of_which_nothing_is_known(leaking):
    found = diagnose(replace(leaking[1], source=None))
    assert sum(found.probability.values()) == pytest.approx(1.0)
    assert found.causes.get("leak", 0.0) > 0.3


def test_not_sure_names_both_and_what_decides(answer):
    torn = replace(
        answer, probability={"leak": 0.55, "shallow_probe": 0.45}, deciding=Deciding("advance the tube", 8.0)
    )
    assert torn.sentence == (
        "Not sure between a leak past the ear tip (0.55) and a probe too far from the eardrum (0.45)."
    )
    assert torn.action == "To decide, advance the tube (the two would differ by 8 dB)."
    assert not torn.is_sure


def deciding_between(first, second):
    """Deciding measurement of two explanations at the middle of their priors."""
    chosen = engine(source_class("insert"), CouplerKind.HA1, 480.0)
    names = [one.name for one in chosen.hypotheses]
    rows = [names.index(first), names.index(second)]
    values = chosen.scaled.values(np.zeros((2, chosen.scaled.middle.shape[1])), np.array(rows))

    def predict(number, at):
        return chosen.setting.predict(at, np.full(len(at), chosen.kind_index[rows[number]]))

    return deciding_measurement((first, second), (values[0], values[1]), predict)


@pytest.mark.parametrize(
    ("first", "second", "word"),
    [
        ("ok", "leak", "reseated"),
        ("ok", "shallow_probe", "deeper"),
        ("leak", "open_middle_ear", "reseated"),
        ("ok", "coupler_leak", "coupler again with its joints"),
        ("blocked_probe", "source_drift", "probe tube"),
        ("ok", "effusion", "tympanogram"),
        ("ok", "wrong_coupler", "checked"),
        ("ok", "wrong_age", "date of birth"),
        ("leak", "leak+wrong_coupler", "checked"),
    ],
)
def test_the_deciding_measurement(first, second, word):
    found = deciding_between(first, second)
    assert word in found.action
    if found.difference_db is not None:
        assert found.difference_db >= 2.0


def test_every_cause_has_words():
    for cause in CAUSES:
        assert words_of(cause).name
        assert words_of(cause).action.endswith(".")
    assert named("leak+shallow_probe") == "a leak past the ear tip and a probe too far from the eardrum"


@pytest.mark.parametrize("kind", [kind.value for kind in KINDS])
def test_explanations_on_offer(kind):
    offered = hypotheses(CouplerKind(kind), 480.0, ())
    assert offered[0].name == "ok"
    assert sum(one.weight for one in offered) == pytest.approx(1.0)
    has_adaptor = any("wrong_adaptor" in one.causes for one in offered)
    assert has_adaptor is (kind in ("ha1", "ha2"))
    assert {one.name for one in offered if one.kind.value != kind} == {
        one.name for one in offered if {"wrong_coupler", "wrong_adaptor"} & set(one.causes)
    }


def test_names_are_joined_in_one_order():
    assert joined(frozenset({"wrong_coupler", "leak"})) == "leak+wrong_coupler"
    assert joined(frozenset()) == "ok"
    np.testing.assert_allclose(normalised(np.array([[0.0, np.log(3.0)]])), [[0.25, 0.75]])


CORRECTIONS = arrays(np.float64, 5, elements=st.floats(-20, 20))
SPREADS = arrays(np.float64, 5, elements=st.floats(0.05, 10))


@settings(max_examples=60, deadline=None)
@given(CORRECTIONS, SPREADS, CORRECTIONS, SPREADS, st.floats(0, 1))
def test_a_blend_never_overdoes_it(first, u_first, second, u_second, share):
    """No correction is larger than what is believed, and what is held back is in the uncertainty."""
    parts = [Carried(first, u_first), Carried(second, u_second)]
    probability = np.array([share, 1 - share])
    found = blended(parts, probability)
    mean = share * first + (1 - share) * second
    assert (np.abs(found.correction_db) <= np.abs(mean) + 1e-9).all()
    assert (found.correction_db * mean >= -1e-12).all()
    assert (found.u_db >= np.abs(mean - found.correction_db) - 1e-9).all()
    inside = (mean - found.correction_db) ** 2
    square = share * u_first**2 + (1 - share) * u_second**2 + share * (first - mean) ** 2
    square = square + (1 - share) * (second - mean) ** 2 + inside
    np.testing.assert_allclose(found.u_db**2, square, rtol=1e-9)


def test_readings_reach_the_fit_on_any_grid():
    """Third-octaves and audiometric tones fill some fit frequencies, twelfth-octaves all of them."""
    for grid, least in ((Grid.twelfth_octave(), 43), (Grid.third_octave(), 21), (Grid.audiometric(), 14)):
        n = grid.size
        level, u, known = onto_fit_grid(grid.frequency_hz, np.full(n, 50.0), np.full(n, 2.0), np.ones(n, bool))
        assert known.sum() >= least
        np.testing.assert_allclose(level[known], 50.0)
        assert (u[known] <= 2.0 + 1e-9).all()
    n = HZ.size
    _, u, _ = onto_fit_grid(HZ, np.zeros(n), np.ones(n), np.ones(n, bool))
    assert u[20] == pytest.approx(np.sqrt(1 + 2 * 0.25) / 2, abs=1e-6)  # weights 1/4, 1/2, 1/4
    assert FIT_HZ.size == 43


def test_what_is_refused(leaking):
    one = leaking[1]
    with pytest.raises(PlaneMismatchError, match="give one at a probe tip and one in a 2 cc or"):
        replace(one, ear=replace(one.ear, plane=Plane(PlaneKind.EARDRUM)))
    with pytest.raises(PlaneMismatchError, match="occluded-ear simulator"):
        replace(one, coupler=replace(one.coupler, plane=Plane.coupler("oes")))
    with pytest.raises(OutOfRangeError, match="the age is -1 months"):
        replace(one, age_months=-1.0)
    with pytest.raises(InputError, match="the classes known are insert, receiver, hook"):
        source_class("horn")
    assert isinstance(one, Measurement)
