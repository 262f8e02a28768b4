"""One aid-test case of the bench, written once."""

from __future__ import annotations

from dataclasses import replace

import pytest
from aid_case_reading import Written

from umbo.core import CouplerKind
from umbo.sim import school_scenario, write_aid_case


@pytest.fixture(scope="session")
def school(tmp_path_factory):
    """Two aids, one with faults, in two couplers, with short speech and noise."""
    base = school_scenario(couplers=(CouplerKind.HA1, CouplerKind.CC04))
    scenario = replace(base, speech_levels_db_spl=(65.0,), speech_s=8.0, noise_s=12.0)
    return Written(write_aid_case(tmp_path_factory.mktemp("aid") / "school", scenario))


@pytest.fixture(scope="session")
def right(school):
    return school.truth["ears"]["right"]
