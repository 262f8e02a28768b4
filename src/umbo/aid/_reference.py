"""Reference test gain, and the frequency range of the response at the reference test setting."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.aid._conditions import Conditions
from umbo.aid._constants import constant, constant_source
from umbo.aid._measure import Item, Measure, average_at
from umbo.aid._noticed import stimulus_finding
from umbo.aid._outcome import judge_between
from umbo.aid._output import HFA_HZ
from umbo.aid._output_90 import gain_of
from umbo.core import Component, Curve, Finding, Level, Outcome, Severity, Transfer, Uncertainty

__all__ = ["ReferenceGain", "ReferenceResponse", "reference_gain", "reference_response"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ReferenceGain:
    """The reference test gain that is wanted, the one that was set, and whether they agree.

    Parameters
    ----------
    wanted_db, wanted_u_db : float
        What the definition gives for this aid, and its standard uncertainty. [dB]
    measured : Measure
        HFA gain at the setting.
    is_full_on : bool
        Whether the full-on gain is too low for the definition and is the reference test gain itself.
    outcome : Outcome
        Whether it was set.
    finding : Finding or None
        What to do where it was not.
    """

    wanted_db: float
    wanted_u_db: float
    measured: Measure
    is_full_on: bool
    outcome: Outcome
    finding: Finding | None


def reference_gain(
    hfa_ospl90: Measure, hfa_full_on_gain: Measure, level: Level, conditions: Conditions
) -> ReferenceGain:
    r"""Reference test gain and whether the gain control was set to it.

    .. math:: G_\mathrm{ref} = \min(\overline{L}_{90} - 77\,\mathrm{dB},\; \overline{G}_\mathrm{full}) \qquad (1)

    with the HFA-OSPL90 and the HFA full-on gain; from memory of ANSI S3.22.

    Parameters
    ----------
    hfa_ospl90, hfa_full_on_gain : Measure
        Of the same aid.
    level : Level
        Output at the reference test setting with 60 dB SPL input. [dB SPL]
    conditions : Conditions
        How it was taken.

    Raises
    ------
    InputError
        As :func:`umbo.aid.gain_of`.
    """
    by_output = hfa_ospl90.value - constant("reference_test_gain_offset")
    is_full_on = hfa_full_on_gain.value < by_output
    source = hfa_full_on_gain if is_full_on else hfa_ospl90
    wanted = min(by_output, hfa_full_on_gain.value)  # Eq. (1)
    value, uncertainty, doubt = average_at(gain_of(level, conditions), HFA_HZ)
    measured = Measure(
        item=Item.REFERENCE_TEST_GAIN, value=value, uncertainty=uncertainty, conditions=conditions, doubt=doubt
    )
    u = float(uncertainty.plus(source.uncertainty, -1.0).u_db[0])
    tolerance = constant("reference_test_gain_tolerance")
    outcome = judge_between(value - wanted, u, -tolerance, tolerance)
    finding = None
    if outcome is not Outcome.PASS:
        text = f"The HFA gain at the reference test setting is {value:.1f} dB and {wanted:.1f} dB is wanted."
        action = (
            f"Set the gain control so that the HFA gain is within {tolerance:g} dB, and repeat what follows from it."
        )
        where = constant_source("reference_test_gain_offset")
        finding = Finding("reference_gain_not_set", Severity.WARN, text, action, where, HFA_HZ[0], HFA_HZ[-1])
    return ReferenceGain(
        wanted_db=wanted,
        wanted_u_db=source.u,
        measured=measured,
        is_full_on=is_full_on,
        outcome=outcome,
        finding=finding,
    )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ReferenceResponse:
    """Response at the reference test setting.

    Parameters
    ----------
    curve : Level
        Output with 60 dB SPL input. [dB SPL]
    gain : Transfer
        The same as gain. [dB]
    average : Measure
        HFA of the output.
    low, high : Measure
        Ends of the frequency range, where the curve crosses its HFA minus 20 dB.
    conditions : Conditions
        What it holds for.
    findings : tuple of Finding
        What was noticed.
    """

    curve: Level
    gain: Transfer
    average: Measure
    low: Measure
    high: Measure
    conditions: Conditions
    findings: tuple[Finding, ...]


def reference_response(level: Level, conditions: Conditions) -> ReferenceResponse:
    """Response at the reference test setting and its frequency range.

    Parameters
    ----------
    level : Level
        Output with 60 dB SPL input. [dB SPL]
    conditions : Conditions
        How it was taken.

    Returns
    -------
    ReferenceResponse
        An end that was not reached within the usable points is a bound.

    Raises
    ------
    InputError
        As :func:`umbo.aid.gain_of`, or if the curve has no point near 1000, 1600 and 2500 Hz.
    """
    value, uncertainty, doubt = average_at(level, HFA_HZ)
    average = Measure(item=Item.HFA_RESPONSE, value=value, uncertainty=uncertainty, conditions=conditions, doubt=doubt)
    line = value - constant("frequency_range_offset")
    noticed = stimulus_finding(conditions)
    return ReferenceResponse(
        curve=level,
        gain=gain_of(level, conditions),
        average=average,
        low=_end(level, line, -1, Item.RESPONSE_LOW, average),
        high=_end(level, line, 1, Item.RESPONSE_HIGH, average),
        conditions=conditions,
        findings=() if noticed is None else (noticed,),
    )


def _end(curve: Curve, line: float, direction: int, item: Item, average: Measure) -> Measure:
    """Walk from the HFA outwards to the first crossing of the line; stop at a point that cannot be used."""
    index = curve.grid.index(HFA_HZ[1])
    usable = curve.states.is_usable
    last = curve.grid.size - 1 if direction > 0 else 0
    while index != last and curve.level_db[index + direction] >= line and usable[index + direction]:
        index += direction
    hz = curve.frequency_hz
    if index == last or not usable[index + direction]:
        reason = "the curve ends here" if index == last else curve.states.reasons(index + direction)[0]
        return Measure(
            item=item, value=float(hz[index]), uncertainty=Uncertainty.none(1), conditions=average.conditions,
            frequency_hz=float(hz[index]), doubt=f"the range reaches at least to here: {reason}", is_bound=True,
        )  # fmt: skip
    beyond = index + direction
    fall = float(curve.level_db[index] - curve.level_db[beyond])
    part = float(curve.level_db[index] - line) / fall
    value = float(hz[index] * (hz[beyond] / hz[index]) ** part)
    mean = [curve.grid.index(f) for f in HFA_HZ]
    weight = [1 - part, part, *(-1 / len(mean) for _ in mean)]  # crossing minus average: what all share cancels
    error_db = float(curve.uncertainty.mapped([[index, beyond, *mean]], [weight]).u_db[0])
    u_hz = value * abs(float(np.log(hz[beyond] / hz[index]))) * error_db / fall
    cause = Component(f"crossing:{item}", "crossing of the line", np.array([u_hz]), "full", "A", "level over slope")
    return Measure(
        item=item, value=value, uncertainty=Uncertainty.of(1, [cause]), conditions=average.conditions,
        frequency_hz=value, doubt=average.doubt,
    )  # fmt: skip
