"""Harmonic distortion at the standard frequencies, from tones and from sweeps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from umbo.aid._conditions import Conditions
from umbo.aid._constants import constant, constant_source
from umbo.aid._measure import Item, Measure
from umbo.core import Component, Finding, FloatArray, Grid, Severity, Transfer, Uncertainty
from umbo.curves import Reading, ToneSeries
from umbo.errors import InputError

__all__ = ["DISTORTION_HZ", "Distortion", "distortion_from_sweep", "distortion_from_tones", "omitted_distortion"]

#: Frequencies of the distortion test (ANSI S3.22, from memory). [Hz]
DISTORTION_HZ = (500.0, 800.0, 1600.0)

#: Standard uncertainty of a harmonic over the fundamental by the evenness of the chain: 0.04 dB, what a microphone and
#: an aid that is not quite at rest leave in own simulation (engineering judgement). [1]
_FLATNESS_U = 0.005


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Distortion:
    """Distortion at one frequency.

    Parameters
    ----------
    total : Measure
        Total harmonic distortion. [%]
    harmonic_percent, harmonic_u_percent : mapping of int to float
        Each harmonic over the fundamental, by its order, and standard uncertainties. [%]
    findings : tuple of Finding
        What was noticed.
    """

    total: Measure
    harmonic_percent: Mapping[int, float]
    harmonic_u_percent: Mapping[int, float]
    findings: tuple[Finding, ...] = ()


def distortion_from_tones(series: ToneSeries, conditions: Conditions) -> tuple[Distortion, ...]:
    """Distortion of every tone of a series.

    Parameters
    ----------
    series : ToneSeries
        Tones at 500, 800 and 1600 Hz for a data sheet.
    conditions : Conditions
        How it was taken; the input level is taken from each tone.

    Returns
    -------
    tuple of Distortion
        In the order of the tones.

    Raises
    ------
    InputError
        If the series is not where the conditions say.
    """
    if series.plane != conditions.plane:
        raise InputError(
            f"read the distortion in '{series.name}'",
            f"it is {series.plane.phrase} and the conditions say {conditions.plane.phrase}",
            "state the coupler that was used",
        )
    out = []
    for index, (step, found) in enumerate(zip(series.steps, series.distortion, strict=True)):
        own = replace(conditions, input_db_spl=step.input_db_spl)
        usable = series.states.at(index).is_usable
        doubt = "" if usable else series.states.reasons(index)[0]
        total = _measure(found.total, found.total_u, step.frequency_hz, own, doubt, series.name)
        orders = range(2, 2 + found.ratio.size)
        each = dict(zip(orders, (100 * found.ratio).tolist(), strict=True))
        each_u = dict(zip(orders, (100 * found.ratio_u).tolist(), strict=True))
        out.append(
            Distortion(
                total=total,
                harmonic_percent=each,
                harmonic_u_percent=each_u,
                findings=_input_level(step.frequency_hz, step.input_db_spl),
            )
        )
    return tuple(out)


def distortion_from_sweep(reading: Reading, frequency_hz: FloatArray, conditions: Conditions) -> tuple[Distortion, ...]:
    r"""Distortion at some frequencies from the harmonics of a sweep.

    .. math:: d = \sqrt{\sum_n d_n^2} \qquad (1)

    Parameters
    ----------
    reading : Reading
        A sweep; an imported curve has no harmonics and gives no distortion.
    frequency_hz : array (n,)
        Exciting frequencies. [Hz]
    conditions : Conditions
        How it was taken.

    Returns
    -------
    tuple of Distortion
        A harmonic below its noise counts as none, and a doubt says so where no harmonic is known.

    Notes
    -----
    A sweep passes each frequency for some milliseconds: it shows the distortion of a linear or slowly compressing aid.
    It states no uncertainty of its harmonics but their noise rule, 6 dB, so half a decibel is stated as its accuracy
    (engineering judgement).
    """
    highest = int(constant("thd_highest_harmonic"))
    harmonics = {
        order: curve for order, curve in reading.harmonics(Grid.tones(frequency_hz)).items() if order <= highest
    }
    out = []
    for index, hz in enumerate(frequency_hz):
        known = {order: curve for order, curve in harmonics.items() if curve.is_known[index]}
        ratio = {order: float(10 ** (curve.relative_db[index] / 20)) for order, curve in known.items()}
        total = float(np.sqrt(sum(value**2 for value in ratio.values())))  # Eq. (1)
        doubt = "" if known else "no harmonic of the sweep stands above its noise here"
        u = total * (10 ** (0.5 / 20) - 1)
        out.append(
            Distortion(
                total=_measure(total, u, float(hz), conditions, doubt, reading.name),
                harmonic_percent={order: 100 * value for order, value in ratio.items()},
                harmonic_u_percent={order: 100 * value * (10 ** (0.5 / 20) - 1) for order, value in ratio.items()},
            )
        )
    return tuple(out)


def omitted_distortion(response: Transfer, frequency_hz: float) -> Finding | None:
    """Say where the response rises so much that the distortion test may be left out.

    Parameters
    ----------
    response : Transfer
        Gain at the reference test setting.
    frequency_hz : float
        Frequency of the test. [Hz]

    Returns
    -------
    Finding or None
        Where the gain at the second harmonic lies 12 dB or more above that at the fundamental.

    Raises
    ------
    InputError
        If the response has no point near one of the two.
    """
    rise = response.value_at(2 * frequency_hz) - response.value_at(frequency_hz)
    if rise < constant("thd_omission_rise"):
        return None
    text = f"The response rises by {rise:.0f} dB from {frequency_hz:g} Hz to its second harmonic."
    action = "Do not hold the distortion at this frequency against the aid: the test may be left out here."
    where = constant_source("thd_omission_rise")
    return Finding("distortion_may_be_omitted", Severity.INFO, text, action, where, frequency_hz, 2 * frequency_hz)


def _measure(ratio: float, u: float, hz: float, conditions: Conditions, doubt: str, name: str) -> Measure:
    cause = Component(f"noise:{name}:{hz:g}", f"noise of '{name}'", np.array([100 * u]), "none", "A", "noise around it")
    even = Component(
        f"flatness:{name}", "evenness between fundamental and harmonics", np.array([100 * _FLATNESS_U * ratio]), "full",
        "B", "engineering judgement",
    )  # fmt: skip
    return Measure(
        item=Item.DISTORTION,
        value=100 * ratio,
        uncertainty=Uncertainty.of(1, [cause, even]),
        conditions=conditions,
        frequency_hz=hz,
        doubt=doubt,
    )


def _input_level(hz: float, level_db_spl: float) -> tuple[Finding, ...]:
    """Whether the tone had the level the definition asks for."""
    item = f"thd_input_{hz:.0f}_hz"
    if hz not in DISTORTION_HZ or level_db_spl == constant(item):
        return ()
    text = (
        f"The tone at {hz:g} Hz was played at {level_db_spl:g} dB SPL; the definition asks for {constant(item):g} dB."
    )
    action = "Measure with that level before comparing with a data sheet."
    return (Finding("other_input_level", Severity.WARN, text, action, constant_source(item), hz, hz),)
