"""From the tables of a case to what a session knows of the tests of an aid by itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.aid import DataSheet, Feature, Item, NominalCurve, Settings, Switch
from umbo.core import Plane
from umbo.session import AidTestPlan, AidTestRun, EnteredReadings

if TYPE_CHECKING:
    from collections.abc import Mapping

    from umbo.interchange._aid_tables import DataSheetTable
    from umbo.interchange._model import CaseTable, RecordingTable

__all__ = ["aid_settings", "aid_test_plan", "aid_test_run"]

_STANDARDS = {"ansi_s3_22": "ANSI S3.22", "iec_60118_0": "IEC 60118-0"}

#: Item of each key of a data sheet, and what its values are multiplied with. [1]
_ITEMS = {
    "maximum_ospl90_db_spl": (Item.MAXIMUM_OSPL90, 1.0),
    "hfa_ospl90_db_spl": (Item.HFA_OSPL90, 1.0),
    "special_ospl90_db_spl": (Item.SPA_OSPL90, 1.0),
    "hfa_full_on_gain_db": (Item.HFA_FULL_ON_GAIN, 1.0),
    "special_full_on_gain_db": (Item.SPA_FULL_ON_GAIN, 1.0),
    "reference_test_gain_db": (Item.REFERENCE_TEST_GAIN, 1.0),
    "response_low_hz": (Item.RESPONSE_LOW, 1.0),
    "response_high_hz": (Item.RESPONSE_HIGH, 1.0),
    "equivalent_input_noise_db_spl": (Item.INPUT_NOISE, 1.0),
    "battery_current_ma": (Item.BATTERY_CURRENT, 1.0),
    "attack_ms": (Item.ATTACK, 1e-3),
    "release_ms": (Item.RELEASE, 1e-3),
    "telecoil_hfa_difference_db": (Item.COIL_DIFFERENCE, 1.0),
}


def aid_settings(case: CaseTable) -> dict[str, Settings]:
    """Settings of the aids, by name."""
    return {
        name: Settings(
            name, table.volume, {feature: Switch(getattr(table.features, feature.value)) for feature in Feature}
        )
        for name, table in case.settings.items()
    }


def aid_test_run(table: RecordingTable, settings: Mapping[str, Settings]) -> AidTestRun | None:
    """What a recording tests; None where it is part of a verification."""
    if table.test is None:
        return None
    return AidTestRun(
        test=table.test,
        settings=None if table.settings is None else settings[table.settings],
        route=table.input,
        direction_deg=table.direction_deg,
        run=table.run,
        lead_in=table.lead_in,
    )


def aid_test_plan(case: CaseTable, data_sheet: DataSheetTable | None) -> AidTestPlan:
    """What a case declares for all tests of its aids."""
    settings = aid_settings(case)
    entered = {
        ear: EnteredReadings(
            battery_current_ma=table.battery_current_ma,
            battery_current_u_ma=table.battery_current_u_ma,
            settings=settings[table.settings],
        )
        for ear, table in case.entered.entries().items()
    }
    special = () if data_sheet is None else data_sheet.special_average_hz or ()
    return AidTestPlan(
        data_sheet=None if data_sheet is None else _sheet(data_sheet, case),
        special_hz=special,
        entered=entered,
        box=case.box.name,
        box_u_db=case.box.u_db,
    )


def _sheet(table: DataSheetTable, case: CaseTable) -> DataSheet:
    file = None if case.data_sheet is None else case.data_sheet.file
    given = {key: getattr(table, key) for key in _ITEMS}
    distortion, response = table.distortion, table.response
    pairs = () if distortion is None else zip(distortion.frequency_hz, distortion.thd_percent, strict=True)
    curve = None
    if response is not None:
        curve = NominalCurve(np.array(response.frequency_hz), np.array(response.gain_db))
    return DataSheet(
        name=file or f"data sheet of {case.id}",
        plane=Plane.coupler(table.coupler or ""),
        standard=_STANDARDS.get(table.standard or "", ""),
        nominal={item: scale * given[key] for key, (item, scale) in _ITEMS.items() if given[key] is not None},
        distortion_percent=dict(pairs),
        response=curve,
    )
