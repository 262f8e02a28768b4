"""Input-output curve: compression ratio, knee, expansion, from steady tones at rising levels."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from umbo.aid._conditions import Conditions, Feature, Switch
from umbo.aid._constants import constant, constant_source
from umbo.aid._measure import Item, Measure
from umbo.aid._noticed import stimulus_finding
from umbo.core import Component, Finding, FloatArray, Severity, States, Uncertainty
from umbo.curves import ToneSeries
from umbo.dsp import KneeFit, knee_fit
from umbo.errors import InputError

__all__ = ["InputOutput", "input_output"]

#: A line is compression where its slope lies between these (engineering judgement): above, it is linear within the
#: accuracy of a test box; below, output limiting. [dB/dB]
_COMPRESSION_SLOPE = (0.1, 0.95)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class InputOutput:
    """Input-output curve at one frequency.

    Parameters
    ----------
    frequency_hz : float
        Frequency of the tones. [Hz]
    input_db_spl, output_db_spl : array (n,)
        Levels, ascending. [dB SPL]
    uncertainty : Uncertainty
        Of the output.
    states : States
        Whether each point may be believed.
    fit : KneeFit
        Lines and knees through the usable points.
    ratio : Measure or None
        Compression ratio, of the compressing line that spans most input; none where no line compresses.
    knee : Measure or None
        Input level at which that line begins; none where it begins below the lowest input.
    expansion : Measure or None
        Slope of the lowest line where it is steeper than linear.
    limited_from_db_spl : float or None
        Input level from which the output is limited; none where it is not. [dB SPL]
    conditions : Conditions
        What it holds for.
    findings : tuple of Finding
        What was noticed.
    """

    frequency_hz: float
    input_db_spl: FloatArray
    output_db_spl: FloatArray
    uncertainty: Uncertainty
    states: States
    fit: KneeFit
    ratio: Measure | None
    knee: Measure | None
    expansion: Measure | None
    limited_from_db_spl: float | None
    conditions: Conditions
    findings: tuple[Finding, ...]


def input_output(series: ToneSeries, conditions: Conditions) -> InputOutput:
    r"""Read an input-output curve from level steps of one tone.

    .. math:: R = 1 / s, \qquad u(R) = u(s) / s^2 \qquad (1)

    with the slope s of the compressing line.

    Parameters
    ----------
    series : ToneSeries
        Steps of one frequency at different levels, in any order.
    conditions : Conditions
        How it was taken.

    Raises
    ------
    InputError
        If the frequencies differ, a level comes twice, fewer than two steps can be used, or the place is another one.
    """
    order = np.argsort(series.input_db_spl, kind="stable")
    hz = float(series.frequency_hz[0])
    if np.any(series.frequency_hz != hz) or series.plane != conditions.plane:
        raise InputError(
            f"read the input-output curve in '{series.name}'",
            f"its tones run from {series.frequency_hz.min():g} to {series.frequency_hz.max():g} Hz, "
            f"{series.plane.phrase}, and the conditions say {conditions.plane.phrase}",
            "use steps of one frequency in the stated coupler",
        )
    x, y = series.input_db_spl[order], series.level_db[order]
    states = series.states.taken(order)
    uncertainty = series.uncertainty.mapped(order[:, np.newaxis], np.ones((order.size, 1)))
    usable = states.is_usable
    if usable.sum() < 2 or np.any(np.diff(x) <= 0):
        raise InputError(
            f"read the input-output curve in '{series.name}'",
            f"{int(usable.sum())} of its {x.size} steps can be used, or a level comes twice",
            "play at least two different levels well above the noise",
        )
    independent = _independent_u_db(uncertainty)
    fit = knee_fit(x[usable], y[usable], np.hypot(independent[usable], constant("knee_model")), most_knees=2)
    own = replace(conditions, input_db_spl=None)
    noticed = stimulus_finding(conditions)
    edges = np.concatenate([[x[usable][0]], fit.knee_db, [x[usable][-1]]])
    ratio, knee = _compression(fit, edges, own, hz, series.name)
    limited = fit.slope[-1] <= _COMPRESSION_SLOPE[0]
    return InputOutput(
        frequency_hz=hz,
        input_db_spl=x,
        output_db_spl=y,
        uncertainty=uncertainty,
        states=states,
        fit=fit,
        ratio=ratio,
        knee=knee,
        expansion=_expansion(fit, own, hz, series.name),
        limited_from_db_spl=float(edges[-2]) if limited else None,
        conditions=own,
        findings=tuple(f for f in (*series.findings, noticed, _contradicts(ratio, conditions)) if f is not None),
    )


def _independent_u_db(uncertainty: Uncertainty) -> FloatArray:
    """What moves the points apart from one another: a common calibration shifts the curve and no slope. [dB]"""
    parts = [c.contribution_db**2 for c in uncertainty.components if c.across == "none"]
    return np.sqrt(np.sum(parts, axis=0)) if parts else np.zeros(uncertainty.size)


def _compression(
    fit: KneeFit, edges: FloatArray, conditions: Conditions, hz: float, name: str
) -> tuple[Measure | None, Measure | None]:
    """Ratio and knee of the compressing line that spans most of the input."""
    low, high = _COMPRESSION_SLOPE
    spans = np.where((fit.slope > low) & (fit.slope < high), np.diff(edges), 0.0)
    line = int(np.argmax(spans))
    if spans[line] == 0.0:
        return None, None
    slope, slope_u = float(fit.slope[line]), float(fit.slope_u[line])
    ratio = _measure(Item.COMPRESSION_RATIO, 1 / slope, slope_u / slope**2, conditions, hz, name)  # Eq. (1)
    if line == 0:
        return ratio, None
    knee, knee_u = float(fit.knee_db[line - 1]), float(fit.knee_u_db[line - 1])
    return ratio, _measure(Item.KNEE, knee, knee_u, conditions, hz, name)


def _expansion(fit: KneeFit, conditions: Conditions, hz: float, name: str) -> Measure | None:
    if fit.slope[0] < constant("expansion_slope"):
        return None
    return _measure(Item.EXPANSION_SLOPE, float(fit.slope[0]), float(fit.slope_u[0]), conditions, hz, name)


def _measure(item: Item, value: float, u: float, conditions: Conditions, hz: float, name: str) -> Measure:
    cause = Component(f"lines:{name}:{item}", f"lines through '{name}'", np.array([u]), "full", "A", "least squares")
    return Measure(
        item=item, value=value, uncertainty=Uncertainty.of(1, [cause]), conditions=conditions, frequency_hz=hz
    )


def _contradicts(ratio: Measure | None, conditions: Conditions) -> Finding | None:
    """Compression that was declared off and is there."""
    if ratio is None or conditions.settings.state(Feature.COMPRESSION) is not Switch.OFF:
        return None
    text = f"Compression was declared off, and the output rises by {1 / ratio.value:.2f} dB a decibel of input."
    action = "Check the settings: tests that need a linear aid were made with a compressive one."
    return Finding("compression_not_off", Severity.WARN, text, action, constant_source("knee_model"))
