"""Malformed cases: exported curves that contradict their declaration or hold no curve."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from case_builder import CURVE_CSV, add_curve, append, edit
from malformed_case import Malformed, changed_bytes

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

__all__ = ["CURVES"]


def _curve(old: str, new: str) -> Callable[[Path], None]:
    assert old in CURVE_CSV
    return partial(add_curve, csv=CURVE_CSV.replace(old, new))


def _twice_the_same_curve(folder: Path) -> None:
    add_curve(folder)
    text = (folder / "case.toml").read_text()
    second = text[text.index("[[curve]]") :].replace('"exported"', '"again"')
    append(folder, second)


CURVES = [
    Malformed(
        "curve not there",
        lambda f: (add_curve(f), (f / "exported.csv").unlink()),
        ("curve['exported'].file", "exported.csv"),
    ),
    Malformed(
        "curve of another plane",
        _curve("plane: coupler:ha1", "plane: coupler:cc04"),
        ("plane 'coupler:ha1'", "'coupler:cc04'"),
    ),
    Malformed("curve of another coupler", _curve("# exported by hand", "# coupler: oes"), ("coupler 'ha1'", "'oes'")),
    Malformed("curve of the other ear", _curve("# exported by hand", "# ear: left"), ("ear 'right'", "'left'")),
    Malformed("curve re one volt", _curve("reference: 20 µPa", "reference: 1 V"), ("20 µPa", "reference '1 V'")),
    Malformed("curve declared twice", _curve("# exported by hand", "# plane: eardrum"), ("'plane' twice",)),
    Malformed(
        "curve without values",
        lambda f: add_curve(f, "# plane: coupler:ha1\n"),
        ("exported.csv", "no values"),
    ),
    Malformed(
        "curve of one point",
        lambda f: add_curve(f, "frequency_hz,level_db\n250,70\n"),
        ("exported.csv", "1 point,"),
    ),
    Malformed(
        "curve with semicolons",
        lambda f: add_curve(f, "frequency_hz;level_db\n250;70,5\n"),
        ("not separated by commas",),
    ),
    Malformed(
        "curve column unknown",
        _curve("level_db,u_db", "level_dbspl,u_db"),
        ("'level_dbspl'", "did you mean 'level_db'"),
    ),
    Malformed(
        "curve column missing",
        _curve("frequency_hz,level_db,u_db", "frequency_hz,noise_db,u_db"),
        ("level_db is missing",),
    ),
    Malformed("curve row short", _curve("1000,82.25,1", "1000,82.25"), ("line 6 has 2 values for 3",)),
    Malformed("curve with NaN", _curve("82.25", "nan"), ("level_db in line 6 is 'nan'",)),
    Malformed("curve with text", _curve("82.25", "loud"), ("level_db in line 6 is 'loud'",)),
    Malformed("curve unsorted", _curve("1000,", "9000,"), ("4000 Hz follows 9000 Hz",)),
    Malformed("curve uncertainty negative", _curve("88,1.5", "88,-1.5"), ("u_db in line 7 is '-1.5'",)),
    Malformed(
        "curve not UTF-8",
        lambda f: (add_curve(f), changed_bytes("exported.csv", lambda b: b"# \xb5\n" + b)(f)),
        ("exported.csv", "0xb5"),
    ),
    Malformed("two curves in one file", _twice_the_same_curve, ("curve['exported']", "curve['again']", "same file")),
    Malformed(
        "curve and recording of one name",
        lambda f: (add_curve(f), edit(f, '"exported"', '"ear sweep"')),
        ("curve['ear sweep'].name",),
    ),
]
