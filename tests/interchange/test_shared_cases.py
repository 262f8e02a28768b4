"""The cases handed to the project open, and their samples can be read."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from case_builder import fingerprint

from umbo.core import CouplerKind, Ear
from umbo.interchange import open_case

_CHECKOUT = Path(__file__).resolve().parents[2]
_CASES = Path(os.environ.get("UMBO_SHARED", _CHECKOUT.parent / "shared")) / "cases"


@pytest.mark.shared
@pytest.mark.parametrize(
    ("name", "coupler"),
    [("case00_ear01_hudde_ha1", CouplerKind.HA1), ("case01_ear03_twores_cc04", CouplerKind.CC04)],
)
def test_a_shared_case_opens(name, coupler):
    folder = _CASES / name
    if not folder.is_dir():
        pytest.skip(f"the project's shared input folder is absent: {folder}")
    before = fingerprint(folder)
    case = open_case(folder)
    assert case.plan.case_id == name
    assert case.plan.takes[0].coupler is coupler
    assert case.plan.ears[Ear.RIGHT].tip_to_drum_mm == 0.0
    played = case.stimulus("sweep")
    for take in case.plan.takes:
        heard = case.take(take.name)
        assert heard.samples_fs.size == take.repeats * played.samples_fs.size
        assert heard.sampling_rate_hz == played.sampling_rate_hz
    assert fingerprint(folder) == before
