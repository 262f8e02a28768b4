"""Every table against its sidecar: schema, hash, sums, words, bibliography."""

import csv
import hashlib
import math
import re
import tomllib
from importlib.resources import files

import numpy as np
import pytest

from umbo import refdata
from umbo.errors import TableError
from umbo.refdata._sidecar import parse_sidecar
from umbo.refdata._vocabulary import NOT_FOUND

TABLES = files("umbo.refdata").joinpath("tables")
NAMES = [(entry.quantity, entry.source) for entry in refdata.catalogue()]
SOURCE_NAME = re.compile(
    r"(?:[a-z0-9.]+-)+(?:19\d\d|20\d\d|undated)|common-practice|engineering-judgement|computed-[a-z0-9.-]+"
)
every_table = pytest.mark.parametrize(("quantity", "source"), NAMES, ids=["/".join(name) for name in NAMES])


def raw_rows(quantity, source):
    text = TABLES.joinpath(quantity, f"{source}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def test_there_are_as_many_sidecars_as_tables_and_nothing_else():
    for folder in TABLES.iterdir():
        if folder.is_dir():
            names = [entry.name for entry in folder.iterdir()]
            stems = {name.rsplit(".", 1)[0] for name in names}
            assert sorted(names) == sorted([f"{stem}{end}" for stem in stems for end in (".csv", ".toml")])
    assert len(NAMES) > 90


@every_table
def test_hash_rows_and_sums(quantity, source):
    side = refdata.table(quantity, source=source).sidecar
    content = TABLES.joinpath(quantity, f"{source}.csv").read_bytes()
    rows = raw_rows(quantity, source)
    assert hashlib.sha256(content).hexdigest() == side.sha256
    assert len(rows) == side.rows
    assert content.endswith(b"\n")
    assert b"\r" not in content
    for info in side.columns:
        if info.kind == "number":
            present = [float(row[info.name]) for row in rows if row[info.name]]
            assert math.fsum(present) == pytest.approx(info.sum, rel=1e-12, abs=1e-12), info.name
            assert len(rows) - len(present) == info.missing, info.name


@every_table
def test_sidecar_says_what_a_reader_needs(quantity, source):
    found = refdata.table(quantity, source=source)
    side = found.sidecar
    assert (side.quantity, side.source) == (quantity, source)
    assert SOURCE_NAME.fullmatch(source), source
    for text in (side.title, side.edition, side.where, side.obtained, side.rights):
        assert text.strip()
    assert side.read_by
    assert side.checked_by
    assert side.read_by != side.checked_by
    if not side.bibliography:
        spoken = f"{side.obtained} {side.where}".lower()
        assert "no source" in spoken or "computed" in spoken or "textbooks" in side.edition
    if side.index:
        keys = found.columns[side.index]
        assert len(set(keys)) == side.rows
    if side.index in ("frequency_hz", "distance_from_eardrum_mm", "threshold_2khz_db_hl"):
        assert np.all(np.diff(found.column(side.index)) > 0)


@every_table
def test_columns_have_known_units_planes_and_statuses(quantity, source):
    found = refdata.table(quantity, source=source)
    names = {info.name for info in found.sidecar.columns}
    for info in found.sidecar.columns:
        assert info.meaning.endswith("."), info.name
        assert {info.plane, info.to_plane} - {""} <= refdata.PLANES, info.name
        if info.kind == "text":
            assert not info.unit
            continue
        assert info.unit in refdata.UNITS, info.unit
        assert bool(info.status) != bool(info.status_column), info.name
        assert info.status_column in names | {""}
        for status in found.statuses(info.name):
            assert refdata.is_status(status), status


@every_table
def test_a_column_name_ends_in_its_unit(quantity, source):
    endings = {
        "Hz": ("_hz",),
        "dB SPL": ("_db_spl",),
        "dB HL": ("_db_hl",),
        "dB": ("_db",),
        "dB SPL per Hz": ("_db",),
        "mm": ("_mm",),
        "m": ("_m",),
        "cm3": ("_cm3",),
        "months": ("_months",),
    }
    for info in refdata.table(quantity, source=source).sidecar.columns:
        if info.unit in endings:
            short = info.name in {"speech_raised_db", "speech_loud_db", "speech_shout_db"}
            assert short or info.name.endswith(endings[info.unit]), info.name


@every_table
def test_units_and_relations_in_rows_are_known(quantity, source):
    found = refdata.table(quantity, source=source)
    for column in ("unit", "si_unit"):
        if column in found.columns:
            assert set(found.text(column)) <= refdata.UNITS
    if "relation" in found.columns:
        assert set(found.text("relation")) <= refdata.RELATIONS
        for relation, upper in zip(found.text("relation"), found.present("value_to"), strict=True):
            assert (relation == "range") == bool(upper)


@every_table
def test_a_number_that_was_not_found_is_an_empty_cell(quantity, source):
    found = refdata.table(quantity, source=source)
    for info in found.sidecar.columns:
        if info.kind == "number":
            statuses = found.statuses(info.name)
            empty = ~found.present(info.name)
            assert all(is_empty for is_empty, status in zip(empty, statuses, strict=True) if status == NOT_FOUND)


def test_every_bibliography_entry_is_used_and_every_key_exists():
    used = {key for name in NAMES for key in refdata.table(name[0], source=name[1]).sidecar.bibliography}
    assert used == set(refdata.bibliography())
    for entry in refdata.bibliography().values():
        assert entry.kind in {"standard", "article", "package", "practice"}
        assert entry.seen
        assert entry.text.endswith(".")


def test_every_quantity_has_a_line_and_every_line_a_quantity():
    titles = tomllib.loads(TABLES.joinpath("quantities.toml").read_text(encoding="utf-8"))
    assert set(titles) == set(refdata.available())


def test_derived_tables_name_tables_that_exist():
    known = {"/".join(name) for name in NAMES}
    for quantity, source in NAMES:
        side = refdata.table(quantity, source=source).sidecar
        assert set(side.derived_from) <= known
        assert bool(side.derived_from) <= (f"{quantity}/{source}" in refdata.DERIVATIONS)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"surprise": 1}, "the key 'surprise' is none of"),
        ({"title": None}, "the sidecar has no 'title'"),
        ({"schema": 2}, "its schema is 2, this version reads 1"),
        ({"columns": {"a": {"meaning": "A.", "colour": "red"}}}, "the key 'colour' is none of"),
        ({"columns": {"a": {"meaning": "A.", "kind": "date"}}}, "is of kind 'date'"),
    ],
)
def test_a_sidecar_with_a_wrong_key_is_refused(change, sentence):
    raw = tomllib.loads(TABLES.joinpath("nal_r", "byrne-dillon-1986.toml").read_text(encoding="utf-8"))
    raw |= change
    raw = {key: value for key, value in raw.items() if value is not None}
    with pytest.raises(TableError, match=re.escape(sentence)):
        parse_sidecar(raw, "read a sidecar")


def test_status_words_are_a_closed_list():
    for good in (
        "1 source",
        "3 sources + memory",
        "2 abstracts read",
        "abstract read",
        "from memory",
        "not found",
    ):
        assert refdata.is_status(good)
    for bad in (
        "",
        "0 sources",
        "several sources",
        "measured",
        "from memory, check before use",
        "2 source read",
    ):
        assert not refdata.is_status(bad)
