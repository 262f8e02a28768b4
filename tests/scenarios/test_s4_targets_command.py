"""S4 (invented client) through ``umbo targets``: an audiogram by supra-aural earphones and nothing measured."""

import json
import sys

import numpy as np
import pytest
from invented_clients import TOLERANCE_DB, client, columns
from threshold_case import threshold_case

from umbo.cli import main
from umbo.prescription import METHODS

GIVEN, EXPECTED = client("S4")
AGE_MONTHS = 12 * GIVEN["age_years"]


@pytest.fixture
def targets(monkeypatch, capsys):
    def run(folder, *arguments):
        monkeypatch.setattr(sys, "argv", ["umbo", "targets", str(folder), "--json", *arguments])
        with pytest.raises(SystemExit) as stop:
            main()
        out, err = capsys.readouterr()
        assert (stop.value.code or 0, err) == (0, "")
        return json.loads(out)["ears"]["right"]

    return run


def case(folder, hz, level, keys=""):
    return threshold_case(folder, hz=hz.tolist(), level_db=level.tolist(), age_months=AGE_MONTHS, keys=keys)


def by_method(ear):
    (one,) = ear["inputs"]
    return {entry["method"]: entry["wanted"] for entry in one["methods"] if entry["wanted"]}


def test_insertion_gain_of_s4(targets, tmp_path):
    """X = 0.05 (25 + 35 + 50) = 5.5; IG = X + 0.31 H + k, negative gain counts as zero (Byrne & Dillon 1986)."""
    wanted = by_method(targets(case(tmp_path / "s4", *columns(GIVEN["HL"]))))["nal_r"]
    hz, gain = columns(EXPECTED["target_IG"])
    assert wanted["frequency_hz"] == hz.tolist()
    assert wanted["insertion_gain_db"] == pytest.approx(np.maximum(gain, 0.0), abs=TOLERANCE_DB)


def test_what_the_fitting_of_s4_lacks(targets, tmp_path):
    wanted = by_method(targets(case(tmp_path / "s4", *columns(GIVEN["HL"]))))["nal_r"]
    gain = dict(zip(wanted["frequency_hz"], wanted["insertion_gain_db"], strict=True))
    hz, reig = columns(EXPECTED["REIG"])
    off = reig - [gain[f] for f in hz]
    assert off == pytest.approx(columns(EXPECTED["deviation"])[1], abs=TOLERANCE_DB)
    assert np.sqrt(np.mean(off[[0, 1, 2, 4]] ** 2)) == pytest.approx(EXPECTED["rms4"], abs=0.01)  # F9


def test_threshold_at_the_eardrum_by_the_measured_difference(targets, tmp_path):
    hz, redd = columns(GIVEN["REDD"])
    level = np.array([GIVEN["HL"][f"{f:g}"] for f in hz])
    ear = targets(case(tmp_path / "s4", hz, level, f"redd_db = {redd.tolist()}"))
    assert ear["thresholds"]["at_eardrum"]["level_db"] == pytest.approx(
        columns(EXPECTED["T_supra"])[1], abs=TOLERANCE_DB
    )  # F3


def test_every_method_that_needs_no_discomfort_level_answers(targets, tmp_path):
    ear = targets(case(tmp_path / "s4", *columns(GIVEN["HL"])))
    assert set(METHODS) - set(by_method(ear)) == {"dsl_io_1995"}
    assert ear["no_insertion_gain"] is None
