"""One number of the aid: value, unit, uncertainty by cause, and what it holds for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from umbo.aid._conditions import Conditions
from umbo.core import Component, Curve, Finding, Uncertainty

__all__ = ["Item", "Measure", "average_at", "entered_measure", "reading_at"]


class Item(StrEnum):
    """What the number is."""

    MAXIMUM_OSPL90 = "maximum_ospl90"
    HFA_OSPL90 = "hfa_ospl90"
    SPA_OSPL90 = "spa_ospl90"
    MAXIMUM_FULL_ON_GAIN = "maximum_full_on_gain"
    HFA_FULL_ON_GAIN = "hfa_full_on_gain"
    SPA_FULL_ON_GAIN = "spa_full_on_gain"
    REFERENCE_TEST_GAIN = "reference_test_gain"
    HFA_RESPONSE = "hfa_response"
    RESPONSE = "response"
    RESPONSE_LOW = "response_low"
    RESPONSE_HIGH = "response_high"
    DISTORTION = "distortion"
    INPUT_NOISE = "equivalent_input_noise"
    COMPRESSION_RATIO = "compression_ratio"
    KNEE = "knee"
    EXPANSION_SLOPE = "expansion_slope"
    ATTACK = "attack"
    RELEASE = "release"
    BATTERY_CURRENT = "battery_current"
    COIL_DIFFERENCE = "telecoil_hfa_difference"

    @property
    def unit(self) -> str:
        """Unit of the value."""
        return _KINDS[self][1]

    @property
    def label(self) -> str:
        """What a report calls it."""
        return _KINDS[self][0]


_KINDS = {
    Item.MAXIMUM_OSPL90: ("maximum OSPL90", "dB SPL"),
    Item.HFA_OSPL90: ("HFA-OSPL90", "dB SPL"),
    Item.SPA_OSPL90: ("special-purpose average OSPL90", "dB SPL"),
    Item.MAXIMUM_FULL_ON_GAIN: ("maximum full-on gain", "dB"),
    Item.HFA_FULL_ON_GAIN: ("HFA full-on gain", "dB"),
    Item.SPA_FULL_ON_GAIN: ("special-purpose average full-on gain", "dB"),
    Item.REFERENCE_TEST_GAIN: ("reference test gain", "dB"),
    Item.HFA_RESPONSE: ("HFA of the response", "dB SPL"),
    Item.RESPONSE: ("response", "dB"),
    Item.RESPONSE_LOW: ("lower end of the frequency range", "Hz"),
    Item.RESPONSE_HIGH: ("upper end of the frequency range", "Hz"),
    Item.DISTORTION: ("total harmonic distortion", "%"),
    Item.INPUT_NOISE: ("equivalent input noise", "dB SPL"),
    Item.COMPRESSION_RATIO: ("compression ratio", "1"),
    Item.KNEE: ("knee of the input-output curve", "dB SPL"),
    Item.EXPANSION_SLOPE: ("slope of the expansion", "1"),
    Item.ATTACK: ("attack time", "s"),
    Item.RELEASE: ("release time", "s"),
    Item.BATTERY_CURRENT: ("battery current", "mA"),
    Item.COIL_DIFFERENCE: ("telecoil HFA minus acoustic HFA", "dB"),
}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Measure:
    """One number and everything it depends on.

    Parameters
    ----------
    item : Item
        What it is; says the unit too.
    value : float
        The number. [the item's unit]
    uncertainty : Uncertainty
        Causes of error, one point; contributions in the unit of the value.
    conditions : Conditions
        Coupler, stimulus, input level and settings.
    frequency_hz : float or None
        Where it belongs to one frequency, or was found there. [Hz]
    doubt : str
        Why no verdict may rest on it; empty where one may.
    is_bound : bool
        Whether the truth may lie further out, in the direction of the item's name (a range that ends with the reading).
    findings : tuple of Finding
        What was noticed.
    """

    item: Item
    value: float
    uncertainty: Uncertainty
    conditions: Conditions
    frequency_hz: float | None = None
    doubt: str = ""
    is_bound: bool = False
    findings: tuple[Finding, ...] = ()

    @property
    def u(self) -> float:
        """Combined standard uncertainty, k = 1. [the item's unit]"""
        return float(self.uncertainty.u_db[0])

    def __str__(self) -> str:
        at = "" if self.frequency_hz is None else f" at {self.frequency_hz:.0f} Hz"
        unit = "" if self.item.unit == "1" else f" {self.item.unit}"
        return f"{self.item.label}{at}: {self.value:.4g}{unit} (u {self.u:.2g}); {self.conditions.phrase}"


def average_at(curve: Curve, frequency_hz: Sequence[float]) -> tuple[float, Uncertainty, str]:
    r"""Mean of a curve over some frequencies, with the causes of error carried along.

    .. math:: \bar L = \frac{1}{n} \sum_i L(f_i) \qquad (1)

    Parameters
    ----------
    curve : Curve
        Level or gain; its grid has to have a point within 3 % of each frequency.
    frequency_hz : sequence of float
        Frequencies. [Hz]

    Returns
    -------
    (float, Uncertainty, str)
        Mean, uncertainty of one point (causes common to all frequencies add up, others average out), and why it may not
        be relied on, if so.

    Raises
    ------
    InputError
        If the curve has no point near a frequency.
    """
    index = [curve.grid.index(hz) for hz in frequency_hz]
    weight = np.full((1, len(index)), 1 / len(index))
    value = float(np.mean(curve.level_db[index]))  # Eq. (1)
    reasons = [reason for i in index if not curve.states.at(i).is_usable for reason in curve.states.reasons(i)]
    return value, curve.uncertainty.mapped([index], weight), next(iter(reasons), "")


def reading_at(curve: Curve, index: int) -> tuple[float, Uncertainty, str]:
    """One point of a curve as value, uncertainty and doubt.

    Parameters
    ----------
    curve : Curve
        Level or gain.
    index : int
        Which point. [1]
    """
    reasons = () if curve.states.at(index).is_usable else curve.states.reasons(index)
    return float(curve.level_db[index]), curve.uncertainty.mapped([[index]], [[1.0]]), next(iter(reasons), "")


def entered_measure(
    item: Item, value: float, u: float, conditions: Conditions, *, source: str, findings: Iterable[Finding] = ()
) -> Measure:
    """A number that was read off an instrument and typed in, such as the battery current.

    Parameters
    ----------
    item : Item
        What it is.
    value : float
        The number. [the item's unit]
    u : float
        Its standard uncertainty. [the item's unit]
    conditions : Conditions
        What it holds for.
    source : str
        Who or what read it.
    findings : iterable of Finding
        What was noticed.
    """
    cause = Component(f"entered:{source}:{item}", f"{item.label}, entered", np.array([u]), "full", "B", source)
    return Measure(
        item=item, value=value, uncertainty=Uncertainty.of(1, [cause]), conditions=conditions, findings=tuple(findings)
    )
