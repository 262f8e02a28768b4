"""Output and gain curves with their averages: OSPL90, full-on gain, response at reference settings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from umbo.aid._conditions import Conditions, Volume
from umbo.aid._constants import constant, constant_source
from umbo.aid._measure import Item, Measure, average_at, reading_at
from umbo.aid._noticed import limiter_finding, stimulus_finding
from umbo.aid._output import HFA_HZ
from umbo.core import Curve, Finding, Level, Severity, Transfer
from umbo.curves import field_level
from umbo.errors import InputError

__all__ = ["AidCurve", "full_on_gain", "gain_of", "output_90"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AidCurve:
    """A curve of the aid with the numbers the standards take from it.

    Parameters
    ----------
    curve : Level or Transfer
        Output in the coupler, or gain from the aid's microphone to the coupler. [dB]
    maximum : Measure
        Largest usable value, and where.
    high_frequency_average : Measure
        Mean at 1000, 1600 and 2500 Hz.
    special_average : Measure or None
        Mean at three other frequencies, where they were named.
    conditions : Conditions
        What it holds for.
    findings : tuple of Finding
        What was noticed.
    """

    curve: Level | Transfer
    maximum: Measure
    high_frequency_average: Measure
    special_average: Measure | None
    conditions: Conditions
    findings: tuple[Finding, ...]


def output_90(level: Level, conditions: Conditions, *, special_hz: Sequence[float] | None = None) -> AidCurve:
    """OSPL90: output in the coupler with 90 dB SPL at the aid's microphone and full-on gain.

    Parameters
    ----------
    level : Level
        Output, by frequency. [dB SPL]
    conditions : Conditions
        How it was taken.
    special_hz : sequence of float, optional
        Three frequencies of a special-purpose average, for an aid whose output is low in the HFA's. [Hz]

    Returns
    -------
    AidCurve
        Curve, maximum, averages.

    Raises
    ------
    InputError
        If the level is not where the conditions say, or has no point near a frequency of an average.
    """
    _require_place(level, conditions)
    items = (Item.MAXIMUM_OSPL90, Item.HFA_OSPL90, Item.SPA_OSPL90)
    found = _with_averages(level, conditions, items, special_hz, _expected(conditions, "ospl90_input"))
    swept = limiter_finding(conditions, found.maximum.frequency_hz or 0.0)
    return found if swept is None else replace(found, findings=(*found.findings, swept))


def gain_of(level: Level, conditions: Conditions) -> Transfer:
    """Gain from the aid's microphone to the coupler: output minus the level that was played.

    Parameters
    ----------
    level : Level
        Output of a sweep or of tones. [dB SPL]
    conditions : Conditions
        How it was taken; the input level must be stated.

    Returns
    -------
    Transfer
        Gain. [dB]

    Raises
    ------
    InputError
        If the level is not where the conditions say, or its input level is not stated.
    """
    _require_place(level, conditions)
    if conditions.input_db_spl is None:
        raise InputError(
            f"take the gain of the {level.tags.quantity}",
            f"its input ({conditions.stimulus}) has no stated level",
            "state the level at the aid's microphone",
        )
    heard = field_level(
        level.grid, conditions.input_db_spl, tags=level.tags, box=conditions.box, u_db=conditions.input_u_db
    )
    return (level - heard).named(f"gain at {conditions.input_db_spl:g} dB")


def full_on_gain(level: Level, conditions: Conditions, *, special_hz: Sequence[float] | None = None) -> AidCurve:
    """Full-on gain: gain with 50 dB SPL input and the gain control at its highest position.

    Parameters
    ----------
    level : Level
        Output, by frequency. [dB SPL]
    conditions : Conditions
        How it was taken.
    special_hz : sequence of float, optional
        Three frequencies of a special-purpose average. [Hz]

    Returns
    -------
    AidCurve
        Gain, maximum, averages.

    Raises
    ------
    InputError
        As :func:`gain_of`, or if there is no point near a frequency of an average.
    """
    items = (Item.MAXIMUM_FULL_ON_GAIN, Item.HFA_FULL_ON_GAIN, Item.SPA_FULL_ON_GAIN)
    gain = gain_of(level, conditions)
    return _with_averages(gain, conditions, items, special_hz, _expected(conditions, "full_on_gain_input"))


def _with_averages(
    curve: Level | Transfer,
    conditions: Conditions,
    items: tuple[Item, Item, Item],
    special_hz: Sequence[float] | None,
    findings: list[Finding],
) -> AidCurve:
    maximum, average, special = items
    findings = [*findings, *(f for f in [stimulus_finding(conditions), _spacing(special_hz)] if f is not None)]
    return AidCurve(
        curve=curve,
        maximum=_maximum(curve, maximum, conditions),
        high_frequency_average=_average(curve, average, HFA_HZ, conditions),
        special_average=None if special_hz is None else _average(curve, special, special_hz, conditions),
        conditions=conditions,
        findings=tuple(findings),
    )


def _average(curve: Curve, item: Item, frequency_hz: Sequence[float], conditions: Conditions) -> Measure:
    value, uncertainty, doubt = average_at(curve, frequency_hz)
    return Measure(item=item, value=value, uncertainty=uncertainty, conditions=conditions, doubt=doubt)


def _maximum(curve: Curve, item: Item, conditions: Conditions) -> Measure:
    usable = curve.states.is_usable
    index = int(np.argmax(np.where(usable, curve.level_db, -np.inf) if usable.any() else curve.level_db))
    value, uncertainty, doubt = reading_at(curve, index)
    where = float(curve.frequency_hz[index])
    return Measure(
        item=item, value=value, uncertainty=uncertainty, conditions=conditions, frequency_hz=where, doubt=doubt
    )


def _require_place(level: Level, conditions: Conditions) -> None:
    if level.plane != conditions.plane:
        raise InputError(
            f"read the {level.tags.quantity}",
            f"it is {level.plane.phrase} and the conditions say {conditions.plane.phrase}",
            "state the coupler that was used",
        )


def _expected(conditions: Conditions, item: str) -> list[Finding]:
    """Whether the run was made at full-on gain with the input the definition asks for."""
    wanted, out = constant(item), []
    if conditions.input_db_spl != wanted:
        text = f"The input was {conditions.input_db_spl} dB SPL and the definition asks for {wanted:g} dB SPL."
        action = f"Measure with {wanted:g} dB SPL before comparing with a data sheet."
        out.append(Finding("other_input_level", Severity.WARN, text, action, constant_source(item)))
    if conditions.settings.volume is not Volume.FULL_ON:
        text = f"The gain control stood at '{conditions.settings.volume}' and the definition asks for full-on gain."
        action = "Turn the gain up fully, with the usual caution, and measure again."
        out.append(Finding("not_full_on", Severity.WARN, text, action, constant_source(item)))
    return out


def _spacing(special_hz: Sequence[float] | None) -> Finding | None:
    """A special-purpose average has three frequencies, two third octaves apart."""
    if special_hz is None:
        return None
    step = constant("special_average_step")
    apart = np.diff(10 * np.log10(np.sort(np.asarray(special_hz, dtype=np.float64))))  # in third octaves
    if len(special_hz) == len(HFA_HZ) and np.allclose(apart, step, atol=0.15):
        return None
    text = f"The special-purpose average was taken at {', '.join(f'{hz:g}' for hz in special_hz)} Hz."
    action = "Take three frequencies two third octaves apart."
    return Finding("special_average_spacing", Severity.WARN, text, action, constant_source("special_average_step"))
