"""Comparing what the aid does with what this ear should get."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from umbo.aid import MAXIMUM_INPUT_DB_SPL
from umbo.core import ADULT_EAR_MONTHS, CHILD_MONTHS, Bandwidth, Ear, Finding, Grid, Level, Severity
from umbo.ear import UNAIDED_SOURCE, Closing, close_loop, unaided_gain
from umbo.errors import OutOfRangeError
from umbo.prescription import EarToFit, Target, method, speech_targets
from umbo.session._aided import AidedMaximum, AidedSpeech
from umbo.session._hearing import Hearing, common_hz, in_bands
from umbo.session._imported import imported_targets
from umbo.session._plan import Client, EarPlan, ImportedCurve, Plan, Take
from umbo.session._result import JudgedMaximum, JudgedSpeech
from umbo.session._routes import ON_EAR
from umbo.verdict import (
    Guidance,
    Judgement,
    audible_speech,
    fit_to_target,
    maximum_hz,
    maximum_output,
    no_maximum_output,
    rms_deviation,
)

__all__ = ["closings", "judge_maximum", "judge_speech", "targets_of"]

#: Input levels targets are made for where none are imported: soft, average, loud (common practice, no source). [dB SPL]
SPEECH_LEVELS_DB = (55.0, 65.0, 75.0)

#: How the source of a limit begins that was only predicted from thresholds.
PREDICTED = "predicted discomfort levels"

_NOT_CHOSEN = Finding(
    "nothing_prescribed",
    Severity.INFO,
    "No speech target was prescribed: no method was chosen, and the one that stands in by default prescribes insertion "
    "gain, which does not suit a child under seven years.",
    "Import eardrum-level targets made for this age, or choose a prescription by name.",
    "Keefe et al. 1994; Dempster & Mackenzie 1990",
)


def targets_of(
    ear: EarPlan, thresholds: Hearing | None, discomfort: Hearing | None, client: Client
) -> tuple[tuple[Target, ...], tuple[Finding, ...]]:
    """Targets at the eardrum: imported ones where there are any, else those of the chosen open prescription.

    Parameters
    ----------
    ear : EarPlan
        Imported targets, and the prescription chosen.
    thresholds, discomfort : Hearing or None
        Of this ear.
    client : Client
        For the age.

    Returns
    -------
    targets : tuple of Target
        All of the ear.
    findings : tuple of Finding
        Why nothing was prescribed, where something was asked for.
    """
    imported, refused = imported_targets(ear, client.age_months)
    if any(target.input_db_spl is not None for target in imported) or thresholds is None or ear.prescription == "none":
        return imported, refused
    if not ear.is_prescription_chosen and client.age_months is not None and client.age_months < ADULT_EAR_MONTHS:
        return imported, (*refused, _NOT_CHOSEN)
    try:
        made = _prescribed(ear, thresholds, discomfort, client)
    except OutOfRangeError as error:
        return imported, (*refused, _not_prescribed(error))
    return (*imported, *made), refused


def _prescribed(ear: EarPlan, thresholds: Hearing, discomfort: Hearing | None, client: Client) -> tuple[Target, ...]:
    hz = np.array([f for f in method(ear.prescription).frequency_hz if f in thresholds.entered.frequency_hz])
    if not hz.size:
        raise OutOfRangeError(
            f"prescribe by {method(ear.prescription).name}",
            "no threshold was taken at any of its frequencies",
            "measure thresholds there",
        )
    hearing = EarToFit(
        entered=thresholds.entered,
        at_eardrum=thresholds.at_eardrum,
        discomfort=None if discomfort is None else discomfort.at_eardrum,
        reug=unaided_gain(hz, client.age_months, ear=ear.ear, field="free", source=UNAIDED_SOURCE),
        age_months=client.age_months,
    )
    return speech_targets(ear.prescription, hearing, SPEECH_LEVELS_DB)


def _not_prescribed(error: OutOfRangeError) -> Finding:
    text = f"No speech target was prescribed ({error.asked}): {error.disagrees}."
    action = f"{error.do[0].upper()}{error.do[1:]}."
    return Finding("nothing_prescribed", Severity.INFO, text, action, "the method's own needs")


def judge_speech(
    runs: Sequence[AidedSpeech], targets: Sequence[Target], thresholds: Hearing | None, guidance: Guidance
) -> tuple[tuple[JudgedSpeech, ...], tuple[Judgement, ...]]:
    """Compare each run with its target and with threshold.

    Parameters
    ----------
    runs : sequence of AidedSpeech
        Runs by the route in use.
    targets : sequence of Target
        All targets of the ear.
    thresholds : Hearing or None
        Thresholds of the ear.
    guidance : Guidance
        Whose criteria.
    """
    judged: list[JudgedSpeech] = []
    judgements: list[Judgement] = []
    for run in runs:
        name = f"{run.input_db_spl:g}"
        target = next((t for t in targets if t.input_db_spl == run.input_db_spl), None)
        deviation = sensation = coupler_target = rms = None
        if target is not None:
            level = _on_target(run.at_eardrum, target.level)
            wanted = _restricted(target.level, level)
            deviation, fit = fit_to_target(level, wanted, name, guidance=guidance)
            judgements += fit
            rms = rms_deviation(deviation, name)
            coupler_target = _carried_back(wanted, run)
        if thresholds is not None and thresholds.at_eardrum is not None:
            hz = common_hz(run.at_eardrum, thresholds.at_eardrum)
            heard = run.at_eardrum.on(Grid(hz, Bandwidth.THIRD_OCTAVE), method="log_frequency", outside="refuse")
            sensation, judgement = audible_speech(heard, in_bands(thresholds.at_eardrum, hz), name)
            judgements.append(judgement)
        judged.append(JudgedSpeech(run, target, deviation, sensation, coupler_target, rms))
    return tuple(judged), tuple(judgements)


def _on_target(level: Level, target: Level) -> Level:
    hz = common_hz(target, level)
    return level.on(Grid(hz, target.grid.bandwidth), method="log_frequency", outside="refuse")


def _restricted(target: Level, level: Level) -> Level:
    return target.on(level.grid, method="log_frequency", outside="refuse")


def _carried_back(target: Level, run: AidedSpeech) -> Level | None:
    """F6: the target in the coupler, on the target's frequencies; none for a run in the ear."""
    if run.mle is None:
        return None
    recd = run.to_eardrum.on(target.grid, method="log_frequency", outside="refuse")
    mle = run.mle.on(target.grid, method="log_frequency", outside="refuse")
    return (target + -mle + -recd).named("target in the coupler")


