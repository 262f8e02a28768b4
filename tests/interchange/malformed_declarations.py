"""Malformed cases: a case.toml that cannot be read, has wrong keys or wrong values."""

from __future__ import annotations

import os
from pathlib import Path

from case_builder import append, edit
from malformed_case import Malformed, changed_bytes, edited, replaced_by

__all__ = ["KEYS", "TEXT", "VALUES"]


def _without_recordings(folder: Path) -> None:
    path = folder / "case.toml"
    path.write_text(path.read_text().partition("[[recording]]")[0])


def _no_ear(folder: Path) -> None:
    path = folder / "case.toml"
    text = path.read_text()
    path.write_text(text[: text.index("[ear.right]")] + text[text.index("[calibration.coupler_mic]") :])


TEXT = [
    Malformed("no case.toml", lambda f: (f / "case.toml").unlink(), ("case.toml", "not there")),
    Malformed("case.toml is a folder", replaced_by(Path.mkdir, "case.toml"), ("case.toml", "regular file")),
    Malformed("case.toml is a pipe", replaced_by(os.mkfifo, "case.toml"), ("case.toml", "regular file")),
    Malformed(
        "case.toml not UTF-8",
        changed_bytes("case.toml", lambda b: b.replace(b"K-0001", b"K\xff1")),
        ("UTF-8", "0xff"),
    ),
    Malformed(
        "case.toml with NUL", changed_bytes("case.toml", lambda b: b.replace(b"K-0001", b"K\x001")), ("not TOML",)
    ),
    Malformed("case.toml empty", changed_bytes("case.toml", lambda _: b""), ("schema is missing",)),
    Malformed(
        "case.toml too large", changed_bytes("case.toml", lambda b: b + b"#" * 1_000_000), ("larger than 1000000",)
    ),
    Malformed("case.toml binary", changed_bytes("case.toml", lambda _: bytes(range(256))), ("case.toml",)),
    Malformed("broken syntax", edited('scale = "HL"', "scale = "), ("not TOML", "line 14")),
    Malformed("key twice", edited('scale = "HL"', 'scale = "HL"\nscale = "eHL"'), ("given twice", "eHL")),
    Malformed("table twice", lambda f: append(f, "\n[client]\ncode = 'X'\n"), ("[client]", "a table is given twice")),
    Malformed("deep nesting", lambda f: append(f, "\nx = " + "[" * 5000 + "]" * 5000), ("deeply",)),
    Malformed(
        "huge number",
        lambda f: edit(f, "age_months = 27", "age_months = " + "9" * 5000),
        ("too many digits",),
    ),
]

KEYS = [
    Malformed("other schema", edited("schema = 1", "schema = 2"), ("schema is 2", "must be 1")),
    Malformed("schema missing", edited("schema = 1\n", ""), ("schema is missing",)),
    Malformed("unknown key at the top", edited('id = "', 'ids = "'), ("ids is not", "did you mean 'id'")),
    Malformed(
        "unknown table",
        edited("[calibration.probe_mic]", "[calibrations.probe_mic]"),
        ("did you mean 'calibration'",),
    ),
    Malformed("unknown unit", edited("age_months", "age_years"), ("client.age_years", "did you mean 'age_months'")),
    Malformed(
        "misspelt unit",
        edited("level_db_spl", "level_dbspl"),
        ("stimulus.sweep.level_dbspl", "'level_db_spl'"),
    ),
    Malformed(
        "unknown key of a recording",
        edited("repeats = 2", "repeat = 2"),
        ("recording['coupler sweep'].repeat ", "did you mean 'repeats'"),
    ),
    Malformed(
        "kilohertz",
        edited("frequency_hz = [250", "frequency_khz = [250"),
        ("ear.right.thresholds.frequency_khz", "did you mean 'frequency_hz'"),
    ),
    Malformed("third ear", edited("[ear.right]", "[ear.middle]"), ("ear.middle", "did you mean")),
    Malformed("a name", edited('code = "K-0001"', 'name = "K-0001"'), ("client.name", "did you mean 'code'")),
    Malformed(
        "control character in a key",
        lambda f: edit(f, "[client]", '[client]\n"a\\nb" = 1'),
        (r"client.a\nb",),
    ),
    Malformed(
        "client missing",
        edited('[client]\ncode = "K-0001"\nage_months = 27', ""),
        ("client is missing", "add a table [client]"),
    ),
    Malformed("no ear", _no_ear, ("ear is missing",)),
    Malformed("empty ear", edited("[ear.right]", "[ear]\n[spare]"), ("spare",)),
    Malformed("no measurement", _without_recordings, ("[[recording]]", "[[curve]]")),
    Malformed(
        "recording is a table",
        lambda f: (_without_recordings(f), append(f, "[recording]\n")),
        ("recording is a table",),
    ),
    Malformed("middle ear missing", edited('middle_ear = "normal"\n', ""), ("ear.right.middle_ear is missing",)),
]

