"""Comparing prescriptions for the ears of a plan: no verdict, and no recording but those thresholds need."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from umbo.core import Ear, Finding, Grid, Statistic, Transducer, Transfer
from umbo.ear import UNAIDED_SOURCE, unaided_gain
from umbo.errors import InputError, NotPossibleHereError, UmboError
from umbo.prescription import (
    METHODS,
    EarToFit,
    MethodComparison,
    Target,
    aided_gain_of,
    compare_methods,
    insertion_gain_of,
    method,
    require_adult_ear,
    speech_in_field,
)
from umbo.session._hearing import Hearing, hearing_at_eardrum, predicted_at_eardrum
from umbo.session._imported import imported_targets
from umbo.session._judging import finding_list
from umbo.session._plan import EarPlan, Plan, Recordings
from umbo.session._readings import read_all
from umbo.session._recds import MeasuredRecd, measured_recds
from umbo.session._threshold_findings import between_ears
from umbo.session._wanted_cautions import Wanted, wanted_cautions

__all__ = ["ComparedEar", "ComparedInput", "ImportedBeside", "PrescriptionComparison", "compare_prescriptions"]

#: Overall levels of speech a comparison is made for, from whispered to shouted (engineering judgement). [dB SPL]
SPEECH_RANGE_DB = (30.0, 100.0)

#: Where the unaided gain is needed: at every frequency at which a method prescribes. [Hz]
_METHODS_HZ = np.array(sorted({hz for entry in METHODS.values() for hz in entry.frequency_hz}))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ImportedBeside:
    """An imported speech target beside the open prescriptions.

    Parameters
    ----------
    target : Target
        The target, with method, version and options as declared.
    aided_gain : Transfer or None
        Wanted level minus the speech in the field; None where that speech is not tabulated. [dB]
    insertion_gain : Transfer or None
        Aided minus unaided gain; None for a child, or where the unaided gain is not tabulated. [dB]
    why_not : str or None
        The sentence that says why a gain is missing that could be had for another target.
    from_median_db : tuple of float or None (n,)
        Wanted level minus the median of the open prescriptions; None at frequencies where they prescribe nothing. [dB]
    """

    target: Target
    aided_gain: Transfer | None
    insertion_gain: Transfer | None
    why_not: str | None
    from_median_db: tuple[float | None, ...]


@dataclass(frozen=True, slots=True, eq=False)
class ComparedInput:
    """All that is wanted of one ear for one speech level.

    Parameters
    ----------
    methods : MethodComparison
        The open prescriptions.
    imported : tuple of ImportedBeside
        Imported targets for this level.
    """

    methods: MethodComparison
    imported: tuple[ImportedBeside, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ComparedEar:
    """Prescriptions side by side for one ear.

    Parameters
    ----------
    plan : EarPlan
        What was declared.
    thresholds, discomfort : Hearing or None
        What the methods were given.
    inputs : tuple of ComparedInput
        One for each speech level, softest first.
    why_not : str or None
        The sentence that says why no open prescription could be asked at all.
    no_insertion_gain : str or None
        The sentence that says why nothing is stated as insertion gain; None for adults.
    limits : tuple of Target
        Imported limits of maximum output.
    other_inputs_db_spl : tuple of float
        Speech levels of imported targets that were not asked about. [dB SPL]
    findings : tuple of Finding
        What should be said about the thresholds, what carried them to the eardrum, and levels the ear may not bear.
    """

    plan: EarPlan
    thresholds: Hearing | None
    discomfort: Hearing | None
    inputs: tuple[ComparedInput, ...]
    why_not: str | None
    no_insertion_gain: str | None
    limits: tuple[Target, ...]
    other_inputs_db_spl: tuple[float, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, eq=False)
class PrescriptionComparison:
    """Prescriptions side by side for the ears of a case.

    Parameters
    ----------
    plan : Plan
        What was planned.
    inputs_db_spl : tuple of float
        Overall levels of the speech in the field, softest first. [dB SPL]
    ears : mapping of Ear to ComparedEar
        Each ear that was asked about.
    findings : tuple of Finding
        What concerns both ears.
    """

    plan: Plan
    inputs_db_spl: tuple[float, ...]
    ears: Mapping[Ear, ComparedEar]
    findings: tuple[Finding, ...]


def compare_prescriptions(
    plan: Plan,
    recordings: Recordings,
    *,
    ears: Sequence[Ear] | None = None,
    methods: Sequence[str] | None = None,
    inputs_db_spl: Sequence[float] = (65.0,),
) -> PrescriptionComparison:
    """Every open prescription for the ears of a plan, side by side, with the imported targets beside them.

    No recording of an aid is read. Sweeps of an insert earphone are read where thresholds were taken with one: its RECD
    carries them to the eardrum.

    Parameters
    ----------
    plan : Plan
        Names thresholds, imported targets, and the takes an RECD is made of.
    recordings : Recordings
        Where samples come from.
    ears : sequence of Ear, optional
        Which ears; every ear of the plan if left out.
    methods : sequence of str, optional
        Keys of open prescriptions; all if left out.
    inputs_db_spl : sequence of float
        Overall levels of the speech in the field. [dB SPL], 30 to 100 (enforced)

    Returns
    -------
    PrescriptionComparison
        What a method refuses is no error: it stands there as its sentence.

    Raises
    ------
    InputError
        If an ear or a method is not known, or a level lies outside the range.
    UmboError
        If the input is wrong: thresholds that cannot be read as hearing levels, exchanged sweeps of ear and coupler.
    """
    sides, inputs = _ears_asked(plan, ears), _inputs_asked(inputs_db_spl)
    keys = tuple(dict.fromkeys(METHODS if methods is None else methods))
    for key in keys:
        method(key)
    recds = _recds(plan, recordings, sides)
    compared = {side: _compared(plan.ears[side], recds.get(side, ()), plan, keys, inputs) for side in sides}
    hearing = {side: ear.thresholds for side, ear in compared.items()}
    return PrescriptionComparison(
        plan, inputs, compared, between_ears({side: plan.ears[side] for side in sides}, hearing)
    )


def _ears_asked(plan: Plan, ears: Sequence[Ear] | None) -> tuple[Ear, ...]:
    chosen = tuple(plan.ears) if ears is None else tuple(dict.fromkeys(ears))
    for side in chosen:
        if side not in plan.ears:
            known = " and the ".join(f"{has} ear" for has in plan.ears)
            raise InputError(f"compare prescriptions for the {side} ear", f"the case has the {known}", "ask about that")
    return chosen


def _inputs_asked(inputs_db_spl: Sequence[float]) -> tuple[float, ...]:
    low, high = SPEECH_RANGE_DB
    for level in inputs_db_spl:
        if not low <= level <= high:
            raise InputError(
                f"compare prescriptions for speech of {level:g} dB SPL",
                f"speech in a field lies between {low:g} and {high:g} dB SPL",
                "give its overall level, for example 55, 65 or 75",
            )
    if not inputs_db_spl:
        raise InputError("compare prescriptions", "no speech level was given", "give one, for example 65 dB SPL")
    return tuple(sorted({float(level) for level in inputs_db_spl}))


def _recds(plan: Plan, recordings: Recordings, sides: Sequence[Ear]) -> dict[Ear, tuple[MeasuredRecd, ...]]:
    """RECDs of the ears whose thresholds or discomfort levels were taken with an insert earphone; nothing else is read.

    They stand on twelfth-octaves, as in a verification, and are evaluated anew at the thresholds' frequencies.
    """
    wanted = {side for side in sides if _by_insert(plan.ears[side])}
    takes = tuple(take for take in plan.takes if take.ear in wanted and take.source == "insert")
    curves = tuple(curve for curve in plan.curves if curve.ear in wanted and curve.source == "insert")
    if not takes and not curves:
        return {}
    used = {take.stimulus for take in takes} | {curve.stimulus for curve in curves}
    needed = replace(
        plan,
        takes=takes,
        curves=curves,
        stimuli={name: stimulus for name, stimulus in plan.stimuli.items() if name in used},
    )
    readings = read_all(needed, recordings, speech=False)
    return {side: measured_recds(readings, plan.ears[side], needed, Grid.twelfth_octave()) for side in wanted}


def _by_insert(ear: EarPlan) -> bool:
    entries = (ear.thresholds, ear.discomfort)
    return any(entry is not None and entry.transducer is Transducer.INSERT for entry in entries)


def _compared(
    ear: EarPlan, recds: tuple[MeasuredRecd, ...], plan: Plan, keys: tuple[str, ...], inputs: tuple[float, ...]
) -> ComparedEar:
    thresholds, discomfort = _hearing(ear, recds, plan.client.age_months)
    reug = unaided_gain(_METHODS_HZ, plan.client.age_months, ear=ear.ear, field="free", source=UNAIDED_SOURCE)
    targets, refused = imported_targets(ear, plan.client.age_months)
    spoken = [target for target in targets if target.input_db_spl is not None]
    compared = []
    for level in inputs:
        methods = _methods(thresholds, discomfort, reug, plan, keys, level)
        beside = tuple(_beside(t, methods, plan.client.age_months) for t in spoken if t.input_db_spl == level)
        compared.append(ComparedInput(methods, beside))
    return ComparedEar(
        plan=ear,
        thresholds=thresholds,
        discomfort=discomfort,
        inputs=tuple(compared),
        why_not=None if thresholds is not None else _without_thresholds(ear.ear),
        no_insertion_gain=_no_insertion_gain(plan.client.age_months),
        limits=tuple(target for target in targets if target.input_db_spl is None),
        other_inputs_db_spl=tuple(sorted({t.input_db_spl for t in spoken if t.input_db_spl is not None} - {*inputs})),
        findings=finding_list(
            refused,
            [finding for recd in recds for finding in recd.findings],
            [finding for heard in (thresholds, discomfort) if heard is not None for finding in heard.findings],
            [finding for one in compared for wanted in _wanted(one) for finding in wanted_cautions(wanted, discomfort)],
        ),
    )


def _wanted(one: ComparedInput) -> list[Wanted]:
    """All that is wanted for one input, by open prescriptions and imported targets."""
    level = one.methods.input_db_spl
    found = [
        Wanted(
            entry.method.name,
            level,
            np.array(entry.frequency_hz),
            np.array(entry.aided_db_spl),
            np.array([state.is_usable for state in entry.state]),
        )
        for entry in one.methods.computed
    ]
    for beside in one.imported:
        at = beside.target.level
        name = f"the imported target ({beside.target.method.name})"
        found.append(Wanted(name, level, at.frequency_hz, at.level_db, at.states.is_usable))
    return found


def _hearing(
    ear: EarPlan, recds: tuple[MeasuredRecd, ...], age_months: float | None
) -> tuple[Hearing | None, Hearing | None]:
    """Thresholds and discomfort levels, measured or by the rule that was chosen, as a verification takes them."""
    thresholds = discomfort = None
    if ear.thresholds is not None:
        thresholds = hearing_at_eardrum(ear.thresholds, ear, recds, Statistic.THRESHOLD, age_months=age_months)
    if ear.discomfort is not None:
        discomfort = hearing_at_eardrum(ear.discomfort, ear, recds, Statistic.LIMIT, age_months=age_months)
    elif ear.discomfort_prediction is not None and thresholds is not None:
        discomfort = predicted_at_eardrum(ear.discomfort_prediction, thresholds, ear, recds, age_months=age_months)
    return thresholds, discomfort


def _methods(
    thresholds: Hearing | None,
    discomfort: Hearing | None,
    reug: Transfer,
    plan: Plan,
    keys: tuple[str, ...],
    input_db_spl: float,
) -> MethodComparison:
    if thresholds is None:
        return MethodComparison(
            input_db_spl=input_db_spl, frequency_hz=(), median_db_spl=(), n_methods=(), spread_db=(), methods=()
        )
    hearing = EarToFit(
        entered=thresholds.entered,
        at_eardrum=thresholds.at_eardrum,
        discomfort=None if discomfort is None else discomfort.at_eardrum,
        reug=reug,
        age_months=plan.client.age_months,
    )
    return compare_methods(hearing, keys, input_db_spl=input_db_spl)


def _beside(target: Target, methods: MethodComparison, age_months: float | None) -> ImportedBeside:
    hz, ear = target.level.frequency_hz, target.level.tags.ear
    aided = insertion = why_not = None
    try:
        speech = speech_in_field(hz, methods.input_db_spl, ear=ear)
        aided = aided_gain_of(target, speech)
        if _no_insertion_gain(age_months) is None:
            reug = unaided_gain(hz, age_months, ear=ear, field="free", source=UNAIDED_SOURCE)
            insertion = insertion_gain_of(target, speech, reug, age_months=age_months)
    except UmboError as error:
        why_not = str(error)
    medians = [_median_at(methods, f) for f in hz.tolist()]
    off = tuple(
        None if median is None else float(level) - median
        for level, median in zip(target.level.level_db, medians, strict=True)
    )
    return ImportedBeside(
        target=target, aided_gain=aided, insertion_gain=insertion, why_not=why_not, from_median_db=off
    )


def _median_at(methods: MethodComparison, frequency_hz: float) -> float | None:
    """Median at a frequency, nominal or exact; None where no method prescribes. [dB SPL]."""
    if not methods.frequency_hz:
        return None
    try:
        return methods.median_db_spl[Grid.tones(methods.frequency_hz).index(frequency_hz)]
    except InputError:
        return None


def _no_insertion_gain(age_months: float | None) -> str | None:
    try:
        require_adult_ear(age_months)
    except NotPossibleHereError as refused:
        return str(refused)
    return None


def _without_thresholds(side: Ear) -> str:
    return f"prescribe for the {side} ear: the case holds no thresholds of it; enter [ear.{side}.thresholds]."
