"""Attack and release times from steps of 55, 90 and 55 dB."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from umbo.aid._conditions import Conditions
from umbo.aid._constants import constant, constant_source
from umbo.aid._measure import Item, Measure
from umbo.calibration import REFERENCE_PRESSURE_PA, Calibration, Recording
from umbo.core import Component, Finding, Severity, Uncertainty
from umbo.curves import ToneStep
from umbo.dsp import StepResponse, averaging_periods_s, split_repeats, step_response, tone_envelope_power
from umbo.errors import InputError

__all__ = ["AttackRelease", "attack_release"]

#: Window of the envelope, at least; whole periods of the tone (engineering judgement). [s]
_WINDOW_S = 0.001
#: An aid and a sound card delay the jump by less than this (engineering judgement). [s]
_SEARCH_S = 0.060


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AttackRelease:
    """How fast an aid follows a jump up and a jump down.

    Parameters
    ----------
    attack, release : Measure
        Times. [s]
    steady_low_db_spl, steady_high_db_spl : float
        Steady output at the lower and at the upper level. [dB SPL]
    overshoot_db : float
        Output just after the jump up over the steady one. [dB]
    delay_s : float
        From where the jump was played to where it was found. [s]
    findings : tuple of Finding
        What was noticed.
    """

    attack: Measure
    release: Measure
    steady_low_db_spl: float
    steady_high_db_spl: float
    overshoot_db: float
    delay_s: float
    findings: tuple[Finding, ...]


def attack_release(
    recording: Recording,
    steps: tuple[ToneStep, ToneStep, ToneStep],
    calibration: Calibration,
    conditions: Conditions,
    *,
    repeats: int,
) -> AttackRelease:
    """Read attack and release times.

    Attack: from the jump up until the output stays within 3 dB of its steady level; release: from the jump down until
    it stays within 4 dB (ANSI S3.22, from memory).

    Parameters
    ----------
    recording : Recording
        ``repeats`` back-to-back periods, which are averaged.
    steps : tuple of three ToneStep
        Low, high and low level of one tone.
    calibration : Calibration
        Microphone chain.
    conditions : Conditions
        How it was taken.
    repeats : int
        Number of periods. [1]

    Raises
    ------
    InputError
        If the steps are not low, high, low of one tone.
    RecordingError
        If the recording does not hold them.
    """
    low, high, after = steps
    if not (low.frequency_hz == high.frequency_hz == after.frequency_hz) or not (
        low.input_db_spl < high.input_db_spl > after.input_db_spl
    ):
        raise InputError(
            f"read attack and release in '{recording.name}'",
            f"its steps are {', '.join(f'{s.input_db_spl:g} dB at {s.frequency_hz:g} Hz' for s in steps)}",
            "use one tone at a low, a high and a low level",
        )
    rate, hz = recording.sampling_rate_hz, low.frequency_hz
    mean = split_repeats(recording.samples_fs, round(after.stop_s * rate), repeats).mean(axis=0)
    window = averaging_periods_s(hz, _WINDOW_S)
    power = tone_envelope_power(mean, rate, hz, averaging_s=window)
    power = power * (calibration.pa_per_full_scale / REFERENCE_PRESSURE_PA) ** 2

    def read(first: ToneStep, second: ToneStep, item: str) -> StepResponse:
        return step_response(
            power, rate, start_s=first.start_s, step_s=second.start_s, stop_s=second.stop_s, averaging_s=window,
            within_db=constant(item), search_s=_SEARCH_S,
        )  # fmt: skip

    up, down = read(low, high, "attack_end"), read(high, after, "release_end")
    own = replace(conditions, input_db_spl=None)
    return AttackRelease(
        attack=_measure(Item.ATTACK, up, own, hz, recording.name),
        release=_measure(Item.RELEASE, down, own, hz, recording.name),
        steady_low_db_spl=up.before_db,
        steady_high_db_spl=up.steady_db,
        overshoot_db=up.overshoot_db,
        delay_s=up.at_s - high.start_s,
        findings=_findings(steps, up, down, recording.name),
    )


def _measure(item: Item, found: StepResponse, conditions: Conditions, hz: float, name: str) -> Measure:
    cause = Component(
        f"envelope:{name}:{item}",
        f"envelope of '{name}'",
        np.array([found.time_u_s]),
        "full",
        "A",
        "scatter over slope",
    )
    unsettled = abs(found.creep_db) > constant("settled_within")
    return Measure(
        item=item,
        value=found.time_s,
        uncertainty=Uncertainty.of(1, [cause]),
        conditions=conditions,
        frequency_hz=hz,
        doubt=f"the level still moved by {abs(found.creep_db):.1f} dB when the step ended" if unsettled else "",
    )


def _findings(
    steps: tuple[ToneStep, ToneStep, ToneStep], up: StepResponse, down: StepResponse, name: str
) -> tuple[Finding, ...]:
    out = []
    creep = max(abs(up.creep_db), abs(down.creep_db))
    if creep > constant("settled_within"):
        text = f"Recording '{name}': the output still moves by {creep:.1f} dB at the end of a step."
        action = "Play longer steps: the steady level, and with it the time, is not known yet."
        out.append(Finding("not_settled", Severity.WARN, text, action, constant_source("settled_within")))
    wanted = (constant("attack_release_low"), constant("attack_release_high"))
    if (steps[0].input_db_spl, steps[1].input_db_spl) != wanted:
        text = f"The steps were {steps[0].input_db_spl:g} and {steps[1].input_db_spl:g} dB SPL."
        action = f"Use {wanted[0]:g} and {wanted[1]:g} dB SPL before comparing with a data sheet."
        out.append(Finding("other_input_level", Severity.WARN, text, action, constant_source("attack_release_low")))
    return tuple(out)
