"""Each fault the bench can plant in the recordings of an ear is named, graded or refused, through files."""

import pytest

from umbo.core import Ear, Grid
from umbo.errors import CaseError
from umbo.interchange import open_case
from umbo.session import run_recds
from umbo.sim import Fault, random_scenario, write_case

#: What has to be said, and the best grade left, of the RECD re the first coupler.
EXPECTED = {
    Fault.LEAK: ({"leak"}, "C"),
    Fault.SHALLOW_PROBE: ({"shallow_probe", "falling_high_frequencies"}, "C"),
    Fault.BLOCKED_PROBE: ({"blocked_probe"}, "D"),
    Fault.WRONG_COUPLER_LABEL: ({"wrong_coupler"}, "D"),
    Fault.CLIPPED: ({"clipping"}, "D"),
    Fault.DISAGREEING_REPEATS: ({"drift", "disagreement", "outlier"}, "C"),
}


def recds(folder, fault, seed):
    scenario = random_scenario(seed, age_months=60.0, faults={Ear.RIGHT: (fault,)} if fault else None)
    case = open_case(write_case(folder, scenario))
    return run_recds(case.plan, case, Grid.twelfth_octave())["right"]


@pytest.mark.parametrize("seed", [11, 12])
@pytest.mark.parametrize("fault", EXPECTED, ids=str)
def test_the_fault_is_named(fault, seed, tmp_path):
    codes, best = EXPECTED[fault]
    first = recds(tmp_path / "case", fault, seed)[0]
    said = {finding.code for finding in first.findings}
    assert said & codes, said
    assert first.grade.letter >= best


def test_exchanged_files_are_refused(tmp_path):
    with pytest.raises(CaseError, match="upside down"):
        recds(tmp_path / "case", Fault.SWAPPED_FILES, 11)


def test_noise_ends_the_curve_early(tmp_path):
    quiet, noisy = recds(tmp_path / "quiet", None, 11)[0], recds(tmp_path / "noisy", Fault.NOISY, 11)[0]
    assert noisy.trust.lowest.rule == "noise"
    assert noisy.trust.max_hz < quiet.trust.max_hz


def test_a_good_ear_raises_nothing(tmp_path):
    for recd in recds(tmp_path / "case", None, 11):
        assert [finding for finding in recd.findings if finding.severity.value != "info"] == []
        assert recd.grade.letter == "B"
