"""Vents of known dimensions in a session: below the corner nothing is predicted, above it aid and direct sound add."""

import numpy as np
import pytest
from curve_case import HZ, s1_case

from umbo.ear import Vent, vent_corner_hz
from umbo.interchange import open_case
from umbo.session import run

# 2 mm x 18 mm on the ear of a three-month-old
SIZES = "vent_diameter_mm = 2.0\nvent_length_mm = 18.0"


def right(folder, fitting):
    case = open_case(s1_case(folder, changes=(('prescription = "none"', f'prescription = "none"\n{fitting}'),)))
    return run(case.plan, case).ears["right"]


@pytest.fixture
def closed(tmp_path):
    return right(tmp_path / "closed", 'venting = "closed"')


@pytest.fixture
def vented(tmp_path):
    return right(tmp_path / "vented", f'venting = "vented"\n{SIZES}\naid_delay_ms = 5.0')


def codes(ear):
    return [finding.code for finding in ear.findings]


def test_below_the_corner_of_this_vent_nothing_is_predicted(vented):
    level = vented.speech[0].run.at_eardrum
    # between 0.5 cm3 at one and 0.6 cm3 at six months (table ear_volume), over log(1 + age): 0.555 cm3
    volume = 1e-6 * (0.5 + 0.1 * np.log(4 / 2) / np.log(7 / 2))
    corner = vent_corner_hz(Vent(2e-3, 18e-3), volume)
    assert 900 < corner < 960
    withdrawn = np.array(level.states.words) == "withdrawn"
    np.testing.assert_array_equal(withdrawn, level.frequency_hz < corner)
    assert f"below its corner of {corner:.0f} Hz" in level.states.reasons(0)[0]


def test_the_coupler_target_is_withdrawn_there_too(vented):
    target = vented.speech[0].coupler_target
    assert [target.state_at(f) for f in (500.0, 1000.0)] == ["withdrawn", "ok"]


def test_above_it_aid_and_direct_sound_add(closed, vented):
    run_ = vented.speech[0].run
    paths = run_.paths
    assert np.all(run_.at_eardrum.level_db >= np.maximum(paths.aided.level_db, paths.direct.level_db) - 1e-9)
    # far above the corner the vent neither takes nor brings anything
    assert run_.at_eardrum.value_at(4000.0) == pytest.approx(closed.speech[0].run.at_eardrum.value_at(4000.0), abs=0.5)
    # far below it, the speech of the field comes in unattenuated: 57.7 dB less 5 at 125 Hz (Byrne et al. 1994)
    assert paths.direct.value_at(125.0) == pytest.approx(52.7, abs=0.3)
    assert paths.aided.value_at(500.0) < closed.speech[0].run.at_eardrum.value_at(500.0) - 5


def test_a_maximum_output_never_counts_on_the_vent(closed, vented):
    difference = np.array(
        [
            vented.maximum.run.at_eardrum.value_at(f) - closed.maximum.run.at_eardrum.value_at(f)
            for f in (float(f) for f in HZ)
        ]
    )
    assert difference[0] == pytest.approx(0.0, abs=1e-6)
    assert np.all(difference >= -1e-6)
    assert difference.max() > 3


def test_a_small_vent_is_nearly_closed(closed, tmp_path):
    tiny = right(tmp_path / "tiny", 'venting = "vented"\nvent_diameter_mm = 0.2\nvent_length_mm = 20.0')
    for hz in (500.0, 1000.0, 2000.0, 4000.0):
        assert tiny.speech[0].run.at_eardrum.value_at(hz) == pytest.approx(
            closed.speech[0].run.at_eardrum.value_at(hz), abs=0.6
        )
    assert tiny.verdict.outcome == closed.verdict.outcome


def test_without_dimensions_the_old_rule_holds_and_says_so(tmp_path):
    ear = right(tmp_path / "plain", 'venting = "vented"')
    level = ear.speech[0].run.at_eardrum
    np.testing.assert_array_equal(np.array(level.states.words) == "withdrawn", level.frequency_hz < 727.5)
    assert "vent_not_described" in codes(ear)
    assert ear.speech[0].run.paths is None


def test_noise_of_unknown_spectrum_has_no_direct_sound(tmp_path):
    changes = (
        ('prescription = "none"', f'prescription = "none"\nventing = "vented"\n{SIZES}'),
        ('kind = "speech"\nlevel_db_spl = 65.0\n\n', 'kind = "noise"\nlevel_db_spl = 65.0\n\n'),
    )
    case = open_case(s1_case(tmp_path / "noise", changes=changes))
    ear = run(case.plan, case).ears["right"]
    assert "direct_sound_not_known" in codes(ear)
    assert ear.speech[0].run.paths is None
