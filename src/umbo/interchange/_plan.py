"""From the tables of a case to the plan of a session."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.calibration import Calibration, ProbeTubeResponse
from umbo.core import Ear
from umbo.ear import Vent
from umbo.interchange._age import age_in_months
from umbo.interchange._aid_plan import aid_settings, aid_test_plan, aid_test_run
from umbo.interchange._hearing_plan import discomfort_set, prediction_rule, threshold_set
from umbo.session import Client, EarPlan, ImportedCurve, Plan, StimulusPlan, Take, TargetSet

if TYPE_CHECKING:
    from collections.abc import Mapping

    from umbo.interchange._aid_tables import DataSheetTable
    from umbo.interchange._curve_table import CurveTable
    from umbo.interchange._ear_tables import EarTable, FittingTable, TargetTable
    from umbo.interchange._model import CalibrationTable, CaseTable, ClientTable

__all__ = ["plan_of"]


def plan_of(case: CaseTable, curves: Mapping[str, CurveTable], data_sheet: DataSheetTable | None = None) -> Plan:
    """Plan of a checked case.

    Parameters
    ----------
    case : CaseTable
        The case.
    curves : mapping
        Contents of the curve and target files, by file name.
    data_sheet : DataSheetTable, optional
        Nominal values, wherever they stood.
    """
    return Plan(
        case_id=case.id,
        client=_client(case.client, case),
        ears={ear: _ear(ear, table, case, curves) for ear, table in case.ear.entries().items()},
        calibrations={name: _calibration(name, table) for name, table in case.calibration.items()},
        stimuli=_stimuli(case),
        takes=_takes(case),
        curves=_curves(case, curves),
        date=case.measured_on,
        aid_tests=aid_test_plan(case, data_sheet),
    )


def _calibration(name: str, table: CalibrationTable) -> Calibration:
    tube = None
    if table.tube is not None:
        tube = ProbeTubeResponse(
            np.array(table.tube.frequency_hz), np.array(table.tube.level_db), table.tube.u_db, name
        )
    return Calibration(
        name=name,
        pa_per_full_scale=table.pa_per_full_scale,
        u_db=table.u_db,
        date=table.date,
        method=table.method,
        tube=tube,
    )


def _client(table: ClientTable, case: CaseTable) -> Client:
    age_months = table.age_months
    if table.born is not None and case.measured_on is not None:
        age_months = age_in_months(table.born, case.measured_on)
    return Client(code=table.code, age_months=age_months)


def _stimuli(case: CaseTable) -> dict[str, StimulusPlan]:
    return {
        name: StimulusPlan(
            name=name,
            kind=s.kind,
            start_hz=s.start_hz,
            stop_hz=s.stop_hz,
            level_db_spl=s.level_db_spl,
            has_file=s.file is not None,
            file=s.file or "",
            frequency_hz=s.frequency_hz or (),
            levels_db_spl=s.levels_db_spl or (),
            step_s=s.step_s,
            field_a_per_m=s.field_a_per_m,
        )
        for name, s in case.stimulus.items()
    }


def _takes(case: CaseTable) -> tuple[Take, ...]:
    settings = aid_settings(case)
    return tuple(
        Take(
            name=r.name,
            stimulus=r.stimulus,
            repeats=r.repeats,
            ear=r.ear,
            place=r.place,
            coupler=r.coupler,
            coupling=r.coupling,
            source=r.source,
            calibration=r.calibration,
            file=r.file,
            aid=r.aid,
            taken_on=r.date,
            tested=aid_test_run(r, settings),
        )
        for r in case.recording
    )


def _curves(case: CaseTable, curves: Mapping[str, CurveTable]) -> tuple[ImportedCurve, ...]:
    return tuple(
        ImportedCurve(
            name=c.name,
            stimulus=c.stimulus,
            ear=c.ear,
            place=c.place,
            coupler=c.coupler,
            coupling=c.coupling,
            source=c.source,
            file=c.file,
            frequency_hz=curves[c.file].frequency_hz,
            level_db=curves[c.file].level_db,
            u_db=curves[c.file].u_db,
            noise_db=curves[c.file].noise_db,
            state=curves[c.file].state,
            declared=curves[c.file].header,
            aid=c.aid,
            taken_on=c.date,
        )
        for c in case.curve
    )


def _ear(ear: Ear, table: EarTable, case: CaseTable, curves: Mapping[str, CurveTable]) -> EarPlan:
    mle = table.mle
    return EarPlan(
        ear=ear,
        middle_ear=table.middle_ear,
        tip_to_drum_mm=table.tip_to_drum_mm,
        thresholds=threshold_set(table.thresholds, case.corrections),
        discomfort=discomfort_set(table.discomfort),
        discomfort_prediction=prediction_rule(table.fitting.discomfort_prediction, case.discomfort_rules),
        targets=tuple(_target(t, curves) for t in case.target if t.ear == ear),
        recd=table.recd,
        venting=table.fitting.venting,
        prescription=table.fitting.prescription or "nal_r",
        is_prescription_chosen=table.fitting.prescription is not None,
        frequency_lowering=table.fitting.frequency_lowering,
        mle_frequency_hz=() if mle is None else mle.frequency_hz,
        mle_db=() if mle is None else mle.level_db,
        mle_source="" if mle is None else mle.source,
        vent=_vent(table.fitting),
        aid_delay_s=None if table.fitting.aid_delay_ms is None else 1e-3 * table.fitting.aid_delay_ms,
        guidance=table.fitting.guidance,
        mould_since=table.fitting.mould_since,
    )


def _vent(table: FittingTable) -> Vent | None:
    if table.vent_diameter_mm is None or table.vent_length_mm is None:
        return None
    return Vent(1e-3 * table.vent_diameter_mm, 1e-3 * table.vent_length_mm)


def _target(table: TargetTable, curves: Mapping[str, CurveTable]) -> TargetSet:
    if table.file is not None:
        frequency_hz, level_db = curves[table.file].frequency_hz, curves[table.file].level_db
    else:
        frequency_hz, level_db = table.frequency_hz or (), table.level_db or ()
    return TargetSet(
        name=table.name,
        method=table.method,
        version=table.version,
        options=table.options,
        kind=table.kind,
        level_db_spl=table.level_db_spl,
        frequency_hz=frequency_hz,
        level_db=level_db,
    )
