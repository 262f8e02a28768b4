"""Targets by the core mapping of DSL[i/o] 1995: the range of normal hearing onto the range of this ear."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.core import Bandwidth, Grid, Level, Plane, PointState, States, Tags, Transfer, Uncertainty
from umbo.errors import OutOfRangeError
from umbo.prescription._cornelisse_1995 import DSL_IO_HZ, dsl_io_output, dsl_io_share
from umbo.prescription._targets import speech_in_field

if TYPE_CHECKING:
    from umbo.core import FloatArray
    from umbo.prescription._ear_to_fit import EarToFit

__all__ = ["mapped_level"]

#: Exponent of the fixed ratio. [1]
FIXED_RATIO = 1.0

_ASKED = "prescribe aided levels by the DSL[i/o] core mapping"
_BELOW = "the speech lies below the normal threshold there, where the mapping begins"


def mapped_level(hearing: EarToFit, overall_db_spl: float) -> Level:
    r"""Aided level of speech at the eardrum, fixed ratio.

    .. math:: L_{target} = L + \Delta, \quad \Delta = O(L) - L, \quad L = L_{speech} + REUG

    with O of :func:`dsl_io_output`, every level at the eardrum. Normal range: minimum audible pressure at the drum, up
    to a normal discomfort level in dB HL carried there by the same transfer. Uncertainties of the unaided speech, the
    thresholds and the discomfort levels go in by the slopes of the mapping, those of normal hearing not at all.

    Parameters
    ----------
    hearing : EarToFit
        With thresholds and discomfort levels at the eardrum.
    overall_db_spl : float
        Overall level of the speech in the field. [dB SPL]

    Returns
    -------
    Level
        On the method's frequencies that hold a threshold and lie within those of the discomfort levels. [dB SPL]

    Raises
    ------
    OutOfRangeError
        If either is missing, they share no frequency, or a discomfort level does not lie above its threshold.
    """
    threshold, limit = _range_of(hearing)
    hz = threshold.frequency_hz
    unaided = speech_in_field(hz, overall_db_spl, ear=hearing.ear) + hearing.reug.on(
        threshold.grid, method="log_frequency", outside="refuse"
    )
    low, high, source = _normal_range(hz)
    usable = threshold.states.is_usable & limit.states.is_usable
    is_below = unaided.level_db < low
    share = dsl_io_share(np.maximum(unaided.level_db, low), normal_threshold_db_spl=low, normal_limit_db_spl=high)
    # a bound is no threshold: its point is withdrawn, so it may not be what the mapping refuses
    top = np.where(usable, limit.level_db, threshold.level_db + 1.0)
    output = dsl_io_output(share, threshold_db_spl=threshold.level_db, limit_db_spl=top, exponent=FIXED_RATIO)
    slope = np.where(share < 1.0, (top - threshold.level_db) / (high - low), 0.0)
    states = threshold.states.joined(limit.states).marked(PointState.WITHDRAWN, is_below, _BELOW)
    uncertainty = (
        unaided.uncertainty.scaled(slope - 1.0)
        .plus(threshold.uncertainty.scaled(1.0 - share))
        .plus(limit.uncertainty.scaled(share))
    )
    return unaided + _lift(hearing, threshold.grid, output - unaided.level_db, source, states, uncertainty)


def _range_of(hearing: EarToFit) -> tuple[Level, Level]:
    """Thresholds and discomfort levels in third-octaves, on the frequencies they share."""
    if hearing.at_eardrum is None:
        raise OutOfRangeError(_ASKED, "no threshold is known at the eardrum", "find a route there: a measured RECD")
    if hearing.discomfort is None:
        raise OutOfRangeError(
            _ASKED, "no discomfort level is known at the eardrum, and the method needs one", "measure discomfort levels"
        )
    known, limits = hearing.at_eardrum.frequency_hz, hearing.discomfort.frequency_hz
    hz = np.array([f for f in DSL_IO_HZ if f in known and limits[0] <= f <= limits[-1]])
    if not hz.size:
        raise OutOfRangeError(
            _ASKED, "thresholds and discomfort levels share no frequency", "measure both at the same frequencies"
        )
    grid = Grid(hz, Bandwidth.THIRD_OCTAVE)
    threshold = hearing.at_eardrum.on(grid, method="log_frequency", outside="refuse")
    limit = hearing.discomfort.on(grid, method="log_frequency", outside="refuse")
    if not (threshold.states.is_usable & limit.states.is_usable).any():
        raise OutOfRangeError(
            _ASKED,
            "at no frequency both threshold and discomfort level are known",
            "import a target of a method made for such losses",
        )
    return threshold, limit


def _normal_range(frequency_hz: FloatArray) -> tuple[FloatArray, FloatArray, str]:
    """Threshold and discomfort level of normal hearing at the eardrum, and where they come from."""
    zero = refdata.table("redd_average", source="derived-bentler-pavlovic-1989")
    column = "eardrum_at_0_db_hl_db_spl"
    low = refdata.interpolate(zero, column, frequency_hz).require_inside()
    discomfort = refdata.table("loudness_discomfort", source="sherlock-formby-2005")
    high = low + discomfort.at("normal_ldl", "value")
    return low, high, f"normal hearing: {zero.brief(column)}, {discomfort.brief('value')}"


def _lift(
    hearing: EarToFit, grid: Grid, level_db: FloatArray, source: str, states: States, uncertainty: Uncertainty
) -> Transfer:
    return Transfer.given(
        grid,
        level_db,
        start=Plane.eardrum(),
        end=Plane.eardrum(),
        tags=Tags(
            quantity="DSL[i/o] 1995 gain, fixed ratio",
            ear=hearing.ear,
            stimulus=None,
            statistic=None,
            coupling=None,
            source=None,
        ),
        source=f"Cornelisse, Seewald & Jamieson 1995, formula from memory; {source}",
        components=uncertainty.components,
        states=states,
    )
