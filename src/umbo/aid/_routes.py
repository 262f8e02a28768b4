"""Telecoil and remote microphone against the aid's own microphone."""

from __future__ import annotations

from dataclasses import dataclass

from umbo.aid._conditions import Conditions, InputRoute
from umbo.aid._constants import constant, constant_source
from umbo.aid._measure import Item, Measure, average_at
from umbo.aid._outcome import judge_between
from umbo.aid._output import HFA_HZ
from umbo.core import Level, Outcome
from umbo.errors import InputError

__all__ = ["RouteCheck", "coil_difference", "remote_microphone_offset"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RouteCheck:
    """Output through another input minus output through the aid's microphone.

    Parameters
    ----------
    offset_db, offset_u_db : float
        Mean difference and its standard uncertainty. [dB]
    frequency_hz : tuple of float
        Frequencies of the mean. [Hz]
    tolerance_db : float
        What is allowed on both sides. [dB]
    outcome : Outcome
        What can be said.
    sentence, action, source : str
        Why, what to do next (empty for a pass), and whose limit it is.
    acoustic, other : Conditions
        How the two were taken.
    """

    offset_db: float
    offset_u_db: float
    frequency_hz: tuple[float, ...]
    tolerance_db: float
    outcome: Outcome
    sentence: str
    action: str
    source: str
    acoustic: Conditions
    other: Conditions


def remote_microphone_offset(
    acoustic: Level, acoustic_conditions: Conditions, remote: Level, remote_conditions: Conditions
) -> RouteCheck:
    """Whether a remote microphone is transparent: equal outputs for equal levels at both microphones.

    Parameters
    ----------
    acoustic : Level
        Output with the sound at the aid. [dB SPL]
    acoustic_conditions : Conditions
        How it was taken.
    remote : Level
        Output with the sound at the remote microphone. [dB SPL]
    remote_conditions : Conditions
        How it was taken.

    Raises
    ------
    InputError
        If a route is another one, the levels at the two microphones differ, or a frequency is missing.
    CombinationError
        If the two were not measured in one place, or belong to two ears.
    """
    _require(acoustic_conditions, InputRoute.ACOUSTIC)
    _require(remote_conditions, InputRoute.REMOTE_MICROPHONE)
    if acoustic_conditions.input_db_spl != remote_conditions.input_db_spl:
        raise InputError(
            "compare a remote microphone with the aid's own",
            f"the sound had {acoustic_conditions.input_db_spl} dB at the aid and {remote_conditions.input_db_spl} dB "
            "at the remote microphone",
            "play the same level to both",
        )
    hz = tuple(constant(f"remote_microphone_frequency_{n}") for n in (1, 2, 3))
    offset, u, doubt = _mean_difference(remote, acoustic, hz)
    tolerance = constant("remote_microphone_offset")
    wrong = doubt or _settings_differ(acoustic_conditions, remote_conditions)
    outcome = Outcome.CANNOT_TELL if wrong else judge_between(offset, u, -tolerance, tolerance)
    action = ""
    if outcome is Outcome.FAIL:
        action = f"Change the gain of the remote microphone by {-offset:+.1f} dB and measure again."
    elif outcome is Outcome.CANNOT_TELL:
        action = "Measure both again with one setting; keep the aid's own microphone away from the sound, or mute it."
    sentence = (
        f"Through the remote microphone the output is {offset:+.2f} dB re the aid's own (mean at "
        f"{', '.join(f'{f:g}' for f in hz)} Hz; ±{tolerance:g} dB allowed)"
    )
    return RouteCheck(
        offset_db=offset, offset_u_db=u, frequency_hz=hz, tolerance_db=tolerance, outcome=outcome,
        sentence=f"{sentence}{f'; cannot be judged: {wrong}' if wrong else ''}.", action=action,
        source=constant_source("remote_microphone_offset"), acoustic=acoustic_conditions, other=remote_conditions,
    )  # fmt: skip


def coil_difference(
    acoustic: Level, acoustic_conditions: Conditions, coil: Level, coil_conditions: Conditions
) -> tuple[RouteCheck, Measure]:
    """Telecoil response: HFA with the magnetic field minus HFA with sound at the microphone, same setting.

    Parameters
    ----------
    acoustic : Level
        Output at the reference test setting with 60 dB SPL. [dB SPL]
    acoustic_conditions : Conditions
        How it was taken.
    coil : Level
        Output at the same setting with 31.6 mA/m. [dB SPL]
    coil_conditions : Conditions
        How it was taken.

    Returns
    -------
    (RouteCheck, Measure)
        The check, and the difference as an item of a data sheet.

    Raises
    ------
    InputError
        If a route is another one, or a frequency is missing.
    CombinationError
        If the two were not measured in one place, or belong to two ears.
    """
    _require(acoustic_conditions, InputRoute.ACOUSTIC)
    _require(coil_conditions, InputRoute.TELECOIL)
    offset, u, doubt = _mean_difference(coil, acoustic, HFA_HZ)
    tolerance = constant("tolerance_coil_hfa")
    wrong = doubt or _settings_differ(acoustic_conditions, coil_conditions)
    outcome = Outcome.CANNOT_TELL if wrong else judge_between(offset, u, -tolerance, tolerance)
    sentence = f"Through the telecoil the HFA is {offset:+.1f} dB re the microphone (±{tolerance:g} dB allowed)"
    action = "" if outcome is Outcome.PASS else "Check the position of the aid in the field and the telecoil's gain."
    uncertainty = average_at(coil, HFA_HZ)[1].plus(average_at(acoustic, HFA_HZ)[1], -1.0)
    check = RouteCheck(
        offset_db=offset, offset_u_db=u, frequency_hz=HFA_HZ, tolerance_db=tolerance, outcome=outcome,
        sentence=f"{sentence}{f'; cannot be judged: {wrong}' if wrong else ''}.", action=action,
        source=constant_source("tolerance_coil_hfa"), acoustic=acoustic_conditions, other=coil_conditions,
    )  # fmt: skip
    item = Measure(
        item=Item.COIL_DIFFERENCE, value=offset, uncertainty=uncertainty, conditions=coil_conditions, doubt=wrong
    )
    return check, item


def _require(conditions: Conditions, route: InputRoute) -> None:
    if conditions.route is not route:
        raise InputError(
            "compare two inputs of an aid",
            f"one was expected through '{route}' and was taken through '{conditions.route}'",
            "name the two runs the other way round, or state the input",
        )


def _settings_differ(one: Conditions, other: Conditions) -> str:
    same = one.settings.same_features(other.settings)
    return "" if same else f"the settings '{one.settings.name}' and '{other.settings.name}' differ"


def _mean_difference(level: Level, reference: Level, frequency_hz: tuple[float, ...]) -> tuple[float, float, str]:
    """Mean of a level above another; a calibration both share cancels."""
    difference = level.above(reference, quantity=f"{level.tags.quantity} re {reference.tags.quantity}")
    value, uncertainty, doubt = average_at(difference, frequency_hz)
    return value, float(uncertainty.u_db[0]), doubt
