"""Look-up: exact, named, refused in one sentence."""

import importlib.resources
import time

import numpy as np
import pytest

from umbo import refdata
from umbo.errors import OutOfRangeError, TableError
from umbo.refdata import _catalogue


@pytest.fixture
def insert():
    return refdata.table("retspl_insert", source="iso-389-2-1994")


@pytest.fixture
def ltass():
    return refdata.table("ltass", source="byrne-1994")


def test_a_source_must_be_named():
    with pytest.raises(TypeError, match="source"):
        refdata.table("retspl_insert")


def test_available_lists_quantities_and_sources():
    assert "retspl_insert" in refdata.available()
    assert refdata.available("retspl_insert") == ("ansi-s3.6-undated", "iso-389-2-1994", "iso-389-5-2006")
    assert refdata.quantity_title("retspl_insert") == "Reference thresholds of insert earphones"


def test_an_unknown_quantity_names_the_nearest():
    with pytest.raises(TableError, match=r"list the tables of 'retspl_inserts'.*use one of retspl_insert"):
        refdata.table("retspl_inserts", source="iso-389-2-1994")
    with pytest.raises(TableError, match="no such quantity is tabulated; use one of abr_minus_behavioural, "):
        refdata.quantity_title("zzz")


def test_an_unknown_source_names_the_nearest():
    with pytest.raises(TableError) as caught:
        refdata.table("retspl_insert", source="iso-389-2-1995")
    assert str(caught.value).startswith(
        "read retspl_insert from 'iso-389-2-1995': that source is not among its tables; use one of iso-389-2-1994"
    )


def test_at_is_exact(insert):
    assert insert.at(1000, "er3a_oes_db_spl") == 5.5
    assert insert.at(1000.0, "er3a_ha2_db_spl") == 0.0
    assert insert.status_at(1000, "er3a_ha2_db_spl") == "1 source + memory"
    assert insert.status_at(750, "er3a_ha2_db_spl") == "from memory"


def test_a_frequency_between_rows_is_refused_with_what_is_tabulated(insert):
    with pytest.raises(OutOfRangeError) as caught:
        insert.at(1100, "er3a_oes_db_spl")
    sentence = str(caught.value)
    assert "read er3a_oes_db_spl of retspl_insert/iso-389-2-1994 at 1100 Hz" in sentence
    assert "tabulated over 125 to 8000 Hz at 125, 160, 200" in sentence
    assert "interpolate()" in sentence


def test_an_empty_cell_is_refused_and_the_range_named_is_that_of_the_column(ltass):
    with pytest.raises(OutOfRangeError, match="tabulated over 63 to 8000 Hz"):
        ltass.at(10000, "male_db_spl")
    assert ltass.status_at(10000, "male_db_spl") == "not found"


def test_a_missing_column_says_which_source_has_it(insert):
    with pytest.raises(TableError, match=r'table\("retspl_insert", source="ansi-s3.6-undated"\)'):
        insert.column("er3a_ha1_db_spl")
    with pytest.raises(TableError, match="use one of the columns er3a_oes_db_spl"):
        insert.at(1000, "er3a_oes_db")


def test_words_and_numbers_are_not_confused(insert):
    with pytest.raises(TableError, match=r'use text\("oes_status"\)'):
        insert.column("oes_status")
    with pytest.raises(TableError, match=r'use column\("er3a_oes_db_spl"\)'):
        insert.text("er3a_oes_db_spl")


def test_columns_are_read_only(insert, ltass):
    with pytest.raises(ValueError, match="read-only"):
        insert.column("er3a_oes_db_spl")[0] = 0.0
    male = ltass.column("male_db_spl")
    with pytest.raises(ValueError, match="read-only"):
        male[0] = 0.0
    with pytest.raises(TypeError):
        insert.columns["er3a_oes_db_spl"] = np.zeros(3)


def test_empty_cells_are_masked_and_series_leaves_them_out(ltass):
    male = ltass.column("male_db_spl")
    assert isinstance(male, np.ma.MaskedArray)
    assert ltass.present("male_db_spl").tolist() == [True] * 22 + [False] * 3
    frequency_hz, values = ltass.series("male_db_spl")
    assert frequency_hz[-1] == 8000
    assert values.shape == (22,)
    assert not isinstance(values, np.ma.MaskedArray)
    assert np.isfinite(values).all()
    # Stripping the mask by accident shows at once.
    assert np.isnan(np.asarray(male)[-1])


def test_tables_looked_up_by_name():
    tolerances = refdata.table("fit_tolerances", source="wiseman-2023")
    assert tolerances.at("rms_stricter", "value") == 3.0
    assert tolerances.text_at("rms_stricter", "unit") == "dB"
    with pytest.raises(OutOfRangeError, match=r"'rms_strict' is not tabulated; use one of rms_stricter"):
        tolerances.at("rms_strict", "value")
    with pytest.raises(OutOfRangeError, match="is not tabulated"):
        tolerances.at(1000, "value")
    with pytest.raises(TableError, match="holds words there"):
        tolerances.series("value")


def test_a_table_of_numbers_refuses_a_word_as_key(insert):
    with pytest.raises(OutOfRangeError, match="at 1000 Hz: it is tabulated over 125 to 8000 Hz"):
        insert.at("1000", "er3a_oes_db_spl")


def test_a_table_without_a_key_says_so():
    band = refdata.table("recd_plausibility_band", source="engineering-judgement")
    assert band.column("low_db").shape == (25,)
    with pytest.raises(TableError, match="its rows have no single key"):
        band.at(250, "low_db")


def test_citation_names_edition_reference_and_how_obtained():
    text = refdata.table("recd_prediction_band", source="bagatto-2002").citation()
    assert "Bagatto et al. 2002" in text
    assert "13:407" in text
    assert "abstract was read" in text
    assert "no source" in refdata.table("recd_plausibility_band", source="engineering-judgement").citation()


def test_a_table_is_read_once(insert):
    assert refdata.table("retspl_insert", source="iso-389-2-1994") is insert


def test_reading_every_table_from_scratch_is_fast():
    _catalogue._load.cache_clear()
    _catalogue.sidecar.cache_clear()
    started = time.perf_counter()
    entries = refdata.catalogue()
    assert len(entries) > 90
    assert time.perf_counter() - started < 5.0


def test_a_changed_file_is_refused(monkeypatch, tmp_path):
    source = importlib.resources.files("umbo.refdata").joinpath("tables")
    folder = tmp_path / "nal_r"
    folder.mkdir()
    for name in ("byrne-dillon-1986.toml", "byrne-dillon-1986.csv"):
        (folder / name).write_bytes(source.joinpath("nal_r", name).read_bytes())
    changed = folder / "byrne-dillon-1986.csv"
    changed.write_bytes(changed.read_bytes().replace(b"250,-17", b"250,-16"))
    monkeypatch.setattr(_catalogue, "_root", lambda: tmp_path)
    with pytest.raises(TableError, match="not the one its sidecar describes"):
        _catalogue._load.__wrapped__("nal_r", "byrne-dillon-1986")


def test_windows_line_ends_are_not_a_change(monkeypatch, tmp_path):
    source = importlib.resources.files("umbo.refdata").joinpath("tables", "nal_r")
    side = _catalogue.sidecar("nal_r", "byrne-dillon-1986")
    content = source.joinpath("byrne-dillon-1986.csv").read_bytes().replace(b"\n", b"\r\n")
    assert len(_catalogue._checked_rows(side, content)) == side.rows
