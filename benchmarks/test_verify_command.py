"""The whole command against the mere import of the libraries it stands on, in the same run, as whole processes.

A two-ear case with three speech levels of 20 s and three sweeps an ear, written once by the virtual bench.
"""

import os
import subprocess
import sys

import pytest

from umbo.core import CouplerKind, Ear
from umbo.sim import random_scenario, write_case

LIBRARIES = "import numpy, soundfile, pydantic, typer, rich.console, typst"


@pytest.fixture(scope="module")
def case(tmp_path_factory):
    folder = tmp_path_factory.mktemp("bench") / "case"
    sides = (Ear.RIGHT, Ear.LEFT)
    write_case(folder, random_scenario(5, age_months=48.0, sides=sides, couplers=(CouplerKind.CC04,), with_aid=True))
    return folder


def run(*arguments):
    """Run as an installation does: with compiled modules kept, which a first run that is not counted writes."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    command = [sys.executable, *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, check=False, env=kept)  # noqa: S603  (our own command)
    assert done.returncode in (0, 1), done.stderr


@pytest.mark.benchmark(group="umbo verify, whole process")
def test_libraries_alone(benchmark):
    benchmark.pedantic(run, args=("-c", LIBRARIES), rounds=5, warmup_rounds=1)


@pytest.mark.benchmark(group="umbo verify, whole process")
def test_verify(benchmark, case, tmp_path):
    benchmark.pedantic(run, args=("-m", "umbo", "verify", case, "--out", tmp_path / "out"), rounds=5, warmup_rounds=1)


@pytest.mark.benchmark(group="umbo --help, whole process")
def test_help(benchmark):
    benchmark.pedantic(run, args=("-m", "umbo", "--help"), rounds=5, warmup_rounds=1)
