"""Directional microphone: front against back."""

from __future__ import annotations

from umbo.aid._conditions import Conditions, Feature, Switch
from umbo.aid._constants import constant, constant_range, constant_source
from umbo.aid._feature_check import FeatureCheck
from umbo.aid._measure import average_at
from umbo.aid._outcome import judge_between
from umbo.core import COVERAGE_FACTOR, Level, Outcome, lies_within
from umbo.errors import InputError

__all__ = ["front_back"]


def front_back(front: Level, back: Level, conditions: Conditions, back_conditions: Conditions) -> FeatureCheck:
    """Output for sound from the front minus output for sound from the back, mean of the bands from 1 to 4 kHz.

    A directional microphone gives at least 5 dB, an omnidirectional one within 3 dB; a negative difference of a
    directional microphone says that its ports are reversed or one is blocked (all engineering judgement).

    Parameters
    ----------
    front, back : Level
        Outputs with the sound at 0 and at 180 degrees. [dB SPL]
    conditions, back_conditions : Conditions
        How they were taken.

    Raises
    ------
    InputError
        If no usable frequency lies in the middle bands.
    CombinationError
        If the two are not comparable.
    """
    difference = front.above(back, quantity="front minus back")
    low, high = constant_range("directional_band")
    hz = difference.frequency_hz
    inside = difference.states.is_usable & lies_within(hz, low, high)
    if not inside.any():
        raise InputError(
            "compare front and back",
            f"no usable point lies between {low:g} and {high:g} Hz",
            "measure well above the noise, over the whole range",
        )
    value, uncertainty, _ = average_at(difference, hz[inside].tolist())
    u = float(uncertainty.u_db[0])
    state = conditions.settings.state(Feature.DIRECTIONAL)
    judged, sentence, action, item = _judged(value, u, state)
    doubt = ""
    if state is Switch.UNKNOWN:
        doubt = f"whether the {Feature.DIRECTIONAL.phrase} was on or off is not known"
    doubt = doubt or next(iter(conditions.differences(back_conditions)), "")
    if not doubt and conditions.settings.state(Feature.NOISE_REDUCTION) is Switch.ON:
        doubt = "the noise reduction was on, and treats the two runs differently"
    return FeatureCheck(
        feature=Feature.DIRECTIONAL, check="directional", value=value, u=u, unit="dB", outcome=judged,
        sentence=f"{sentence}.", action=action, source=constant_source(item), bands=difference,
        conditions=(conditions, back_conditions),
    ).with_doubt(doubt)  # fmt: skip


def _judged(value: float, u: float, state: Switch) -> tuple[Outcome, str, str, str]:
    """Outcome, sentence, action and the row the limit comes from."""
    head = f"Sound from the front comes out {value:+.1f} dB re sound from the back"
    if state is Switch.OFF:
        item = "omnidirectional_difference"
        limit = constant(item)
        action = "Check that the microphone really is omnidirectional in this programme, and that both ports are clean."
        return judge_between(value, u, -limit, limit), f"{head} (omnidirectional: within ±{limit:g} dB)", action, item
    item = "directional_difference"
    limit = constant(item)
    sentence = f"{head} (directional: at least {limit:g} dB)"
    action = "Check that the directional microphone is enabled, the aid points to the source, and both ports are clean."
    if value < -COVERAGE_FACTOR * u:
        sentence += ": the ports are reversed or one is blocked"
        action = "Turn the aid round in the box to rule out its position, clean both ports, then return it."
    return judge_between(value, u, limit, None), sentence, action, item
