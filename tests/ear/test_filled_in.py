"""Points between measured thresholds: on request, marked, less sure, and never beside a bound."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from umbo.core import Ear, Grid, PointState, Statistic, Transducer
from umbo.ear import filled_in, hearing_level, standard_audiogram
from umbo.errors import NotPossibleHereError, OutOfRangeError


def dial(hz=(500, 1000, 2000, 4000), level_db=(40, 50, 60, 80), no_response=None):
    return hearing_level(
        hz,
        level_db,
        ear=Ear.LEFT,
        transducer=Transducer.SUPRA_AURAL,
        coupling=None,
        statistic=Statistic.THRESHOLD,
        no_response=no_response or [False] * len(hz),
        source="invented",
    )


def test_a_point_lies_on_a_line_over_log_frequency_and_says_between_what():
    filled = filled_in(dial(), [np.sqrt(2) * 1000])
    assert filled.frequency_hz.tolist() == pytest.approx([500, 1000, np.sqrt(2) * 1000, 2000, 4000])
    assert filled.level_db[2] == pytest.approx(55.0)  # half an octave into 50 to 60 dB
    assert filled.states.words == ("ok", "ok", "interpolated", "ok", "ok")
    assert "interpolated: not measured: filled in between 1000 and 2000 Hz" in filled.states.reasons(2)
    # two independent errors of 2.5 dB, half of each, and 10 dB per octave over half an octave
    assert filled.u_db[2] == pytest.approx(np.sqrt(2 * (0.5 * 2.5) ** 2 + 5.0**2))
    assert filled.u_db[[0, 1, 3, 4]] == pytest.approx(2.5)


def test_measured_points_stay_and_nothing_happens_without_need():
    level = dial()
    assert filled_in(level, [500, 1000, 2010]) is level


@given(st.lists(st.floats(505, 3960), min_size=1, max_size=6, unique=True))
def test_one_by_one_or_together_is_the_same(wanted):
    level = standard_audiogram("N4", ear=Ear.LEFT).on(
        Grid.tones([500, 1000, 2000, 4000]), method="log_frequency", outside="refuse"
    )
    together = filled_in(level, wanted)
    for f in wanted:
        alone = filled_in(level, [f])
        i, j = (int(np.argmin(np.abs(one.frequency_hz - f))) for one in (alone, together))
        assert together.level_db[j] == pytest.approx(alone.level_db[i])
        assert together.u_db[j] == pytest.approx(alone.u_db[i])


@pytest.mark.parametrize("wanted", [3000, 5000])
def test_never_beside_a_point_without_response(wanted):
    level = dial((500, 1000, 2000, 4000, 8000), (40, 50, 60, 120, 90), [False, False, False, True, False])
    with pytest.raises(NotPossibleHereError, match=r"the point at 4000 Hz beside it cannot be used \(withdrawn: no"):
        filled_in(level, [wanted])
    assert filled_in(level, [1500]).state_at(4000) is PointState.WITHDRAWN


def test_never_beyond_the_ends_but_for_a_sixth_of_an_octave_where_asked():
    with pytest.raises(OutOfRangeError, match="it lies outside what was measured, 500 to 4000 Hz"):
        filled_in(dial(), [4400])
    held = filled_in(dial(), [4400], hold_ends=True)  # 0.14 octave
    assert (held.value_at(4400), held.state_at(4400)) == (80.0, PointState.EXTRAPOLATED)
    for far in (5000, 440):
        with pytest.raises(OutOfRangeError, match="more than a sixth of an octave"):
            filled_in(dial(), [far], hold_ends=True)
