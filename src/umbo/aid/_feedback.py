"""A hint at the feedback margin, from the ripple of a response."""

from __future__ import annotations

import numpy as np

from umbo.aid._conditions import Conditions, Feature, Switch
from umbo.aid._constants import constant, constant_source
from umbo.aid._feature_check import FeatureCheck
from umbo.aid._outcome import judge_between
from umbo.calibration import PressureSpectrum
from umbo.dsp import loop_gain
from umbo.errors import OutOfRangeError

__all__ = ["feedback_margin"]

#: The range that is searched: below, leaks feed back little; above, the coupler's own resonances ripple
#: (engineering judgement). [Hz]
_RANGE_HZ = (500.0, 7500.0)
#: Ripple of a larger margin, 0.5 dB, is not told from that of a response by itself (own simulation). [dB]
_MOST_MARGIN_DB = 30.0
#: Spacing of the axis: fine enough for a loop of 20 ms. [Hz]
_STEP_HZ = 5.0


def feedback_margin(spectrum: PressureSpectrum, conditions: Conditions) -> FeatureCheck:
    """Estimate by how much the gain may still rise before the aid whistles.

    Parameters
    ----------
    spectrum : PressureSpectrum
        Response to a sweep.
    conditions : Conditions
        How it was taken.

    Returns
    -------
    FeatureCheck
        Margin with an uncertainty of 2 dB (how well the method does on responses with a known loop, own simulation). A
        canceller that was on shows the margin that is left with it, and one whose state is not known allows no verdict.

    Raises
    ------
    OutOfRangeError
        If the sweep does not cover 1.5 kHz of the range searched.

    Notes
    -----
    In a coupler nothing leaks but what the coupling lets out: the margin on the ear, with a vent, is smaller.
    """
    low, high = max(_RANGE_HZ[0], spectrum.start_hz), min(_RANGE_HZ[1], spectrum.stop_hz)
    if high <= low:
        raise OutOfRangeError(
            f"look for feedback in '{spectrum.take}'",
            f"the sweep runs from {spectrum.start_hz:g} to {spectrum.stop_hz:g} Hz",
            f"sweep from {_RANGE_HZ[0]:g} to {_RANGE_HZ[1]:g} Hz",
        )
    axis = np.arange(low, high, _STEP_HZ)
    level = np.log(np.maximum(spectrum.power_pa2, 1e-30))
    found = loop_gain(axis, np.exp(np.interp(axis, spectrum.frequency_hz, level)))
    margin_db = min(found.margin_db, _MOST_MARGIN_DB)
    least = constant("feedback_margin")
    state = conditions.settings.state(Feature.FEEDBACK_CANCELLER)
    doubt = "whether the feedback canceller was on or off is not known" if state is Switch.UNKNOWN else ""
    if found.margin_db >= _MOST_MARGIN_DB:
        sentence = f"No ripple of a feedback loop stands out: the margin is {_MOST_MARGIN_DB:g} dB or more"
    else:
        sentence = (
            f"The ripple of the response around {found.frequency_hz:.0f} Hz fits a feedback loop of "
            f"{1000 * found.delay_s:.1f} ms with a margin of {found.margin_db:.0f} dB"
        )
    return FeatureCheck(
        feature=Feature.FEEDBACK_CANCELLER, check="feedback_margin", value=margin_db, u=2.0, unit="dB",
        outcome=judge_between(margin_db, 2.0, least, None),  sentence=f"{sentence}.",
        action="Check tubing, seal and vent; lower the gain there or turn the feedback canceller on.",
        source=constant_source("feedback_margin"), bands=None, conditions=(conditions,),
    ).with_doubt(doubt)  # fmt: skip
