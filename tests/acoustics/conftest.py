"""Fixtures of the acoustic tests."""

import os
from pathlib import Path

import numpy as np
import pytest


@pytest.fixture(scope="session")
def shared_folder(request):
    """The project's shared input folder; the tests that need it skip, and say so, without it."""
    folder = Path(os.environ.get("UMBO_SHARED", request.config.rootpath.parent / "shared"))
    if not folder.is_dir():
        pytest.skip(f"no shared input folder at {folder}: set UMBO_SHARED to run these tests")
    return folder


@pytest.fixture
def third_octaves_hz():
    """Third octaves from 100 Hz to 16 kHz."""
    return 1000.0 * 10 ** (np.arange(-10, 13) / 10)
