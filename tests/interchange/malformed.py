"""Ways in which a case folder can be wrong: what spoils the valid case, what the sentence must name."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from case_builder import (
    CURVE_CSV,
    TARGET_TOML,
    add_curve,
    append,
    edit,
    recording,
    sweep,
    write_wav,
)

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["MALFORMED", "Malformed"]


@dataclass(frozen=True)
class Malformed:
    """One malformed case.

    ``mutate`` changes a folder that ``case_builder.build_case`` made; the sentence holds each of ``names``.
    """

    name: str
    mutate: Callable[[Path], None]
    names: tuple[str, ...]


def _edit(old: str, new: str) -> Callable[[Path], None]:
    return lambda folder: edit(folder, old, new)


def _wav(file: str, samples: np.ndarray, **how) -> Callable[[Path], None]:
    return lambda folder: write_wav(folder / file, samples, **how)


def _bytes(file: str, change: Callable[[bytes], bytes]) -> Callable[[Path], None]:
    def mutate(folder: Path) -> None:
        path = folder / file
        path.write_bytes(change(path.read_bytes()))

    return mutate


def _curve(old: str, new: str) -> Callable[[Path], None]:
    assert old in CURVE_CSV
    return partial(add_curve, csv=CURVE_CSV.replace(old, new))


def _target(old: str, new: str) -> Callable[[Path], None]:
    assert old in TARGET_TOML
    return lambda folder: append(folder, TARGET_TOML.replace(old, new))


def _link_out(folder: Path) -> None:
    outside = folder.parent / f"{folder.name}-outside.wav"
    (folder / "ear.wav").rename(outside)
    (folder / "ear.wav").symlink_to(outside)


def _linked_folder(folder: Path) -> None:
    outside = folder.parent / f"{folder.name}-elsewhere"
    outside.mkdir()
    (folder / "ear.wav").rename(outside / "ear.wav")
    (folder / "inner").symlink_to(outside)
    edit(folder, '"ear.wav"', '"inner/ear.wav"')


def _replace_by(make: Callable[[Path], None], file: str) -> Callable[[Path], None]:
    def mutate(folder: Path) -> None:
        (folder / file).unlink()
        make(folder / file)

    return mutate


def _copy(source: str, file: str) -> Callable[[Path], None]:
    return lambda folder: _replace_by(lambda p: p.write_bytes((folder / source).read_bytes()), file)(folder)


def _hard_link(folder: Path) -> None:
    (folder / "ear.wav").unlink()
    os.link(folder / "coupler.wav", folder / "ear.wav")


def _cut_flac(folder: Path) -> None:
    write_wav(folder / "ear.flac", recording(0.4, 2))
    _bytes("ear.flac", lambda b: b[: len(b) // 2])(folder)
    edit(folder, '"ear.wav"', '"ear.flac"')


def _without_recordings(folder: Path) -> None:
    path = folder / "case.toml"
    path.write_text(path.read_text().partition("[[recording]]")[0])


def _twice_the_same_curve(folder: Path) -> None:
    add_curve(folder)
    text = (folder / "case.toml").read_text()
    second = text[text.index("[[curve]]") :].replace('"exported"', '"again"')
    append(folder, second)


def _nan_samples() -> np.ndarray:
    samples = recording(0.4, 2)
    samples[1234] = np.nan
    return samples


def _clipped_below_full_scale() -> np.ndarray:
    return np.clip(recording(0.9, 2), -0.3, 0.3)


def _no_ear(folder: Path) -> None:
    path = folder / "case.toml"
    text = path.read_text()
    path.write_text(text[: text.index("[ear.right]")] + text[text.index("[calibration.coupler_mic]") :])


_TEXT = [
    Malformed("no case.toml", lambda f: (f / "case.toml").unlink(), ("case.toml", "not there")),
    Malformed("case.toml is a folder", _replace_by(Path.mkdir, "case.toml"), ("case.toml", "regular file")),
    Malformed("case.toml is a pipe", _replace_by(os.mkfifo, "case.toml"), ("case.toml", "regular file")),
    Malformed(
        "case.toml not UTF-8",
        _bytes("case.toml", lambda b: b.replace(b"K-0001", b"K\xff1")),
        ("UTF-8", "0xff"),
    ),
    Malformed("case.toml with NUL", _bytes("case.toml", lambda b: b.replace(b"K-0001", b"K\x001")), ("not TOML",)),
    Malformed("case.toml empty", _bytes("case.toml", lambda _: b""), ("schema is missing",)),
    Malformed("case.toml too large", _bytes("case.toml", lambda b: b + b"#" * 1_000_000), ("larger than 1000000",)),
    Malformed("case.toml binary", _bytes("case.toml", lambda _: bytes(range(256))), ("case.toml",)),
    Malformed("broken syntax", _edit('scale = "HL"', "scale = "), ("not TOML", "line 14")),
    Malformed("key twice", _edit('scale = "HL"', 'scale = "HL"\nscale = "eHL"'), ("given twice", "eHL")),
    Malformed("table twice", lambda f: append(f, "\n[client]\ncode = 'X'\n"), ("[client]", "a table is given twice")),
    Malformed("deep nesting", lambda f: append(f, "\nx = " + "[" * 5000 + "]" * 5000), ("deeply",)),
    Malformed(
        "huge number",
        lambda f: edit(f, "age_months = 27", "age_months = " + "9" * 5000),
        ("too many digits",),
    ),
]

_KEYS = [
    Malformed("other schema", _edit("schema = 1", "schema = 2"), ("schema is 2", "must be 1")),
    Malformed("schema missing", _edit("schema = 1\n", ""), ("schema is missing",)),
    Malformed("unknown key at the top", _edit('id = "', 'ids = "'), ("ids is not", "did you mean 'id'")),
    Malformed(
        "unknown table",
        _edit("[calibration.probe_mic]", "[calibrations.probe_mic]"),
        ("did you mean 'calibration'",),
    ),
    Malformed("unknown unit", _edit("age_months", "age_years"), ("client.age_years", "did you mean 'age_months'")),
    Malformed(
        "misspelt unit",
        _edit("level_db_spl", "level_dbspl"),
        ("stimulus.sweep.level_dbspl", "'level_db_spl'"),
    ),
    Malformed(
        "unknown key of a recording",
        _edit("repeats = 2", "repeat = 2"),
        ("recording['coupler sweep'].repeat ", "did you mean 'repeats'"),
    ),
    Malformed(
        "kilohertz",
        _edit("frequency_hz = [250", "frequency_khz = [250"),
        ("ear.right.thresholds.frequency_khz", "did you mean 'frequency_hz'"),
    ),
    Malformed("third ear", _edit("[ear.right]", "[ear.middle]"), ("ear.middle", "did you mean")),
    Malformed("a name", _edit('code = "K-0001"', 'name = "K-0001"'), ("client.name", "did you mean 'code'")),
    Malformed(
        "control character in a key",
        lambda f: edit(f, "[client]", '[client]\n"a\\nb" = 1'),
        (r"client.a\nb",),
    ),
    Malformed(
        "client missing",
        _edit('[client]\ncode = "K-0001"\nage_months = 27', ""),
        ("client is missing", "add a table [client]"),
    ),
    Malformed("no ear", _no_ear, ("ear is missing",)),
    Malformed("empty ear", _edit("[ear.right]", "[ear]\n[spare]"), ("spare",)),
    Malformed("no measurement", _without_recordings, ("[[recording]]", "[[curve]]")),
    Malformed(
        "recording is a table",
        lambda f: (_without_recordings(f), append(f, "[recording]\n")),
        ("recording is a table",),
    ),
    Malformed("middle ear missing", _edit('middle_ear = "normal"\n', ""), ("ear.right.middle_ear is missing",)),
]

_VALUES = [
    Malformed(
        "number in quotes",
        _edit("age_months = 27", 'age_months = "27"'),
        ("client.age_months", "'27'", "a number"),
    ),
    Malformed("negative age", _edit("age_months = 27", "age_months = -1"), ("client.age_months is -1", "0 or more")),
    Malformed("age is NaN", _edit("age_months = 27", "age_months = nan"), ("client.age_months is nan", "finite")),
    Malformed("infinite factor", _edit("= 20.0", "= inf"), ("calibration.coupler_mic.pa_per_full_scale is inf",)),
    Malformed("factor zero", _edit("= 20.0", "= 0.0"), ("pa_per_full_scale is 0", "above 0")),
    Malformed("factor is true", _edit("= 20.0", "= true"), ("pa_per_full_scale is true", "a number")),
    Malformed("negative uncertainty", _edit("u_db = 0.3", "u_db = -0.3"), ("calibration.coupler_mic.u_db is -0.3",)),
    Malformed(
        "date in quotes",
        _edit("date = 2026-11-20", 'date = "2026-11-20"'),
        ("calibration.coupler_mic.date", "without quotes"),
    ),
    Malformed(
        "date with time",
        _edit("date = 2026-11-20", "date = 2026-11-20T10:00:00"),
        ("calibration.coupler_mic.date",),
    ),
    Malformed("impossible date", _edit("date = 2026-11-20", "date = 2026-02-30"), ("not TOML",)),
    Malformed(
        "calibration in the future",
        _edit("date = 2026-11-20", "date = 2036-11-20"),
        ("2036-11-20", "2026-11-25"),
    ),
    Malformed("calibration in the year 20", _edit("date = 2026-11-20", "date = 0020-11-20"), ("0020-11-20", "year")),
    Malformed(
        "born without measured",
        lambda f: (edit(f, "measured = 2026-11-25\n", ""), edit(f, "age_months = 27", "born = 2024-08-20")),
        ("client.born", "measurement is missing"),
    ),
    Malformed(
        "born after the measurement",
        _edit("age_months = 27", "born = 2027-01-01"),
        ("client.born is 2027-01-01",),
    ),
    Malformed(
        "born and age",
        _edit("age_months = 27", "age_months = 27\nborn = 2024-08-20"),
        ("client.born", "age_months"),
    ),
    Malformed(
        "two dates",
        _edit("age_months = 27", "age_months = 27\nmeasured = 2025-01-01"),
        ("client.measured is 2025-01-01", "2026-11-25"),
    ),
    Malformed(
        "unknown word",
        _edit('middle_ear = "normal"', 'middle_ear = "fine"'),
        ("ear.right.middle_ear is 'fine'", "effusion"),
    ),
    Malformed("name with a line break", _edit('"ear sweep"', '"ear\\nsweep"'), (r"'ear\nsweep'", "one line")),
    Malformed("empty name", _edit('"ear sweep"', '""'), ("recording[#2].name is ''",)),
    Malformed("long name", _edit('"ear sweep"', f'"{"x" * 3000}"'), (".name is", "at most 80")),
    Malformed(
        "repeats zero",
        _edit("repeats = 2", "repeats = 0"),
        ("recording['coupler sweep'].repeats is 0", "1 or more"),
    ),
    Malformed("repeats half", _edit("repeats = 2", "repeats = 2.5"), ("repeats is 2.5", "whole number")),
    Malformed("repeats astronomical", _edit("repeats = 2", f"repeats = {10**30}"), ("repeats is a whole number",)),
]

_THRESHOLDS = [
    Malformed("one level short", _edit("60, 65]", "60]"), ("thresholds.level_db has 5 values for 6",)),
    Malformed("one flag short", _edit("false, true]", "true]"), ("thresholds.no_response has 5 values for 6",)),
    Malformed("no frequency", _edit("[250, 500, 1000, 2000, 4000, 8000]", "[]"), ("thresholds.frequency_hz",)),
    Malformed(
        "frequencies unsorted",
        _edit("[250, 500,", "[500, 250,"),
        ("thresholds.frequency_hz is not ascending", "250 Hz follows 500 Hz"),
    ),
    Malformed("frequency twice", _edit("[250, 500,", "[500, 500,"), ("frequency_hz is not ascending",)),
    Malformed("level too high", _edit("[30, 35,", "[30, 350,"), ("thresholds.level_db[#2] is 350", "140 or less")),
    Malformed("level is NaN", _edit("[30, 35,", "[30, nan,"), ("thresholds.level_db[#2] is nan",)),
    Malformed("level is text", _edit("[30, 35,", '[30, "35",'), ("thresholds.level_db[#2] is '35'",)),
    Malformed("insert without coupler", _edit('coupler = "ha1"\n', ""), ("ear.right.thresholds.coupler is missing",)),
    Malformed(
        "nHL without correction",
        _edit('scale = "HL"', 'scale = "nHL"'),
        ("thresholds.correction is missing", "nHL"),
    ),
    Malformed(
        "correction with HL",
        _edit('scale = "HL"', 'scale = "HL"\ncorrection = "mine"'),
        ("correction is 'mine'", "HL"),
    ),
    Malformed(
        "correction not there",
        _edit('scale = "HL"', 'scale = "nHL"\ncorrection = "mine"'),
        ("corrections.mine",),
    ),
    Malformed(
        "correction with a gap",
        lambda f: (
            edit(f, 'scale = "HL"', 'scale = "nHL"\ncorrection = "mine"'),
            append(f, "\n[corrections.mine]\nfrequency_hz = [500]\nlevel_db = [10]\nsource = 'invented'\n"),
        ),
        ("corrections.mine.frequency_hz has no value at 250 Hz",),
    ),
    Malformed(
        "tip behind the drum",
        _edit("tip_to_drum_mm = 5.0", "tip_to_drum_mm = -5.0"),
        ("ear.right.tip_to_drum_mm is -5",),
    ),
    Malformed(
        "discomfort lengths",
        lambda f: append(
            f,
            "\n[ear.right.discomfort]\nscale='HL'\ntransducer='sound_field'\nfrequency_hz=[500]\nlevel_db=[90, 95]\n",
        ),
        ("ear.right.discomfort.level_db has 2 values for 1 frequency",),
    ),
    Malformed(
        "microphone-location effect without source",
        lambda f: append(f, "\n[ear.right.mle]\nfrequency_hz=[500]\nlevel_db=[1]\n"),
        ("ear.right.mle.source is missing",),
    ),
]

_REFERENCES = [
    Malformed(
        "unknown stimulus",
        _edit('stimulus = "sweep"', 'stimulus = "seep"'),
        ("recording['coupler sweep'].stimulus is 'seep'", "it has: sweep"),
    ),
    Malformed(
        "unknown calibration",
        _edit('calibration = "probe_mic"', 'calibration = "other"'),
        ("recording['ear sweep'].calibration is 'other'",),
    ),
    Malformed(
        "ear not described",
        _edit('ear = "right"', 'ear = "left"'),
        ("recording['coupler sweep'].ear is 'left'", "[ear.left]"),
    ),
    Malformed(
        "name used twice",
        _edit('name = "ear sweep"', 'name = "coupler sweep"'),
        ("recording['coupler sweep'].name",),
    ),
    Malformed(
        "coupler missing",
        _edit('place = "coupler"\ncoupler = "ha1"', 'place = "coupler"'),
        ("recording['coupler sweep'].coupler is missing",),
    ),
    Malformed(
        "coupler in an ear",
        _edit('place = "probe_tip"', 'place = "probe_tip"\ncoupler = "ha1"'),
        ("recording['ear sweep'].coupler is 'ha1'", "probe_tip"),
    ),
    Malformed("sweep without start", _edit("start_hz = 80.0\n", ""), ("stimulus.sweep.start_hz is missing",)),
    Malformed(
        "sweep downwards",
        _edit("start_hz = 80.0", "start_hz = 30000.0"),
        ("stimulus.sweep.stop_hz is 20000 Hz", "30000"),
    ),
    Malformed(
        "sweep beyond half the rate",
        _edit("stop_hz = 20000.0", "stop_hz = 24000.0"),
        ("stimulus.sweep.stop_hz is 24000 Hz", "48000 Hz"),
    ),
    Malformed("stimulus without file", _edit('file = "sweep.wav"\n', ""), ("stimulus.sweep.file is missing",)),
    Malformed(
        "target without values",
        _target("level_db = [78, 83, 90, 96]\n", ""),
        ("target['clinic']", "neither a file nor values"),
    ),
    Malformed(
        "target with both",
        _target("frequency_hz =", 'file = "t.csv"\nfrequency_hz ='),
        ("target['clinic'].file",),
    ),
    Malformed(
        "target without level",
        _target("level_db_spl = 65.0\n", ""),
        ("target['clinic'].level_db_spl is missing",),
    ),
    Malformed("target of the other ear", _target('"right"', '"left"'), ("target['clinic'].ear is 'left'",)),
    Malformed("target without version", _target('version = "1"\n', ""), ("target['clinic'].version is missing",)),
]

_FILES = [
    Malformed(
        "recording not there",
        lambda f: (f / "ear.wav").unlink(),
        ("recording['ear sweep'].file", "'ear.wav'", "not there"),
    ),
    Malformed("stimulus not there", lambda f: (f / "sweep.wav").unlink(), ("stimulus.sweep.file", "sweep.wav")),
    Malformed(
        "absolute path",
        lambda f: edit(f, '"ear.wav"', f'"{f}/ear.wav"'),
        ("recording['ear sweep'].file", "out of the case folder"),
    ),
    Malformed(
        "drive letter",
        _edit('"ear.wav"', r"'C:\ear.wav'"),
        ("recording['ear sweep'].file", "out of the case folder"),
    ),
    Malformed(
        "path upwards",
        lambda f: edit(f, '"ear.wav"', f'"../{f.name}/ear.wav"'),
        ("recording['ear sweep'].file", "out of the case folder"),
    ),
    Malformed("link out of the folder", _link_out, ("recording['ear sweep'].file", "leads out")),
    Malformed("folder linked out of the folder", _linked_folder, ("inner/ear.wav", "leads out")),
    Malformed(
        "link to nothing",
        _replace_by(lambda p: p.symlink_to("nowhere.wav"), "ear.wav"),
        ("ear.wav", "not there"),
    ),
    Malformed(
        "link in a circle",
        _replace_by(lambda p: p.symlink_to("ear.wav"), "ear.wav"),
        ("ear.wav", "not there"),
    ),
    Malformed("recording is a folder", _replace_by(Path.mkdir, "ear.wav"), ("ear.wav", "regular file")),
    Malformed("recording is a pipe", _replace_by(os.mkfifo, "ear.wav"), ("ear.wav", "regular file")),
    Malformed(
        "one file for two",
        _edit('"ear.wav"', '"coupler.wav"'),
        ("recording['coupler sweep']", "recording['ear sweep']", "same file"),
    ),
    Malformed("one file by two spellings", _edit('"ear.wav"', '"./coupler.wav"'), ("same file 'coupler.wav'",)),
    Malformed("one file by a hard link", _hard_link, ("same file",)),
    Malformed(
        "copy of the other recording",
        _copy("coupler.wav", "ear.wav"),
        ("recording['coupler sweep']", "recording['ear sweep']", "same bytes"),
    ),
    Malformed(
        "stimulus in place of the recording",
        lambda f: (
            _copy("sweep.wav", "ear.wav")(f),
            edit(f, 'repeats = 2\near = "right"\nplace = "probe_tip"', 'ear = "right"\nplace = "probe_tip"'),
        ),
        ("stimulus.sweep", "recording['ear sweep']", "same bytes"),
    ),
    Malformed(
        "recording and stimulus swapped",
        lambda f: (
            edit(f, '"sweep.wav"', '"x.wav"'),
            edit(f, '"ear.wav"', '"sweep.wav"'),
            edit(f, '"x.wav"', '"ear.wav"'),
        ),
        ("'coupler.wav' is too short", "'ear.wav'"),
    ),
]

_AUDIO = [
    Malformed("recording empty", _bytes("ear.wav", lambda _: b""), ("'ear.wav' is not a readable",)),
    Malformed(
        "recording is text",
        _bytes("ear.wav", lambda _: b"frequency_hz,level_db\n1,2\n"),
        ("'ear.wav' is not a readable",),
    ),
    Malformed("header alone", _bytes("ear.wav", lambda b: b[:44]), ("'ear.wav' is cut off",)),
    Malformed(
        "recording cut off",
        _bytes("ear.wav", lambda b: b[: len(b) * 3 // 4]),
        ("'ear.wav' is cut off", "bytes"),
    ),
    Malformed("FLAC cut off", _cut_flac, ("'ear.flac'",)),
    Malformed("no samples", _wav("ear.wav", np.zeros(0)), ("'ear.wav' holds no samples",)),
    Malformed(
        "two channels",
        _wav("ear.wav", np.stack([recording(0.4, 2)] * 2, axis=1)),
        ("'ear.wav' has 2 channels",),
    ),
    Malformed(
        "wrong rate",
        _wav("ear.wav", recording(0.4, 2), rate_hz=44_100),
        ("'ear.wav'", "44100 Hz", "48000 Hz"),
    ),
    Malformed(
        "rate of a telephone",
        _wav("ear.wav", recording(0.4, 2), rate_hz=4_000),
        ("'ear.wav'", "4000 samples a second"),
    ),
    Malformed("eight bits", _wav("ear.wav", recording(0.4, 2), subtype="PCM_U8"), ("'ear.wav'", "PCM_U8")),
    Malformed("companded", _wav("ear.wav", recording(0.4, 2), subtype="ULAW"), ("'ear.wav'", "ULAW")),
    Malformed("too short", _wav("ear.wav", recording(0.4, 2)[:-1]), ("'ear.wav' is too short", "28799", "28800")),
    Malformed(
        "one period too long",
        _wav("ear.wav", recording(0.4, 2, repeats=3)),
        ("'ear.wav' is too long", "43200", "28800"),
    ),
    Malformed(
        "more than an hour",
        _wav("ear.wav", np.zeros(8000 * 3601, dtype=np.int16), rate_hz=8000, subtype="PCM_16"),
        ("'ear.wav' lasts 3601 s",),
    ),
    Malformed("silent", _wav("ear.wav", np.zeros(28_800)), ("'ear.wav' is silent",)),
    Malformed("constant", _wav("ear.wav", np.full(28_800, 0.25)), ("'ear.wav' is silent", "0.25")),
    Malformed("silent stimulus", _wav("sweep.wav", np.zeros_like(sweep())), ("'sweep.wav' is silent",)),
    Malformed("NaN in samples", _wav("ear.wav", _nan_samples(), subtype="FLOAT"), ("ear sweep", "1234")),
    Malformed(
        "infinite sample",
        _wav("coupler.wav", np.append(recording(0.2, 1)[:-1], np.inf), subtype="DOUBLE"),
        ("coupler sweep", "28799"),
    ),
    Malformed("clipped", _wav("ear.wav", recording(4.0, 2)), ("'ear.wav' is clipped", "%")),
    Malformed(
        "clipped float",
        _wav("ear.wav", np.clip(recording(4.0, 2), -1, 1), subtype="FLOAT"),
        ("'ear.wav' is clipped",),
    ),
    Malformed(
        "clipped before the converter",
        _wav("ear.wav", _clipped_below_full_scale()),
        ("'ear.wav' is clipped", "0.3"),
    ),
    Malformed(
        "integers as float",
        _wav("ear.wav", 32767 * recording(0.4, 2), subtype="FLOAT"),
        ("'ear.wav' reaches", "1.0"),
    ),
]

_CURVES = [
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
        lambda f: (add_curve(f), _bytes("exported.csv", lambda b: b"# \xb5\n" + b)(f)),
        ("exported.csv", "0xb5"),
    ),
    Malformed("two curves in one file", _twice_the_same_curve, ("curve['exported']", "curve['again']", "same file")),
    Malformed(
        "curve and recording of one name",
        lambda f: (add_curve(f), edit(f, '"exported"', '"ear sweep"')),
        ("curve['ear sweep'].name",),
    ),
]


#: Every malformed case. Some can only be seen when the samples are read: read every take and stimulus.
MALFORMED = [*_TEXT, *_KEYS, *_VALUES, *_THRESHOLDS, *_REFERENCES, *_FILES, *_AUDIO, *_CURVES]
