"""The specification: checked, frozen, and plain data."""

import dataclasses
import json

import numpy as np
import pytest
from chart_reading import LEVEL, curve, small_chart

from umbo.chart import Band, Chart, Figure, Limit, Marks, Note, Series, Symbol, Trust, trust_of
from umbo.core import PointState
from umbo.errors import InputError


def test_chart_is_plain_json_data_with_every_number_in_it():
    band = Band("room", [250, 4000], None, [60, 70])
    marks = Marks("threshold", Symbol.RIGHT, [500, 1000], [40, 50], no_response=(False, True))
    chart = small_chart([curve(3, u_db=1.5, state="noisy")], bands=(band,), marks=(marks,), notes=(Note("n", 500, 3),))
    read = json.loads(json.dumps(chart.to_dict(), allow_nan=False))
    assert (read["kind"], read["schema"]) == ("chart", 1)
    assert read["series"][0]["level_db"] == [30.0, 55.0, 80.0]
    assert read["series"][0]["u_db"] == [1.5] * 3
    assert read["series"][0]["state"] == ["noisy"] * 3
    assert read["series"][0]["quantity"] == {"name": "level", "line": "solid", "width_px": 2.2, "tone": "hue"}
    assert (read["bands"][0]["lower_db"], read["bands"][0]["upper_db"]) == (None, [60.0, 70.0])
    assert read["marks"][0]["no_response"] == [False, True]
    figure = Figure("f", ((chart,),), "Title", "Words").to_dict()
    assert json.loads(json.dumps(figure))["rows"][0][0]["series"] == read["series"]


def test_arrays_are_taken_over_not_shared():
    levels = np.array([1.0, 2.0])
    series = Series("a", LEVEL, [100, 200], levels)
    levels[0] = 99.0
    assert series.level_db == (1.0, 2.0)
    with pytest.raises(dataclasses.FrozenInstanceError):
        series.label = "b"


def test_the_state_words_are_those_of_the_core_and_trust_follows_usability():
    for state in PointState:
        expected = Trust.FULL if state is PointState.OK else Trust.CAUTION if state.is_usable else Trust.NONE
        assert trust_of(str(state)) is expected


def test_a_point_above_the_trusted_limit_is_not_trusted_whatever_its_state():
    series = Series("a", LEVEL, [1000, 7000, 7100], [1, 2, 3], trusted_max_hz=7000)
    assert series.trust == (Trust.FULL, Trust.FULL, Trust.NONE)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Series("a", LEVEL, [100, 200], [1.0]), "number of points differs"),
        (lambda: Series("a", LEVEL, [], []), "zero"),
        (
            lambda: Series("a", LEVEL, [100, 200], [1.0, float("nan")]),
            "level_db is not a plain row of finite",
        ),
        (lambda: Series("a", LEVEL, [200, 100], [1, 2]), "not positive and ascending"),
        (lambda: Series("a", LEVEL, [100, 100], [1, 2]), "not positive and ascending"),
        (lambda: Series("a", LEVEL, [0, 100], [1, 2]), "not positive and ascending"),
        (lambda: Series("a", LEVEL, [100, 200], [1, 2], state="fine"), "unknown state 'fine'"),
        (lambda: Series("a", LEVEL, [100, 200], [1, 2], state=("ok",)), "1 words for 2 points"),
        (lambda: Series("a", LEVEL, [100, 200], [1, 2], u_db=-1.0), "u_db goes down to -1"),
        (lambda: Series("a", LEVEL, [100, 200], [1, 2], u_db=[1.0]), "number of points differs"),
        (lambda: Series(" ", LEVEL, [100], [1]), "label is empty"),
        (lambda: Marks("m", Symbol.DOT, [100, 200], [1, 2], no_response=(True,)), "no_response has 1 points"),
        (lambda: Limit(0.0, "limit"), "positive finite"),
        (lambda: Note("n", 100.0), "both"),
        (lambda: small_chart(id="Upper"), "lower-case"),
        (lambda: small_chart(alt=" "), "alternative text"),
        (lambda: small_chart(height_px=10.0), "at least 60 px"),
        (lambda: small_chart([Series("a", LEVEL, [20.0], [1.0])]), "20 Hz lies beyond the axis"),
        (lambda: Figure("f", (), "t", "a"), "at least one chart"),
        (lambda: Figure("c", ((small_chart(),),), "t", "a"), "id of its own"),
    ],
)
def test_what_cannot_be_drawn_is_refused_in_words(make, words):
    with pytest.raises(InputError, match=words):
        make()


def test_default_axis_runs_from_125_hz_to_16_khz():
    axis = Chart("c", "t", "a", small_chart().level).frequency
    assert (axis.low_hz, axis.high_hz) == (125.0, 16000.0)
