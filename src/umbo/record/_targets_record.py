"""From compared prescriptions to the answer of ``umbo targets``."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from umbo import __version__
from umbo.prescription import METHODS, ComparedMethod, Prescription
from umbo.record._from_curve import finding_records
from umbo.record._from_session import hearing_record, target_record
from umbo.record._plain import DB_DECIMALS, HZ_DECIMALS, rounded, state_words
from umbo.record._targets_answer import (
    ConstantsRecord,
    EarTargets,
    ImportedLevels,
    InputTargets,
    MethodLevels,
    PrescriptionRecord,
    TargetsAnswer,
    WantedLevels,
)
from umbo.refdata import table
from umbo.session import ComparedEar, ComparedInput, ImportedBeside, PrescriptionComparison

__all__ = ["TARGET_CAUTIONS", "targets_answer"]

#: Printed with every comparison of prescriptions.
TARGET_CAUTIONS = (
    "Not for client care unless it has been cleared for it where you work; local codes and licensed practice go first.",
    "The median is the middle of these methods, not the truth: they were made for different aids and losses.",
    "No open prescription here is equivalent to a licensed one, whatever its name.",
    "Constants from memory have to be compared with the paper before a fitting rests on them.",
    "None of them prescribes a maximum output: verify it against discomfort levels or an imported limit.",
)

#: Tables behind every wanted level, beside those of the methods.
_SPEECH_AND_EAR = (("ltass", "byrne-1994"), ("field_to_eardrum", "ansi-s3.5-1997"))

#: Tables of the resonance that moves the unaided gain to a child's.
_RESONANCE = ("kruger-1987", "keefe-1994", "westwood-bamford-undated", "dempster-mackenzie-1990")


def targets_answer(compared: PrescriptionComparison, methods: Sequence[str] | None = None) -> TargetsAnswer:
    """Answer of ``umbo targets``.

    Parameters
    ----------
    compared : PrescriptionComparison
        What a session found.
    methods : sequence of str, optional
        Keys that were asked about; all open prescriptions if left out.
    """
    keys = tuple(METHODS) if methods is None else tuple(dict.fromkeys(methods))
    client = compared.plan.client
    return TargetsAnswer.model_validate(
        {
            "schema": 1,
            "case": compared.plan.case_id,
            "software": f"umbo {__version__}",
            "client": client.code,
            "age_months": client.age_months,
            "inputs_db_spl": list(compared.inputs_db_spl),
            "prescriptions": {key: _prescription(METHODS[key]) for key in keys},
            "tables": _tables(METHODS[key] for key in keys),
            "ears": {side.value: _ear(ear) for side, ear in compared.ears.items()},
            "findings": finding_records(compared.findings),
            "cautions": list(TARGET_CAUTIONS),
        }
    )


def _prescription(entry: Prescription) -> PrescriptionRecord:
    return PrescriptionRecord(
        name=entry.name,
        version=entry.version,
        options=entry.options,
        reference=entry.reference,
        prescribes=entry.prescribes,
        suits=entry.suits,
        not_for=entry.not_for,
        status=entry.status,
        constants=[
            ConstantsRecord(label=part.label, table=f"{part.quantity}/{part.source}", statuses=part.statuses())
            for part in entry.constants
        ],
    )


def _tables(prescriptions: Iterable[Prescription]) -> list[str]:
    """Citation of every table a wanted level may rest on, each once."""
    names = [*_SPEECH_AND_EAR, *(("external_ear_resonance", source) for source in _RESONANCE)]
    names += [(part.quantity, part.source) for entry in prescriptions for part in entry.constants]
    return [f"{t.name}: {t.citation()}" for t in (table(name, source=source) for name, source in dict.fromkeys(names))]


def _ear(ear: ComparedEar) -> EarTargets:
    return EarTargets(
        thresholds=hearing_record(ear.thresholds),
        discomfort=hearing_record(ear.discomfort),
        why_not=ear.why_not,
        no_insertion_gain=ear.no_insertion_gain,
        inputs=[_input(one) for one in ear.inputs],
        imported_limits=[target_record(target) for target in ear.limits],
        imported_for_other_inputs=list(ear.other_inputs_db_spl),
        findings=finding_records(ear.findings),
    )


def _input(one: ComparedInput) -> InputTargets:
    found = one.methods
    return InputTargets(
        input_db_spl=found.input_db_spl,
        frequency_hz=list(found.frequency_hz),
        median_db_spl=rounded(np.array(found.median_db_spl)),
        n_methods=list(found.n_methods),
        spread_db=rounded(np.array(found.spread_db)),
        methods=[_method(entry) for entry in found.methods],
        imported=[_imported(entry) for entry in one.imported],
    )


def _method(entry: ComparedMethod) -> MethodLevels:
    wanted = None
    if entry.why_not is None:
        insertion = entry.insertion_gain_db
        wanted = WantedLevels(
            frequency_hz=list(entry.frequency_hz),
            aided_db_spl=rounded(np.array(entry.aided_db_spl)),
            u_db=rounded(np.array(entry.u_db)),
            aided_gain_db=rounded(np.array(entry.aided_gain_db)),
            insertion_gain_db=None if insertion is None else rounded(np.array(insertion)),
            from_median_db=_known(entry.from_median_db),
            state=[state.value for state in entry.state],
        )
    return MethodLevels(
        method=entry.key, why_not=entry.why_not, wanted=wanted, findings=finding_records(entry.findings)
    )


def _imported(entry: ImportedBeside) -> ImportedLevels:
    level, said = entry.target.level, entry.target.method
    return ImportedLevels(
        name=said.name,
        version=said.version,
        options=said.options,
        why_not=entry.why_not,
        wanted=WantedLevels(
            frequency_hz=rounded(level.frequency_hz, HZ_DECIMALS),
            aided_db_spl=rounded(level.level_db),
            u_db=rounded(level.u_db),
            aided_gain_db=None if entry.aided_gain is None else rounded(entry.aided_gain.level_db),
            insertion_gain_db=None if entry.insertion_gain is None else rounded(entry.insertion_gain.level_db),
            from_median_db=_known(entry.from_median_db),
            state=state_words(level),
        ),
    )


def _known(values: Sequence[float | None]) -> list[float | None]:
    return [None if value is None else round(value, DB_DECIMALS) + 0.0 for value in values]
