"""From case.toml to a plan: every key arrives, and arrives unchanged."""

from __future__ import annotations

import json
import tempfile
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from case_builder import (
    CURVE_CSV,
    RATE_HZ,
    TARGET_TOML,
    add_curve,
    append,
    build_case,
    edit,
    recording,
    sweep,
    write_wav,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.core import CouplerKind, Coupling, Ear, Source, Transducer
from umbo.errors import CaseError
from umbo.interchange import open_case
from umbo.session import Client, StimulusPlan, Take, TargetSet, ThresholdSet


@pytest.fixture
def folder(tmp_path):
    return build_case(tmp_path / "case")


def test_every_declared_value_arrives(folder):
    plan = open_case(folder).plan
    assert plan.case_id == "invented-0001"
    assert plan.client == Client(code="K-0001", age_months=27.0)
    assert plan.date == date(2026, 11, 25)
    ear = plan.ears[Ear.RIGHT]
    assert (ear.middle_ear, ear.tip_to_drum_mm, ear.discomfort) == ("normal", 5.0, None)
    assert ear.thresholds == ThresholdSet(
        scale="HL",
        transducer=Transducer.INSERT,
        coupler=CouplerKind.HA1,
        coupling=Coupling.FOAM_TIP,
        frequency_hz=(250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0),
        level_db=(30.0, 35.0, 45.0, 55.0, 60.0, 65.0),
        no_response=(False, False, False, False, False, True),
    )
    assert plan.stimuli == {
        "sweep": StimulusPlan(
            name="sweep",
            kind="exponential_sweep",
            start_hz=80.0,
            stop_hz=20_000.0,
            level_db_spl=65.0,
            has_file=True,
            file="sweep.wav",
        )
    }
    assert plan.takes[1] == Take(
        name="ear sweep",
        stimulus="sweep",
        repeats=2,
        ear=Ear.RIGHT,
        place="probe_tip",
        coupler=None,
        coupling=Coupling.FOAM_TIP,
        source=Source.INSERT,
        calibration="probe_mic",
        file="ear.wav",
    )
    probe = plan.calibrations["probe_mic"]
    assert (probe.name, probe.pa_per_full_scale, probe.u_db) == ("probe_mic", 20.0, 0.5)
    assert (probe.date, probe.method, probe.tube) == (date(2026, 11, 20), "entered", None)


def test_what_may_be_left_out_has_its_documented_meaning(folder):
    edit(folder, "no_response = [false, false, false, false, false, true]\n", "")
    edit(folder, "tip_to_drum_mm = 5.0\n", "")
    edit(folder, "age_months = 27\n", "")
    edit(folder, "measured = 2026-11-25\n", "")
    plan = open_case(folder).plan
    ear = plan.ears[Ear.RIGHT]
    assert ear.thresholds.no_response == (False,) * 6
    assert ear.tip_to_drum_mm is None
    assert (ear.recd, ear.venting, ear.frequency_lowering) == ("measured", "closed", False)
    assert ear.prescription == "nal_r"
    assert (ear.mle_frequency_hz, ear.mle_db, ear.mle_source, ear.targets) == ((), (), "", ())
    assert plan.client.age_months is None
    assert plan.date is None


def test_added_keys_arrive(folder):
    edit(folder, "tip_to_drum_mm = 5.0", 'tip_to_drum_mm = 5.0\nrecd = "adult_average"')
    edit(folder, 'scale = "HL"', 'scale = "nHL"\ncorrection = "clinic"')
    edit(folder, "u_db = 0.5", 'u_db = 0.5\nmethod = "calibrator"')
    append(
        folder,
        """
[calibration.probe_mic.tube]
frequency_hz = [100, 16000]
level_db = [0.5, -12.0]
u_db = 0.7

[ear.right.fitting]
venting = "vented"
prescription = "none"
frequency_lowering = true

[ear.right.mle]
frequency_hz = [500, 4000]
level_db = [0.5, 3.0]
source = "invented"

[corrections.clinic]
frequency_hz = [250, 500, 1000, 2000, 3000, 4000, 8000]
level_db = [25, 20, 15, 10, 9, 5, 0]
source = "invented"

[ear.right.discomfort]
scale = "HL"
transducer = "sound_field"
frequency_hz = [500]
level_db = [100]
""",
    )
    append(folder, TARGET_TOML)
    plan = open_case(folder).plan
    ear = plan.ears[Ear.RIGHT]
    assert (ear.recd, ear.venting, ear.frequency_lowering) == ("adult_average", "vented", True)
    assert ear.prescription == "none"
    assert (ear.mle_frequency_hz, ear.mle_db, ear.mle_source) == ((500.0, 4000.0), (0.5, 3.0), "invented")
    assert ear.thresholds.correction_name == "clinic"
    assert ear.thresholds.correction_db == (25.0, 20.0, 15.0, 10.0, 5.0, 0.0)
    assert ear.discomfort.level_db == (100.0,)
    assert ear.targets == (
        TargetSet(
            name="clinic",
            method="invented",
            version="1",
            options="",
            kind="speech",
            level_db_spl=65.0,
            frequency_hz=(500.0, 1000.0, 2000.0, 4000.0),
            level_db=(78.0, 83.0, 90.0, 96.0),
        ),
    )
    probe = plan.calibrations["probe_mic"]
    assert probe.method == "calibrator"
    assert probe.tube.response_db.tolist() == [0.5, -12.0]
    assert (probe.tube.name, probe.tube.u_db) == ("probe_mic", 0.7)


def test_targets_from_a_file_go_to_their_ear(folder):
    append(folder, '\n[ear.left]\nmiddle_ear = "unknown"\n')
    values = "frequency_hz = [500, 1000, 2000, 4000]\nlevel_db = [78, 83, 90, 96]\n"
    append(folder, TARGET_TOML.replace(values, 'file = "limits.csv"').replace('"right"', '"left"'))
    (folder / "limits.csv").write_text("# plane: eardrum\n# version: 1\nfrequency_hz,level_db\n500,101.5\n1000,103\n")
    plan = open_case(folder).plan
    assert list(plan.ears) == [Ear.RIGHT, Ear.LEFT]
    assert plan.ears[Ear.RIGHT].targets == ()
    assert plan.ears[Ear.LEFT].targets[0].level_db == (101.5, 103.0)


def test_a_target_file_of_another_version_is_refused(folder):
    values = "frequency_hz = [500, 1000, 2000, 4000]\nlevel_db = [78, 83, 90, 96]\n"
    append(folder, TARGET_TOML.replace(values, 'file = "limits.csv"'))
    (folder / "limits.csv").write_text("# version: 2\nfrequency_hz,level_db\n500,101.5\n1000,103\n")
    with pytest.raises(CaseError, match=r"version '1'.*'limits\.csv' says '2'"):
        open_case(folder)


def test_an_imported_curve_arrives_with_its_header(folder):
    add_curve(
        folder,
        CURVE_CSV.replace("u_db\n", "u_db,state\n").replace(",1\n", ",1,ok\n").replace(",1.5\n", ",1.5,noisy\n"),
    )
    (curve,) = open_case(folder).plan.curves
    assert (curve.name, curve.coupler, curve.source, curve.file) == (
        "exported",
        CouplerKind.HA1,
        Source.AID,
        "exported.csv",
    )
    assert curve.frequency_hz == (250.0, 1000.0, 4000.0)
    assert curve.level_db == (70.5, 82.25, 88.0)
    assert curve.u_db == (1.0, 1.0, 1.5)
    assert curve.noise_db is None
    assert curve.state == ("ok", "ok", "noisy")
    assert curve.declared == {"plane": "coupler:ha1", "reference": "20 µPa"}


def test_a_case_of_curves_needs_no_recording(folder):
    add_curve(folder)
    path = folder / "case.toml"
    text = path.read_text()
    path.write_text(text[: text.index("[[recording]]")] + text[text.index("[[curve]]") :])
    edit(folder, 'file = "sweep.wav"\n', "")
    for name in ("sweep.wav", "coupler.wav", "ear.wav"):
        (folder / name).unlink()
    plan = open_case(folder).plan
    assert (len(plan.takes), len(plan.curves), plan.stimuli["sweep"].has_file) == (0, 1, False)


def test_silence_needs_no_file(folder):
    write_wav(folder / "quiet.wav", 1e-4 * np.random.default_rng(3).standard_normal(5000))
    append(
        folder,
        """
[stimulus.quiet]
kind = "silence"

[[recording]]
name = "room noise"
file = "quiet.wav"
stimulus = "quiet"
ear = "right"
place = "probe_tip"
coupling = "foam_tip"
source = "aid"
calibration = "probe_mic"
""",
    )
    case = open_case(folder)
    assert case.plan.takes[2].repeats == 1
    assert case.take("room noise").samples_fs.size == 5000


@pytest.mark.parametrize(
    ("born", "measured", "months"),
    [
        ("2024-08-25", "2026-11-25", 27.0),
        ("2024-08-26", "2026-11-25", 26 + 30 / 31),  # 26 October to 26 November has 31 days
        ("2026-11-25", "2026-11-25", 0.0),
        ("2024-02-29", "2025-02-28", 12.0),
        ("2025-01-31", "2025-03-01", 1 + 1 / 31),  # 28 February to 31 March has 31 days
    ],
)
def test_age_from_dates(folder, born, measured, months):
    edit(folder, "measured = 2026-11-25\n", "")
    edit(folder, "age_months = 27", f"born = {born}\nmeasured = {measured}")
    edit(folder, "date = 2026-11-20", f"date = {measured}")
    edit(folder, "date = 2026-11-20", f"date = {measured}")
    plan = open_case(folder).plan
    assert plan.client.age_months == pytest.approx(months, abs=1e-12)
    assert plan.date == date.fromisoformat(measured)


@pytest.mark.parametrize("subtype", ["PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE"])
def test_sample_formats(folder, subtype):
    samples = recording(0.4, 2)
    write_wav(folder / "ear.wav", samples, subtype=subtype)
    read = open_case(folder).take("ear sweep")
    step = {"PCM_16": 2**-15, "PCM_24": 2**-23, "PCM_32": 2**-31, "FLOAT": 2**-24, "DOUBLE": 0}[subtype]
    assert read.samples_fs.dtype == np.float64
    assert read.sampling_rate_hz == RATE_HZ
    np.testing.assert_allclose(read.samples_fs, samples, rtol=0, atol=step)


def test_flac_and_subfolders(folder):
    (folder / "takes").mkdir()
    write_wav(folder / "takes" / "ear.flac", recording(0.4, 2))
    edit(folder, '"ear.wav"', '"takes/ear.flac"')
    read = open_case(folder).take("ear sweep")
    np.testing.assert_allclose(read.samples_fs, recording(0.4, 2), rtol=0, atol=2**-23)


def test_the_stimulus_is_read_as_it_was_played(folder):
    played = open_case(folder).stimulus("sweep")
    np.testing.assert_allclose(played.samples_fs, sweep(), rtol=0, atol=2**-23)


def test_two_stimuli_may_share_a_file(folder):
    append(
        folder,
        '\n[stimulus.again]\nkind = "exponential_sweep"\nfile = "sweep.wav"\nstart_hz = 80.0\nstop_hz = 20000.0\n',
    )
    assert list(open_case(folder).plan.stimuli) == ["sweep", "again"]


def test_a_byte_order_mark_and_windows_line_ends_are_read(folder):
    path = folder / "case.toml"
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    assert open_case(folder).plan.case_id == "invented-0001"


def test_the_folder_may_be_a_link_and_a_relative_path(folder, tmp_path, monkeypatch):
    (tmp_path / "link").symlink_to(folder)
    monkeypatch.chdir(tmp_path)
    assert open_case("link").plan.case_id == "invented-0001"


_PRINTABLE = st.characters(blacklist_categories=("C", "Z"))
_NAMES = st.text(_PRINTABLE, min_size=1, max_size=20)
_THRESHOLDS = st.lists(
    st.tuples(st.floats(20, 20_000), st.floats(-20, 140) | st.integers(-20, 140), st.booleans()),
    min_size=1,
    max_size=12,
    unique_by=lambda point: point[0],
).map(sorted)


@settings(max_examples=60, deadline=None)
@given(
    case_id=_NAMES,
    code=_NAMES,
    mic=_NAMES,
    age=st.floats(0, 1500) | st.integers(0, 1500),
    factor=st.floats(1e-6, 1e6),
    points=_THRESHOLDS,
    transducer=st.sampled_from(["supra_aural", "circumaural", "sound_field"]),
)
def test_any_plan_comes_back_as_it_was_written(case_id, code, mic, age, factor, points, transducer):
    quoted = {name: json.dumps(name, ensure_ascii=False) for name in (case_id, code, mic)}
    frequency_hz, level_db, no_response = zip(*points, strict=True)
    text = f"""
schema = 1
id = {quoted[case_id]}
client = {{ code = {quoted[code]}, age_months = {age!r} }}
[calibration.{quoted[mic]}]
pa_per_full_scale = {factor!r}
u_db = 0.25
date = 2026-01-31
[ear.left]
middle_ear = "tube"
[ear.left.thresholds]
scale = "eHL"
transducer = "{transducer}"
frequency_hz = {list(frequency_hz)!r}
level_db = {list(level_db)!r}
no_response = {json.dumps(no_response)}
[stimulus.s]
kind = "noise"
[[curve]]
name = "c"
file = "c.csv"
ear = "left"
place = "free_field"
coupling = "dome"
source = "aid"
stimulus = "s"
"""
    with tempfile.TemporaryDirectory() as name:
        Path(name, "case.toml").write_text(text, encoding="utf-8")
        Path(name, "c.csv").write_text("frequency_hz,level_db\n100,1\n200,2\n")
        plan = open_case(name).plan
    assert (plan.case_id, plan.client) == (case_id, Client(code=code, age_months=float(age)))
    assert plan.calibrations[mic].pa_per_full_scale == factor
    thresholds = plan.ears[Ear.LEFT].thresholds
    assert thresholds.transducer == transducer
    assert thresholds.frequency_hz == tuple(frequency_hz)
    assert thresholds.level_db == tuple(level_db)
    assert thresholds.no_response == tuple(no_response)
