"""From case.toml to a plan: every key arrives, and arrives unchanged."""

from __future__ import annotations

from datetime import date

import pytest
from case_builder import CURVE_CSV, TARGET_TOML, add_curve, append, build_case, edit

from umbo.core import CouplerKind, Coupling, Ear, Source, Transducer
from umbo.errors import CaseError
from umbo.interchange import open_case
from umbo.session import Client, StimulusPlan, Take, TargetSet, ThresholdSet


@pytest.fixture
def folder(tmp_path):
    return build_case(tmp_path / "case")


def test_what_is_declared_of_the_ear_arrives(folder):
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


def test_what_is_declared_of_the_takes_arrives(folder):
    plan = open_case(folder).plan
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


TUBE_TOML = """
[calibration.probe_mic.tube]
frequency_hz = [100, 16000]
level_db = [0.5, -12.0]
u_db = 0.7
"""

FITTING_TOML = """
[ear.right.fitting]
venting = "vented"
prescription = "none"
frequency_lowering = true

[ear.right.mle]
frequency_hz = [500, 4000]
level_db = [0.5, 3.0]
source = "invented"
"""

HEARING_TOML = """
[corrections.clinic]
frequency_hz = [250, 500, 1000, 2000, 3000, 4000, 8000]
level_db = [25, 20, 15, 10, 9, 5, 0]
source = "invented"

[ear.right.discomfort]
scale = "HL"
transducer = "sound_field"
frequency_hz = [500]
level_db = [100]
"""


def test_a_probe_tube_arrives(folder):
    edit(folder, "u_db = 0.5", 'u_db = 0.5\nmethod = "calibrator"')
    append(folder, TUBE_TOML)
    probe = open_case(folder).plan.calibrations["probe_mic"]
    assert probe.method == "calibrator"
    assert probe.tube.response_db.tolist() == [0.5, -12.0]
    assert (probe.tube.name, probe.tube.u_db) == ("probe_mic", 0.7)


def test_a_fitting_arrives(folder):
    edit(folder, "tip_to_drum_mm = 5.0", 'tip_to_drum_mm = 5.0\nrecd = "adult_average"')
    append(folder, FITTING_TOML)
    ear = open_case(folder).plan.ears[Ear.RIGHT]
    assert (ear.recd, ear.venting, ear.frequency_lowering) == ("adult_average", "vented", True)
    assert ear.prescription == "none"
    assert (ear.mle_frequency_hz, ear.mle_db, ear.mle_source) == ((500.0, 4000.0), (0.5, 3.0), "invented")


def test_a_correction_and_discomfort_levels_arrive(folder):
    edit(folder, 'scale = "HL"', 'scale = "nHL"\ncorrection = "clinic"')
    append(folder, HEARING_TOML)
    ear = open_case(folder).plan.ears[Ear.RIGHT]
    correction = ear.thresholds.correction
    assert (correction.name, correction.source, correction.is_level_dependent) == ("clinic", "invented", False)
    assert dict(zip(correction.frequency_hz, correction.intercept_db, strict=True))[500.0] == -20.0
    assert ear.discomfort.level_db == (100.0,)


def test_a_target_arrives(folder):
    append(folder, TARGET_TOML)
    assert open_case(folder).plan.ears[Ear.RIGHT].targets == (
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


def test_added_keys_do_not_disturb_each_other(folder):
    """All of them in one case."""
    append(folder, FITTING_TOML)
    append(folder, HEARING_TOML)
    append(folder, TUBE_TOML)
    append(folder, TARGET_TOML)
    plan = open_case(folder).plan
    ear = plan.ears[Ear.RIGHT]
    assert (ear.venting, ear.discomfort.level_db, len(ear.targets)) == ("vented", (100.0,), 1)
    assert plan.calibrations["probe_mic"].tube.u_db == 0.7


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
