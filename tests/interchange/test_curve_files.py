"""Curve files: what is written reads back exactly; a header says plane and reference."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.core import Component, Difference, Ear, Grid, Level, Plane, PointState, Tags, Transfer
from umbo.errors import CaseError, InputError
from umbo.interchange import CurveTable, curve_csv, curve_table, read_curve_csv, write_curve_csv

HEADER = {"plane": "eardrum", "reference": "20 µPa"}

_KEYS = st.text(st.characters(whitelist_categories=("L", "N")), min_size=1, max_size=12)
_VALUES = st.text(st.characters(blacklist_categories=("C", "Z")), max_size=12)


@st.composite
def tables(draw):
    frequency_hz = sorted(draw(st.sets(st.floats(1e-3, 1e5), min_size=2, max_size=20)))

    def column(low, high):
        n = len(frequency_hz)
        return tuple(draw(st.lists(st.floats(low, high), min_size=n, max_size=n)))

    return CurveTable(
        frequency_hz=tuple(frequency_hz),
        level_db=column(-200, 220),
        u_db=column(0, 60) if draw(st.booleans()) else None,
        noise_db=column(-300, 220) if draw(st.booleans()) else None,
        state=tuple(draw(st.sampled_from(PointState)) for _ in frequency_hz) if draw(st.booleans()) else None,
        header=HEADER | draw(st.dictionaries(_KEYS, _VALUES, max_size=4)) | HEADER,
    )


@settings(max_examples=80, deadline=None)
@given(tables())
def test_what_is_written_reads_back_exactly(tmp_path_factory, table):
    path = tmp_path_factory.mktemp("curve") / "curve.csv"
    write_curve_csv(path, table)
    assert read_curve_csv(path) == table


def test_the_text_of_a_curve():
    table = CurveTable(frequency_hz=(250.0, 1000.0), level_db=(70.5, 82.0), noise_db=(10.0, 0.25), header=HEADER)
    assert curve_csv(table) == (
        "# plane: eardrum\n# reference: 20 µPa\nfrequency_hz,level_db,noise_db\n250.0,70.5,10.0\n1000.0,82.0,0.25\n"
    )


@pytest.mark.parametrize(
    "header",
    [
        {"plane": "eardrum"},
        {"reference": "20 µPa"},
        {"plane": " ", "reference": "20 µPa"},
        HEADER | {"a:b": "c"},
        HEADER | {"note": "two\nlines"},
        HEADER | {"": "nothing"},
        HEADER | {"# note": "x"},
    ],
)
def test_a_header_that_cannot_be_read_back_is_not_written(header):
    with pytest.raises(InputError, match="write a curve"):
        curve_csv(CurveTable(frequency_hz=(1.0, 2.0), level_db=(0.0, 0.0), header=header))


def test_columns_of_different_length_are_not_written():
    with pytest.raises(InputError, match="differ in length"):
        curve_csv(CurveTable(frequency_hz=(1.0, 2.0), level_db=(0.0,), header=HEADER))


def test_spaces_comments_and_windows_files_are_read(tmp_path):
    path = tmp_path / "curve.csv"
    path.write_bytes(
        b'\xef\xbb\xbf#plane:  coupler:ha1 \r\n# a comment\r\n\r\n "level_db" , frequency_hz\r\n 1.5, 100\r\n2, 2e2\r\n'
    )
    table = read_curve_csv(path)
    assert (table.frequency_hz, table.level_db) == ((100.0, 200.0), (1.5, 2.0))
    assert table.header == {"plane": "coupler:ha1"}


def test_no_such_file(tmp_path):
    with pytest.raises(CaseError, match=r"read the curve 'none\.csv'.*cannot be read"):
        read_curve_csv(tmp_path / "none.csv")


@pytest.mark.parametrize(
    ("body", "named"),
    [
        ("frequency_hz,level_db\n100,inf\n200,1\n", "level_db in line 2 is 'inf'"),
        ("frequency_hz,level_db\n0,1\n200,1\n", "frequency_hz in line 2 is '0'"),
        ("frequency_hz,level_db\n-5,1\n200,1\n", "frequency_hz in line 2 is '-5'"),
        ("frequency_hz,level_db\n100,1e9\n200,1\n", "level_db in line 2 is '1e9'"),
        ("frequency_hz,level_db,level_db\n", "named twice"),
        ("frequency_hz,level_db,state\n100,1,fine\n200,1,ok\n", "state in line 2 is 'fine'"),
        ("frequency_hz,level_db\n100,1\n100,2\n", "not ascending"),
        ("frequency_hz,level_db\n100,\n200,1\n", "level_db in line 2 is ''"),
        ("frequency_hz,level_db\n", "0 points"),
        ("100,1\n200,2\n", "column '100' is not known"),
        ('frequency_hz,level_db\n"100\n",2\n', "line 2"),
        ("frequency_hz,level_db\n" + "1" * 200_000 + ",1\n2,1\n", "line 2"),
    ],
)
def test_what_is_no_curve_is_refused_in_one_sentence(tmp_path, body, named):
    path = tmp_path / "curve.csv"
    path.write_text(body)
    with pytest.raises(CaseError) as caught:
        read_curve_csv(path)
    assert named in str(caught.value)
    assert str(caught.value).isprintable()
    assert len(str(caught.value)) < 300


def test_files_beyond_all_measure_are_refused(tmp_path):
    large, long = tmp_path / "large.csv", tmp_path / "long.csv"
    large.write_bytes(b"#" * 10_000_001)
    long.write_text("frequency_hz,level_db\n" + "".join(f"{i + 1},0\n" for i in range(100_001)))
    with pytest.raises(CaseError, match="larger than"):
        read_curve_csv(large)
    with pytest.raises(CaseError, match="more than 100000 points"):
        read_curve_csv(long)


def _tags(quantity):
    return Tags(quantity=quantity, ear=Ear.RIGHT, stimulus="sweep", statistic=None, coupling=None, source=None)


def test_an_exported_level_says_what_it_is(tmp_path):
    grid = Grid.audiometric()
    calibration = Component("c", "calibration", np.array([0.3]), "full", "B", "invented")
    level = Level.given(
        grid,
        np.linspace(60, 70, grid.size),
        plane=Plane.coupler("ha1"),
        tags=_tags("sweep response"),
        source="invented",
        components=[calibration],
    ).marked(PointState.NOISY, grid.frequency_hz < 300, "invented")
    write_curve_csv(tmp_path / "level.csv", curve_table(level))
    table = read_curve_csv(tmp_path / "level.csv")
    np.testing.assert_array_equal(table.level_db, level.level_db)
    np.testing.assert_array_equal(table.u_db, level.u_db)
    assert [s is PointState.NOISY for s in table.state] == (grid.frequency_hz < 300).tolist()
    assert table.header["plane"] == "coupler:ha1"
    assert table.header["reference"] == "20 µPa"
    assert (table.header["ear"], table.header["stimulus"]) == ("right", "sweep")
    assert "coupling" not in table.header


def test_an_exported_transfer_names_both_its_planes():
    grid = Grid.audiometric()
    values = np.zeros(grid.size)
    start, end = Plane.coupler("cc04"), Plane.eardrum()
    transfer = Transfer.given(grid, values, start=start, end=end, tags=_tags("RECD"), source="invented")
    header = curve_table(transfer).header
    assert (header["plane"], header["reference"]) == ("coupler:cc04 -> eardrum", "the level at coupler:cc04")


def test_an_exported_difference_says_that_it_is_relative():
    grid = Grid.audiometric()
    drum = Plane.eardrum()
    speech, threshold = (
        Level.given(grid, np.full(grid.size, v), plane=drum, tags=_tags(q), source="invented")
        for v, q in ((70.0, "speech"), (50.0, "threshold"))
    )
    difference = speech.above(threshold, quantity="sensation level")
    assert isinstance(difference, Difference)
    table = curve_table(difference, noise_db=(1.0,) * grid.size)
    assert (table.header["plane"], table.noise_db[0], table.level_db[0]) == ("eardrum", 1.0, 20.0)