VALUES = [
    Malformed(
        "number in quotes",
        edited("age_months = 27", 'age_months = "27"'),
        ("client.age_months", "'27'", "a number"),
    ),
    Malformed("negative age", edited("age_months = 27", "age_months = -1"), ("client.age_months is -1", "0 or more")),
    Malformed("age is NaN", edited("age_months = 27", "age_months = nan"), ("client.age_months is nan", "finite")),
    Malformed("infinite factor", edited("= 20.0", "= inf"), ("calibration.coupler_mic.pa_per_full_scale is inf",)),
    Malformed("factor zero", edited("= 20.0", "= 0.0"), ("pa_per_full_scale is 0", "above 0")),
    Malformed("factor is true", edited("= 20.0", "= true"), ("pa_per_full_scale is true", "a number")),
    Malformed("negative uncertainty", edited("u_db = 0.3", "u_db = -0.3"), ("calibration.coupler_mic.u_db is -0.3",)),
    Malformed(
        "date in quotes",
        edited("date = 2026-11-20", 'date = "2026-11-20"'),
        ("calibration.coupler_mic.date", "without quotes"),
    ),
    Malformed(
        "date with time",
        edited("date = 2026-11-20", "date = 2026-11-20T10:00:00"),
        ("calibration.coupler_mic.date",),
    ),
    Malformed("impossible date", edited("date = 2026-11-20", "date = 2026-02-30"), ("not TOML",)),
    Malformed(
        "calibration in the future",
        edited("date = 2026-11-20", "date = 2036-11-20"),
        ("2036-11-20", "2026-11-25"),
    ),
    Malformed("calibration in the year 20", edited("date = 2026-11-20", "date = 0020-11-20"), ("0020-11-20", "year")),
    Malformed(
        "born without measured",
        lambda f: (edit(f, "measured = 2026-11-25\n", ""), edit(f, "age_months = 27", "born = 2024-08-20")),
        ("client.born", "measurement is missing"),
    ),
    Malformed(
        "born after the measurement",
        edited("age_months = 27", "born = 2027-01-01"),
        ("client.born is 2027-01-01",),
    ),
    Malformed(
        "born and age",
        edited("age_months = 27", "age_months = 27\nborn = 2024-08-20"),
        ("client.born", "age_months"),
    ),
    Malformed(
        "two dates",
        edited("age_months = 27", "age_months = 27\nmeasured = 2025-01-01"),
        ("client.measured is 2025-01-01", "2026-11-25"),
    ),
    Malformed(
        "unknown word",
        edited('middle_ear = "normal"', 'middle_ear = "fine"'),
        ("ear.right.middle_ear is 'fine'", "effusion"),
    ),
    Malformed("name with a line break", edited('"ear sweep"', '"ear\\nsweep"'), (r"'ear\nsweep'", "one line")),
    Malformed("empty name", edited('"ear sweep"', '""'), ("recording[#2].name is ''",)),
    Malformed("long name", edited('"ear sweep"', f'"{"x" * 3000}"'), (".name is", "at most 80")),
    Malformed(
        "repeats zero",
        edited("repeats = 2", "repeats = 0"),
        ("recording['coupler sweep'].repeats is 0", "1 or more"),
    ),
    Malformed("repeats half", edited("repeats = 2", "repeats = 2.5"), ("repeats is 2.5", "whole number")),
    Malformed("repeats astronomical", edited("repeats = 2", f"repeats = {10**30}"), ("repeats is a whole number",)),
]
