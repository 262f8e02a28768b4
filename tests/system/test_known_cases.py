"""The two cases with a known answer: recordings computed from scanned ear canals by code that shares nothing with this.

Source: scanned adult canals (IHA database examples of Wulbusch, Roden, Chernov & Blau 2023), coupler models apart.
"""

import json
import os
from pathlib import Path

import numpy as np
import pytest

from umbo.core import Grid
from umbo.interchange import open_case
from umbo.record import recd_answer
from umbo.session import run_recds

SHARED = Path(os.environ.get("UMBO_SHARED", Path(__file__).parents[3] / "shared"))
CASES = ("case00_ear01_hudde_ha1", "case01_ear03_twores_cc04")


@pytest.mark.shared
@pytest.mark.parametrize("name", CASES)
def test_recd_against_the_truth(name):
    folder = SHARED / "cases" / name
    if not folder.is_dir():
        pytest.skip(f"the shared input folder with {name} is not there: set UMBO_SHARED to run this check")
    case = open_case(folder)
    found = recd_answer(name, run_recds(case.plan, case, Grid.twelfth_octave())).ears["right"][0]
    truth = json.loads((folder / "truth.json").read_text())
    assert found.frequency_hz == pytest.approx(truth["frequency_hz"], rel=1e-9)
    ok = np.array([state == "ok" for state in found.state])
    error, u = np.array(found.level_db) - np.array(truth["recd_db"]), np.array(found.u_db)
    rms = float(np.sqrt(np.mean(error[ok] ** 2)))
    inside = float(np.mean(np.abs(error[ok]) <= 2 * u[ok]))
    measured = f"{ok.sum()} of {ok.size} points ok, rms {rms:.4f} dB, {100 * inside:.0f} % inside 2 u"
    print(f"{name}: {measured}, grade {found.grade}")  # noqa: T201 - shown by pytest -rP
    assert rms < 0.05
    assert inside >= 0.95
    assert ok.sum() >= (73 if found.coupler == "ha1" else 80)
    assert found.to == "eardrum"
    assert not found.findings
