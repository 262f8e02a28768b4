"""The scenario file in the project is the one the project was given."""

import json
import os
from pathlib import Path

import pytest
from invented_clients import SCENARIOS


@pytest.mark.shared
def test_copy_is_the_original():
    folder = Path(os.environ.get("UMBO_SHARED", Path(__file__).resolve().parents[3] / "shared"))
    original = folder / "reference" / "scenarios.json"
    if not original.is_file():
        pytest.skip(f"no {original}: set UMBO_SHARED to compare the copy")
    assert json.loads(original.read_text(encoding="utf-8")) == SCENARIOS
