"""Targets for speech by an open prescription, for one ear."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.core import Bandwidth, Grid, Level, Plane, States, Tags, Transfer
from umbo.errors import OutOfRangeError
from umbo.prescription._cautions import child_findings, memory_findings
from umbo.prescription._conversions import aided_level_of
from umbo.prescription._mapped_targets import mapped_level
from umbo.prescription._methods import method
from umbo.prescription._targets import Target, speech_in_field
from umbo.prescription._thresholds import HEARING_LEVEL_RANGE_DB

if TYPE_CHECKING:
    from collections.abc import Sequence

    from umbo.core import FloatArray
    from umbo.prescription._ear_to_fit import EarToFit
    from umbo.prescription._prescription import Gain, Prescription

__all__ = ["speech_targets"]


def speech_targets(
    key: str, hearing: EarToFit, inputs_db_spl: Sequence[float] = (55.0, 65.0, 75.0)
) -> tuple[Target, ...]:
    r"""Wanted levels of speech at the eardrum by an open prescription.

    .. math:: L_{target} = L_{speech} + REUG + \max(IG, 0)

    for methods that prescribe insertion gain; those that prescribe an aided level give it directly.

    Parameters
    ----------
    key : str
        Which prescription: a key of :data:`METHODS`.
    hearing : EarToFit
        Thresholds, and what else the method needs.
    inputs_db_spl : sequence of float
        Overall levels of the speech in the field: soft, average, loud (common practice, no source). [dB SPL]

    Returns
    -------
    tuple of Target
        One for each input, in third-octaves, on the frequencies that the method and the thresholds share. Where there
        was no response there is no threshold and so no target: the point is withdrawn. [dB SPL]

    Raises
    ------
    InputError
        If there is no such prescription.
    OutOfRangeError
        If a threshold the method cannot do without is missing or had no response, none was answered at all, discomfort
        levels are missing that it needs, or a level lies outside its range.

    References
    ----------
    The method's own, in :data:`METHODS`; speech: Byrne et al. 1994, J. Acoust. Soc. Am. 96, 2108.
    """
    chosen = method(key)
    findings = child_findings(chosen.name, hearing.age_months) if chosen.is_insertion_gain else ()
    findings += memory_findings(chosen.name) if chosen.is_from_memory else ()
    targets = []
    for overall in inputs_db_spl:
        level = _from_gain(chosen, chosen.gain, hearing, overall) if chosen.gain else mapped_level(hearing, overall)
        targets.append(Target(level.named(f"target, speech {overall:g} dB"), chosen.method, float(overall), findings))
    return tuple(targets)


def _from_gain(chosen: Prescription, rule: Gain, hearing: EarToFit, overall_db_spl: float) -> Level:
    entered = hearing.entered
    index = np.array([entered.grid.index(f) for f in chosen.frequency_hz if f in entered.frequency_hz], dtype=int)
    held = entered.frequency_hz[index]
    states = entered.states.taken(index)
    _require_answers(chosen, held, states)
    # without a response the level is a bound: it may lie outside the rule's range, and what is made of it is withdrawn
    level = np.where(
        states.is_usable, entered.level_db[index], np.clip(entered.level_db[index], *HEARING_LEVEL_RANGE_DB)
    )
    speech = speech_in_field(held, overall_db_spl, ear=hearing.ear)
    lift = Transfer.given(
        Grid(held, Bandwidth.THIRD_OCTAVE),
        np.maximum(rule(held, level, overall_db_spl), 0.0),
        start=Plane.eardrum(),
        end=Plane.eardrum(),
        tags=Tags(
            quantity=f"{chosen.name} insertion gain",
            ear=hearing.ear,
            stimulus=None,
            statistic=None,
            coupling=None,
            source=None,
        ),
        source=f"{chosen.reference}, {chosen.status}" if chosen.status else chosen.reference,
        states=states,
    )
    return aided_level_of(lift, speech, hearing.reug)


def _require_answers(chosen: Prescription, frequency_hz: FloatArray, states: States) -> None:
    """Refuse a mean with a threshold in it that is only a bound, and an ear that answered nowhere."""
    asked = f"prescribe {chosen.name} gain"
    do = "import a target of a method made for such losses"
    for index, hz in enumerate(frequency_hz):
        if hz in chosen.needed_hz and not states.at(index).is_usable:
            raise OutOfRangeError(
                asked,
                f"the threshold at {hz:g} Hz is not known ({states.reasons(index)[0]}), and the method needs it",
                do,
            )
    if not frequency_hz.size or not states.is_usable.any():
        raise OutOfRangeError(asked, "no threshold is known at any of its frequencies", do)
