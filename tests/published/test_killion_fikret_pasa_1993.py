"""Killion & Fikret-Pasa 1993; Gitles & Niquette 1995: FIG6, worked by hand from the rule as recalled (from memory)."""

import numpy as np
import pytest

from umbo.prescription import fig6_insertion_gain

HZ = np.array([500.0, 1000.0, 2000.0, 4000.0])
LEVEL = np.array([10.0, 30.0, 50.0, 80.0])


@pytest.mark.parametrize(
    ("overall", "expected"),
    [
        (40.0, [0, 10, 30, 50]),  # H - 20; at 80 dB less half of the 20 dB above 60
        (65.0, [0, 6, 18, 41]),  # 0.6 (H - 20); 0.8 x 80 - 23
        (95.0, [0, 0, 2.512, 17.494]),  # 0.1 x 10 ** 1.4 = 2.512; 0.1 x 40 ** 1.4 = 17.494
        (55.0, [0, 7.6, 22.8, 44.6]),  # three fifths of the way from 40 to 65 (common practice, no source)
        (75.0, [0, 4, 12.837, 33.165]),  # one third of the way from 65 to 95
    ],
)
def test_gain(overall, expected):
    assert fig6_insertion_gain(HZ, LEVEL, overall) == pytest.approx(expected, abs=0.001)


def test_conversational_speech_steps_up_by_one_decibel_at_60_db():
    below, above = (fig6_insertion_gain(HZ[:1], np.array([h]), 65.0)[0] for h in (60.0, 60.0001))
    assert (below, above) == (pytest.approx(24.0), pytest.approx(25.0, abs=0.001))
