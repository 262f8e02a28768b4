"""From what the tests of an aid found to plain records: numbers with their conditions, and judgements."""

from __future__ import annotations

from umbo.aid import Conditions, Feature, Item, ItemJudgement, Measure, ReferenceGain, SheetJudgement
from umbo.core import CouplerKind
from umbo.record._aid_parts import (
    AidConditions,
    AidMeasure,
    LikelyReasonRecord,
    MeasureChange,
    ReferenceGainRecord,
    SheetItemRecord,
    SheetRecord,
)
from umbo.record._plain import DB_DECIMALS, HZ_DECIMALS
from umbo.session import AidChange

__all__ = ["ITEM_KEYS", "change_record", "measure_record", "reference_record", "sheet_record"]

#: Key of an item: the one of a case's data sheet where it has one; and unit and factor of what is written.
ITEM_KEYS: dict[Item, tuple[str, str, float]] = {
    Item.MAXIMUM_OSPL90: ("maximum_ospl90_db_spl", "dB SPL", 1.0),
    Item.HFA_OSPL90: ("hfa_ospl90_db_spl", "dB SPL", 1.0),
    Item.SPA_OSPL90: ("special_ospl90_db_spl", "dB SPL", 1.0),
    Item.MAXIMUM_FULL_ON_GAIN: ("maximum_full_on_gain_db", "dB", 1.0),
    Item.HFA_FULL_ON_GAIN: ("hfa_full_on_gain_db", "dB", 1.0),
    Item.SPA_FULL_ON_GAIN: ("special_full_on_gain_db", "dB", 1.0),
    Item.REFERENCE_TEST_GAIN: ("reference_test_gain_db", "dB", 1.0),
    Item.HFA_RESPONSE: ("hfa_response_db_spl", "dB SPL", 1.0),
    Item.RESPONSE: ("gain_db", "dB", 1.0),
    Item.RESPONSE_LOW: ("response_low_hz", "Hz", 1.0),
    Item.RESPONSE_HIGH: ("response_high_hz", "Hz", 1.0),
    Item.DISTORTION: ("thd_percent", "%", 1.0),
    Item.INPUT_NOISE: ("equivalent_input_noise_db_spl", "dB SPL", 1.0),
    Item.COMPRESSION_RATIO: ("compression_ratio", "1", 1.0),
    Item.KNEE: ("knee_db_spl", "dB SPL", 1.0),
    Item.EXPANSION_SLOPE: ("expansion_slope", "1", 1.0),
    Item.ATTACK: ("attack_ms", "ms", 1e3),
    Item.RELEASE: ("release_ms", "ms", 1e3),
    Item.BATTERY_CURRENT: ("battery_current_ma", "mA", 1.0),
    Item.COIL_DIFFERENCE: ("telecoil_hfa_difference_db", "dB", 1.0),
}


def _plain(value: float, decimals: int = DB_DECIMALS) -> float:
    return round(float(value), decimals) + 0.0


def _hertz(value: float | None) -> float | None:
    return None if value is None else _plain(value, HZ_DECIMALS)


def conditions_record(conditions: Conditions) -> AidConditions:
    """Conditions as a record."""
    settings = conditions.settings
    return AidConditions(
        coupler=CouplerKind(str(conditions.plane.detail)).value,
        stimulus=conditions.stimulus.value,
        input_db_spl=conditions.input_db_spl,
        route=conditions.route.value,
        settings=settings.name,
        volume=settings.volume.value,
        features={feature.value: settings.state(feature).value for feature in Feature},
        box=conditions.box,
        input_u_db=conditions.input_u_db,
        run=conditions.run,
    )


def measure_record(measure: Measure) -> AidMeasure:
    """A number as a record."""
    key, unit, scale = ITEM_KEYS[measure.item]
    return AidMeasure(
        key=key,
        label=measure.item.label,
        unit=unit,
        value=_plain(scale * measure.value),
        u=_plain(scale * measure.u),
        frequency_hz=_hertz(measure.frequency_hz),
        is_bound=measure.is_bound,
        doubt=measure.doubt,
        entered=measure.item is Item.BATTERY_CURRENT,
        conditions=conditions_record(measure.conditions),
    )


def reference_record(found: ReferenceGain | None) -> ReferenceGainRecord | None:
    """The reference test gain as a record."""
    if found is None:
        return None
    return ReferenceGainRecord(
        wanted_db=_plain(found.wanted_db),
        wanted_u_db=_plain(found.wanted_u_db),
        measured_db=_plain(found.measured.value),
        u_db=_plain(found.measured.u),
        is_full_on=found.is_full_on,
        outcome=found.outcome.value,
    )


def sheet_record(judgement: SheetJudgement | None, standard: str) -> SheetRecord | None:
    """An aid against its data sheet as a record."""
    if judgement is None:
        return None
    return SheetRecord(
        sheet=judgement.sheet,
        standard=standard,
        outcome=judgement.outcome.value,
        items=[_item_record(item) for item in judgement.items],
        not_judged=list(judgement.not_judged),
        reasons=[
            LikelyReasonRecord(code=r.code, reason=r.reason, action=r.action, source=r.source, also=list(r.also))
            for r in judgement.reasons
        ],
    )


def _item_record(item: ItemJudgement) -> SheetItemRecord:
    key, unit, scale = ITEM_KEYS[item.item]
    low, high = (None if bound is None else _plain(scale * bound) for bound in (item.allowed.low, item.allowed.high))
    return SheetItemRecord(
        key=key,
        label=item.item.label,
        unit=unit,
        frequency_hz=_hertz(item.frequency_hz),
        nominal=_plain(scale * item.nominal),
        measured=_plain(scale * item.measured),
        u=_plain(scale * item.u),
        deviation=_plain(scale * item.deviation),
        lowest_deviation=low,
        highest_deviation=high,
        tolerance_source=item.allowed.source,
        outcome=item.outcome.value,
        sentence=item.sentence,
    )


def change_record(found: AidChange) -> MeasureChange:
    """Change of one number as a record."""
    earlier, now = measure_record(found.earlier), measure_record(found.now)
    scale = ITEM_KEYS[found.now.item][2]
    return MeasureChange(
        key=now.key,
        label=now.label,
        unit="dB" if now.unit == "dB SPL" else now.unit,
        coupler=now.conditions.coupler,
        frequency_hz=now.frequency_hz,
        earlier=earlier.value,
        now=now.value,
        change=_plain(scale * found.difference.change),
        u=_plain(scale * found.difference.u),
        is_significant=found.difference.is_significant,
        doubt=found.difference.doubt,
        sentence=found.difference.sentence,
    )
