"""Outputs that ask for special care, in the coupler and at the eardrum."""

import numpy as np
import pytest
from eardrum_levels import HZ, level

from umbo.core import PointState, Severity
from umbo.verdict import LOUD_SOUND_CAUTIONS, caution_findings, caution_level_db


@pytest.mark.parametrize(
    ("value_db", "u_db", "codes"),
    [
        (131.9, 0.0, []),
        (132.0, 0.0, ["output_near_caution"]),
        (132.1, 0.0, ["output_above_caution"]),
        (130.0, 1.0, ["output_near_caution"]),
        (129.9, 1.0, []),
        (133.0, 5.0, ["output_above_caution"]),
    ],
)
def test_above_near_below(value_db, u_db, codes):
    assert caution_level_db() == 132.0
    assert [finding.code for finding in caution_findings(level(value_db, u_db=u_db))] == codes


def test_sentence_names_place_frequencies_and_size():
    (finding,) = caution_findings(level([100.0, 134, 133, 100, 100, 100], u_db=1.0))
    assert finding.severity is Severity.WARN
    assert finding.text.startswith(
        "The maximum output at the eardrum exceeds 132 dB SPL at 500, 1000 Hz: 134.0 dB SPL (u 1.0 dB) at 500 Hz."
    )
    assert (finding.from_hz, finding.to_hz) == (500.0, 1000.0)
    assert "from memory" in finding.source


def test_long_stretches_are_named_by_their_ends():
    (finding,) = caution_findings(level([133.0, 100, 133, 134, 133, 133], u_db=1.0))
    assert "exceeds 132 dB SPL at 250, 1000 to 6000 Hz: 134.0 dB SPL" in finding.text


def test_points_that_cannot_be_used_say_nothing():
    dead = level(140.0).marked(PointState.CLIPPED, np.ones(len(HZ), dtype=bool), "x")
    assert caution_findings(dead) == ()
    assert caution_findings() == ()


def test_cautions_name_the_stop():
    assert any("stop at once" in sentence for sentence in LOUD_SOUND_CAUTIONS)
    assert any("child" in sentence for sentence in LOUD_SOUND_CAUTIONS)
