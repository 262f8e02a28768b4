"""Expansion: less gain for sounds below a knee."""

from __future__ import annotations

from umbo.aid._conditions import Feature, Switch
from umbo.aid._constants import constant, constant_source
from umbo.aid._feature_check import FeatureCheck
from umbo.aid._input_output import InputOutput
from umbo.core import Outcome

__all__ = ["expansion_check"]

#: A curve that begins above this does not show that expansion is missing (engineering judgement). [dB SPL]
_HIGHEST_BEGINNING_DB_SPL = 40.0


def expansion_check(curve: InputOutput) -> FeatureCheck:
    """Whether expansion is in the state it was declared to be in, by the slope of the softest levels.

    Parameters
    ----------
    curve : InputOutput
        Input-output curve; it should reach down to 40 dB SPL or less.

    Returns
    -------
    FeatureCheck
        Value is the slope of the lowest line; no verdict where the state was not declared, or where expansion
        was declared, is not seen, and the curve begins above 40 dB SPL.
    """
    slope, u = float(curve.fit.slope[0]), float(curve.fit.slope_u[0])
    steep = constant("expansion_slope")
    state = curve.conditions.settings.state(Feature.EXPANSION)
    there = curve.expansion is not None
    expected = state is Switch.ON
    doubt = ""
    if state is Switch.UNKNOWN:
        doubt = "whether the expansion was on or off is not known"
    elif expected and not there and curve.input_db_spl[0] > _HIGHEST_BEGINNING_DB_SPL:
        doubt = f"the softest tone had {curve.input_db_spl[0]:g} dB, and expansion may begin below it"
    unsure = abs(slope - steep) <= 2 * u
    judged = Outcome.PASS if there is expected else Outcome.CANNOT_TELL if unsure else Outcome.FAIL
    knee = f" below {curve.fit.knee_db[0]:.0f} dB SPL" if there and curve.fit.knee_db.size else ""
    sentence = f"The output rises by {slope:.2f} dB a decibel of input{knee}; expansion was declared {state}"
    return FeatureCheck(
        feature=Feature.EXPANSION, check="expansion", value=slope, u=u, unit="1", outcome=judged,
        sentence=f"{sentence}.", action="Check the settings of this programme.",
        source=constant_source("expansion_slope"),
        bands=None, conditions=(curve.conditions,),
    ).with_doubt(doubt)  # fmt: skip
