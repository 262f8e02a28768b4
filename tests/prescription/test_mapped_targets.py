"""Aided levels by the core mapping: values by hand, uncertainty by its slopes, holes and refusals."""

import numpy as np
import pytest
from ears_to_fit import AUDIOGRAM_HZ, at_the_eardrum, ear_to_fit, ear_with_range

from umbo import refdata
from umbo.core import Component, Ear, PointState, Statistic
from umbo.ear import field_to_eardrum
from umbo.errors import OutOfRangeError
from umbo.prescription import speech_in_field, speech_targets

N = len(AUDIOGRAM_HZ)
HZ = np.array(AUDIOGRAM_HZ)


def normal_threshold():
    table = refdata.table("redd_average", source="derived-bentler-pavlovic-1989")
    return refdata.interpolate(table, "eardrum_at_0_db_hl_db_spl", HZ).require_inside()


def mapped(ear, overall=65.0):
    (found,) = speech_targets("dsl_io_1995", ear, (overall,))
    return found.level


def test_one_frequency_by_hand():
    """1 kHz: speech 53.7 - 5, REUG 2.6: 51.3 dB; normal range 6.7 to 106.7 dB: share 0.446; 60 + 0.446 x 50 = 82.3."""
    level = mapped(ear_with_range([60.0] * N, [110.0] * N))
    assert level.value_at(1000) == pytest.approx(82.3, abs=1e-9)
    assert "formula from memory; normal hearing: table redd_average" in level.explain(at=1000)


def test_normal_hearing_is_left_alone():
    """An ear with the normal range, 100 dB from the normal threshold up, gets unaided speech at every input."""
    ear = ear_with_range(normal_threshold(), normal_threshold() + 100.0)
    for overall in (50.0, 65.0, 80.0):
        unaided = speech_in_field(HZ, overall, ear=Ear.RIGHT).level_db + field_to_eardrum(HZ, ear=Ear.RIGHT).level_db
        assert mapped(ear, overall).level_db == pytest.approx(unaided)


def test_inputs_are_compressed_by_the_ratio_of_the_ranges():
    soft, loud = (mapped(ear_with_range([60.0] * N, [110.0] * N), level) for level in (55.0, 75.0))
    assert loud.level_db - soft.level_db == pytest.approx(np.full(N, 20.0 * 50.0 / 100.0))


def test_the_unaided_uncertainty_goes_in_by_the_slope():
    """A ratio of 2: half of the uncertainty of the average REUG at the target."""
    level = mapped(ear_with_range([60.0] * N, [110.0] * N))
    assert level.u_db == pytest.approx(field_to_eardrum(HZ, ear=Ear.RIGHT).u_db / 2)


def test_thresholds_and_limits_go_in_by_their_share():
    """At 1 kHz the share is 0.446: 4 dB of the threshold count 2.216 dB, 5 dB of the limit 2.23 dB."""

    def cause(name, u_db):
        return Component(
            id=name, label=name, contribution_db=np.array([u_db]), across="none", evaluation="A", source="invented"
        )

    threshold = at_the_eardrum([60.0] * N, components=(cause("threshold", 4.0),))
    limit = at_the_eardrum([110.0] * N, statistic=Statistic.LIMIT, components=(cause("limit", 5.0),))
    level = mapped(ear_to_fit([40.0] * N, at_eardrum=threshold, discomfort=limit))
    unaided = field_to_eardrum(HZ, ear=Ear.RIGHT).u_db[HZ == 1000.0] / 2
    expected = np.sqrt(unaided**2 + (0.554 * 4.0) ** 2 + (0.446 * 5.0) ** 2)
    assert level.u_db[level.grid.index(1000)] == pytest.approx(expected, abs=1e-6)


def test_above_the_normal_limit_the_output_is_limited_and_certain_of_its_input():
    level = mapped(ear_with_range([60.0] * N, [110.0] * N), 140.0)
    at = level.grid.index(500)
    assert level.level_db[at] == pytest.approx(110.0)
    assert level.u_db[at] == pytest.approx(0.0, abs=1e-12)


def test_speech_below_normal_threshold_has_no_target():
    level = mapped(ear_with_range([60.0] * N, [110.0] * N), 20.0)
    below = speech_in_field(HZ, 20.0, ear=Ear.RIGHT).level_db + field_to_eardrum(HZ, ear=Ear.RIGHT).level_db
    is_below = below < normal_threshold()
    assert is_below.any()
    assert not is_below.all()
    assert (~level.states.is_usable).tolist() == is_below.tolist()


def test_no_response_is_a_hole_even_where_the_bound_passes_the_limit():
    threshold = [60.0] * (N - 1) + [125.0]
    level = mapped(ear_with_range(threshold, [110.0] * N, withdrawn=(6000.0,)))
    assert level.state_at(6000) is PointState.WITHDRAWN
    assert level.states.is_usable[:-1].all()


def test_only_the_frequencies_both_hold():
    few = (500.0, 1000.0, 2000.0)
    ear = ear_to_fit(
        [40.0] * N,
        at_eardrum=at_the_eardrum([60.0] * N),
        discomfort=at_the_eardrum([110.0, 112.0, 114.0], hz=few, statistic=Statistic.LIMIT),
    )
    level = mapped(ear)
    assert level.frequency_hz.tolist() == [500, 750, 1000, 1500, 2000]
    assert level.state_at(750) is PointState.INTERPOLATED


@pytest.mark.parametrize(
    ("ear", "sentence"),
    [
        (ear_to_fit([40.0] * N), "no threshold is known at the eardrum"),
        (
            ear_to_fit([40.0] * N, at_eardrum=at_the_eardrum([60.0] * N)),
            "no discomfort level is known at the eardrum, and the method needs one",
        ),
        (
            ear_to_fit(
                [40.0] * N,
                at_eardrum=at_the_eardrum([60.0] * N),
                discomfort=at_the_eardrum([110.0, 112.0], hz=(9000.0, 10000.0), statistic=Statistic.LIMIT),
            ),
            "share no frequency",
        ),
        (ear_with_range([60.0] * N, [110.0] * N, withdrawn=AUDIOGRAM_HZ), "at no frequency both"),
        (ear_with_range([60.0] * N, [60.0] * N), "does not lie above its threshold"),
    ],
)
def test_refusals(ear, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        mapped(ear)
