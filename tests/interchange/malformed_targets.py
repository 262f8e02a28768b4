"""Malformed cases: target files in JSON that hold no target, or another one than case.toml says."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from case_builder import add_target
from malformed_case import Malformed, changed_bytes

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

__all__ = ["TARGETS"]


def _without(key: str) -> Callable[[Path], None]:
    return partial(add_target, change={key: None})


def _with(**change: Any) -> Callable[[Path], None]:
    return partial(add_target, change=change)


def _text(text: str) -> Callable[[Path], None]:
    return partial(add_target, text=text)


TARGETS = [
    Malformed(
        "target file not there",
        lambda f: (add_target(f), (f / "clinic.json").unlink()),
        ("target['clinic'].file", "clinic.json"),
    ),
    Malformed("target file no JSON", _text("method: invented"), ("'clinic.json'", "not JSON", "line 1, column 1")),
    Malformed("target file cut off", _text('{"method": "invented"'), ("'clinic.json'", "not JSON")),
    Malformed("target file an array", _text("[1, 2]"), ("an array of 2 values and not an object",)),
    Malformed("target file a number", _text("65"), ("it is 65 and not an object",)),
    Malformed("target file empty", _text(""), ("'clinic.json'", "not JSON")),
    Malformed("target file with NaN", _text('{"level_db_spl": NaN}'), ("holds NaN, which is no number of JSON",)),
    Malformed(
        "target file with a key twice", _text('{"kind": "speech", "kind": "speech"}'), ("'kind' is given twice",)
    ),
    Malformed("target file nested deeply", _text("[" * 100_000), ("too deeply",)),
    Malformed("target file with a huge number", _text('{"level_db_spl": ' + "9" * 5000 + "}"), ("too many digits",)),
    Malformed("target file too large", _text(" " * 1_000_001), ("larger than 1000000 bytes",)),
    Malformed(
        "target file not UTF-8",
        lambda f: (add_target(f), changed_bytes("clinic.json", lambda b: b.replace(b"invented", b"\xb5"))(f)),
        ("not UTF-8 text", "0xb5"),
    ),
    Malformed(
        "target file without version",
        _without("version"),
        ("version is missing", "add 'version' at the top of 'clinic.json'"),
    ),
    Malformed("target file without values", _without("level_db"), ("level_db is missing",)),
    Malformed("target file without input level", _without("level_db_spl"), ("level_db_spl is missing, and a speech",)),
    Malformed(
        "target file with an unknown key",
        _with(level_dbspl=65.0),
        ("level_dbspl is not a known key (did you mean 'level_db_spl'?)",),
    ),
    Malformed(
        "target file of a kind unknown",
        _with(kind="loud"),
        ("kind is 'loud'", "'speech', 'insertion_gain' or 'maximum_output'"),
    ),
    Malformed("target file with text for a level", _with(level_db=[78, 83, "90", 96]), ("level_db[#3] is '90'",)),
    Malformed("target file with an absurd level", _with(level_db=[78, 83, 900, 96]), ("level_db[#3] is 900",)),
    Malformed("target file with too few levels", _with(level_db=[78, 83]), ("has 2 values for 4 frequencies",)),
    Malformed("target file unsorted", _with(frequency_hz=[500, 2000, 1000, 4000]), ("1000 Hz follows 2000 Hz",)),
    Malformed(
        "target file of another method",
        _with(method="other"),
        ("target['clinic'] in case.toml means method 'invented', but 'clinic.json' says 'other'",),
    ),
    Malformed("target file of another version", _with(version="2"), ("version '1'", "'clinic.json' says '2'")),
    Malformed("target file of other options", _with(options="quiet"), ("options ''", "'clinic.json' says 'quiet'")),
    Malformed("target file of another kind", _with(kind="maximum_output"), ("kind 'speech'", "'maximum_output'")),
    Malformed("target file of another input", _with(level_db_spl=55), ("level_db_spl 65", "'clinic.json' says '55'")),
    Malformed(
        "target table of another input",
        partial(add_target, name="clinic.csv", text="# level_db_spl: 55\nfrequency_hz,level_db\n500,78\n1000,83\n"),
        ("level_db_spl 65", "the header of 'clinic.csv' says '55'"),
    ),
    Malformed(
        "target table with an input that is no number",
        partial(add_target, name="clinic.csv", text="# level_db_spl: soft\nfrequency_hz,level_db\n500,78\n1000,83\n"),
        ("the header of 'clinic.csv' says 'soft'",),
    ),
]