def judge_maximum(
    run: AidedMaximum | None, discomfort: Hearing | None, targets: Sequence[Target], client: Client
) -> tuple[JudgedMaximum | None, Judgement]:
    """Compare the maximum output with the discomfort limit: measured first, else imported, else predicted if chosen."""
    if run is None:
        return None, no_maximum_output(
            "No maximum output was measured: nothing is verified without it.",
            "Run a 90 dB sweep in the coupler.",
        )
    limit, source = _limit(discomfort, targets)
    if limit is None or source is None:
        why = f" ({discomfort.why_not})" if discomfort is not None and discomfort.why_not else ""
        judgement = no_maximum_output(
            f"The maximum output was measured, but no discomfort limit at the eardrum is known{why}.",
            "Enter discomfort levels or import a limit.",
        )
        return JudgedMaximum(run, None, None, None, upper_edge=False), judgement
    is_child = client.age_months is None or client.age_months < CHILD_MONTHS
    # below a prediction nothing is shown to be safe: its upper edge counts
    upper_edge = is_child or source.startswith(PREDICTED)
    grid = Grid(maximum_hz(run.at_eardrum, limit, upper_edge=upper_edge), Bandwidth.TONE)
    excess, judgement = maximum_output(
        run.at_eardrum.on(grid, method="log_frequency", outside="hold"),
        limit.on(grid, method="log_frequency", outside="hold"),
        is_child=upper_edge,
        limit_source=source,
    )
    return JudgedMaximum(run, limit, source, excess, upper_edge=upper_edge), judgement


