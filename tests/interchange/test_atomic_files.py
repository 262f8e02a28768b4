"""Outputs are written whole or not at all."""

from __future__ import annotations

import json
import os

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.errors import InputError
from umbo.interchange import json_text, write_bytes, write_json, write_text


def _names(folder):
    return [path.name for path in folder.iterdir()]


def test_a_file_is_written_and_replaced(tmp_path):
    path = tmp_path / "result.json"
    write_json(path, {"level_db": [1.5, None], "text": "20 µPa"})
    write_json(path, {"schema": 1})
    assert json.loads(path.read_text(encoding="utf-8")) == {"schema": 1}
    assert _names(tmp_path) == ["result.json"]


def test_it_has_the_usual_permissions(tmp_path):
    write_text(tmp_path / "ours", "x")
    (tmp_path / "plain").write_text("x")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_a_failure_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch):
    path = tmp_path / "result.json"
    write_text(path, "old")

    def fail(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(InputError, match=r"write 'result\.json'.*No space left"):
        write_bytes(path, b"new")
    assert path.read_text() == "old"
    assert _names(tmp_path) == ["result.json"]


def test_no_such_folder(tmp_path):
    with pytest.raises(InputError, match="No such file"):
        write_bytes(tmp_path / "none" / "result.json", b"")


def test_a_folder_in_the_way(tmp_path):
    (tmp_path / "result.json").mkdir()
    with pytest.raises(InputError, match="directory"):
        write_bytes(tmp_path / "result.json", b"x")
    assert _names(tmp_path) == ["result.json"]


def test_nan_is_no_message(tmp_path):
    with pytest.raises(InputError, match="finite"):
        write_json(tmp_path / "result.json", {"level_db": float("nan")})
    assert _names(tmp_path) == []


_PLAIN = st.recursive(
    st.none() | st.booleans() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)


@settings(max_examples=40, deadline=None)
@given(_PLAIN)
def test_json_reads_back_exactly(data):
    assert json.loads(json_text(data)) == data
