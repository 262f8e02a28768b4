"""Fixtures of the reference-table tests."""

import os
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def shared_reference():
    """The project's shared reference folder; the tests that need it skip, and say so, without it."""
    folder = Path(os.environ.get("UMBO_SHARED", Path(__file__).resolve().parents[3] / "shared")) / "reference"
    if not folder.is_dir():
        pytest.skip(f"no shared reference folder at {folder}: set UMBO_SHARED to run these tests")
    return folder