def maximum_without_route(ear: EarPlan, plan: Plan) -> Judgement | None:
    """A loud sweep was recorded, but no way leads from its coupler to this eardrum: say so, and not that none was.

    An open fitting has no such way at all.
    """
    if ear.venting == "open":
        return no_maximum_output(
            "No maximum output was measured in the ear, and an open fitting's is not that of a coupler: nothing is "
            "verified without it.",
            "Run a sweep of 85 dB SPL with the probe in the ear: warn the client before, stop at any sign of distress.",
        )
    measured: tuple[Take | ImportedCurve, ...] = (*plan.takes, *plan.curves)
    loud = [
        take
        for take in measured
        if (take.ear, take.place, take.source) == (ear.ear, "coupler", "aid")
        and (plan.stimuli[take.stimulus].level_db_spl or 0.0) >= MAXIMUM_INPUT_DB_SPL
        and plan.stimuli[take.stimulus].kind == "exponential_sweep"
        and take.coupler is not None
    ]
    if not loud:
        return None
    names = " and ".join(sorted({take.coupler.display_name for take in loud if take.coupler is not None}))
    return no_maximum_output(
        f"The maximum output was measured in the {names}, but no usable RECD leads from there to this eardrum.",
        f"Measure the ear against the {names}, or the aid in the coupler the ear was measured against.",
    )


def _limit(discomfort: Hearing | None, targets: Sequence[Target]) -> tuple[Level | None, str | None]:
    """Measured discomfort levels, else an imported limit, else predicted discomfort levels where they were chosen."""
    known = None if discomfort is None else discomfort.at_eardrum
    if discomfort is not None and known is not None and not discomfort.is_predicted:
        return known, f"discomfort levels, {discomfort.route}"
    for target in targets:
        if target.input_db_spl is None:
            return target.level, f"imported limit: {target.method}"
    if discomfort is not None and known is not None:
        return known, f"{PREDICTED}, {discomfort.route}"
    return None, None


def closings(speech: Sequence[AidedSpeech], maxima: Sequence[AidedMaximum], ear: Ear) -> tuple[Closing, ...]:
    """Close the loop wherever one sound was measured in two couplers.

    Parameters
    ----------
    speech, maxima : sequence
        Runs by every route.
    ear : Ear
        Which ear, for the order of routes.
    """
    runs: list[tuple[tuple[str, float], AidedSpeech | AidedMaximum]] = [
        *((("speech", s.input_db_spl), s) for s in speech),
        *((("maximum", m.input_db_spl), m) for m in maxima),
    ]
    out = []
    for key in dict.fromkeys(k for k, _ in runs):
        same = [run for k, run in runs if k == key and run.at_eardrum.tags.ear == ear]
        for i, one in enumerate(same):
            out += [
                close_loop(one.at_eardrum, other.at_eardrum, routes=(one.route.name, other.route.name))
                for other in same[i + 1 :]
                if other.measured.plane != one.measured.plane
            ]
    return tuple(out)


def loop_findings(loops: Sequence[Closing]) -> tuple[Finding, ...]:
    """One finding for each pair of routes: that of the loop that closes worst."""
    worst: dict[tuple[str, str], Closing] = {}
    for loop in loops:
        if loop.routes not in worst or loop.badness > worst[loop.routes].badness:
            worst[loop.routes] = loop
    return tuple(_loop_finding(loop) for loop in worst.values())


def _loop_finding(loop: Closing) -> Finding:
    """A loop with one way through the ear is not mended at two couplers."""
    finding = loop.finding()
    if finding.code != "loop_open" or ON_EAR not in loop.routes:
        return finding
    return replace(finding, action=_LOOK_AT_BOTH)


_LOOK_AT_BOTH = (
    "Check the probe's place and depth in the ear, the coupler's label and seal, and the aid's settings, and repeat "
    "both readings before trusting either."
)


def finding_list(*groups: Sequence[Finding]) -> tuple[Finding, ...]:
    """All findings once, in order."""
    return tuple(dict.fromkeys(finding for group in groups for finding in group))
