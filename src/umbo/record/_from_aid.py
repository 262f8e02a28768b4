"""From what the tests of an aid found to plain records: numbers, judgements, checks."""

from __future__ import annotations

from typing import Any, cast

import numpy as np

from umbo.aid import (
    AttackRelease,
    BandRatio,
    Conditions,
    Distortion,
    Feature,
    FeatureCheck,
    InputNoise,
    InputOutput,
    InputRoute,
    Item,
    ItemJudgement,
    Lowering,
    Measure,
    NoiseReduction,
    ReferenceGain,
    RouteCheck,
    RunDifference,
    SheetJudgement,
    SpeechTest,
)
from umbo.core import CouplerKind, FloatArray
from umbo.record._aid_parts import (
    AidCheckRecord,
    AidConditions,
    AidMeasure,
    AttackReleaseRecord,
    DistortionRecord,
    InputNoiseRecord,
    InputOutputRecord,
    LikelyReasonRecord,
    LoweringRecord,
    MeasureChange,
    NoiseReductionRecord,
    RatioRecord,
    ReferenceGainRecord,
    RouteCheckRecord,
    SheetItemRecord,
    SheetRecord,
    SpeechTestRecord,
)
from umbo.record._curves import StateWord
from umbo.record._from_curve import curve_record
from umbo.record._plain import HZ_DECIMALS, rounded

__all__ = [
    "ITEM_KEYS",
    "change_record",
    "check_record",
    "distortion_record",
    "input_output_record",
    "lowering_record",
    "measure_record",
    "noise_record",
    "ratio_record",
    "reduction_record",
    "reference_record",
    "route_record",
    "sheet_record",
    "speech_record",
    "steps_record",
]

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

_DECIMALS = 4


def _plain(value: float, decimals: int = _DECIMALS) -> float:
    return round(float(value), decimals) + 0.0


def _hertz(value: float | None) -> float | None:
    return None if value is None else _plain(value, HZ_DECIMALS)


def _words(words: object) -> list[StateWord]:
    return [cast("StateWord", word) for word in cast("list[str]", words)]


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


def check_record(check: FeatureCheck) -> AidCheckRecord:
    """A feature check as a record."""
    return AidCheckRecord(
        check=check.check,
        feature=check.feature.value,
        value=None if check.value is None else _plain(check.value),
        u=None if check.u is None else _plain(check.u),
        unit=check.unit,
        outcome=check.outcome.value,
        sentence=check.sentence,
        action=check.action,
        source=check.source,
        settings=_settings(check.conditions),
        bands=None if check.bands is None else curve_record(check.bands),
    )


def _settings(conditions: tuple[Conditions, ...]) -> list[str]:
    return list(dict.fromkeys(one.settings.name for one in conditions))


def route_record(check: RouteCheck) -> RouteCheckRecord:
    """Telecoil or remote microphone as a record."""
    return RouteCheckRecord(
        route="telecoil" if check.other.route is InputRoute.TELECOIL else "remote_microphone",
        offset_db=_plain(check.offset_db),
        offset_u_db=_plain(check.offset_u_db),
        frequency_hz=list(check.frequency_hz),
        tolerance_db=check.tolerance_db,
        outcome=check.outcome.value,
        sentence=check.sentence,
        action=check.action,
        source=check.source,
        settings=_settings((check.acoustic, check.other)),
    )


def ratio_record(found: BandRatio | None) -> RatioRecord | None:
    """A ratio by band as a record."""
    if found is None:
        return None
    return RatioRecord(
        frequency_hz=rounded(found.grid.frequency_hz, HZ_DECIMALS),
        ratio=rounded(found.ratio),
        u=rounded(found.ratio_u),
        state=_words(found.states.words),
    )


def speech_record(test: SpeechTest) -> SpeechTestRecord:
    """Speech at one level as a record."""
    compression = ratio_record(test.compression)
    return SpeechTestRecord.model_validate(
        {
            "level_db_spl": test.level_db_spl,
            "settings": test.conditions.settings.name,
            "output": curve_record(test.output),
            "gain": curve_record(test.gain),
            "percentile_gain": {str(p): curve_record(gain) for p, gain in test.percentile_gain.items()},
            "input_range": curve_record(test.input_range),
            "output_range": curve_record(test.output_range),
            "compression": compression,
        }
    )


def distortion_record(found: Distortion) -> DistortionRecord:
    """Harmonics at one frequency as a record."""
    total = found.total
    return DistortionRecord(
        frequency_hz=total.frequency_hz or 0.0,
        input_db_spl=total.conditions.input_db_spl,
        total_percent=_plain(total.value),
        harmonic_percent={str(order): _plain(value) for order, value in found.harmonic_percent.items()},
        harmonic_u_percent={str(order): _plain(value) for order, value in found.harmonic_u_percent.items()},
    )


def noise_record(found: InputNoise | None) -> InputNoiseRecord | None:
    """Noise of the aid as a record."""
    if found is None:
        return None
    return InputNoiseRecord(
        band_hz=list(found.band_hz), output_db_spl=_plain(found.output_db_spl), bands=curve_record(found.bands)
    )


def input_output_record(found: InputOutput) -> InputOutputRecord:
    """An input-output curve as a record."""
    limited = found.limited_from_db_spl
    return InputOutputRecord(
        frequency_hz=found.frequency_hz,
        settings=found.conditions.settings.name,
        input_db_spl=rounded(found.input_db_spl),
        output_db_spl=rounded(found.output_db_spl),
        u_db=rounded(found.uncertainty.u_db),
        state=_words(found.states.words),
        knee_db_spl=rounded(found.fit.knee_db),
        knee_u_db=rounded(found.fit.knee_u_db),
        slope=rounded(found.fit.slope),
        slope_u=rounded(found.fit.slope_u),
        limited_from_db_spl=None if limited is None else _plain(limited),
    )


def steps_record(found: AttackRelease) -> AttackReleaseRecord:
    """Attack and release as a record."""
    attack, release = found.attack, found.release
    return AttackReleaseRecord(
        frequency_hz=attack.frequency_hz or 0.0,
        attack_ms=_plain(1e3 * attack.value),
        attack_u_ms=_plain(1e3 * attack.u),
        release_ms=_plain(1e3 * release.value),
        release_u_ms=_plain(1e3 * release.u),
        steady_low_db_spl=_plain(found.steady_low_db_spl),
        steady_high_db_spl=_plain(found.steady_high_db_spl),
        overshoot_db=_plain(found.overshoot_db),
        delay_ms=_plain(1e3 * found.delay_s),
    )


def reduction_record(found: NoiseReduction) -> NoiseReductionRecord:
    """Depth and time course of noise reduction as a record."""
    course = found.course
    counted = found.depth.states.is_usable & (found.depth.frequency_hz >= 200) & (found.depth.frequency_hz <= 6500)
    mean: FloatArray = course.reduction_db[counted].mean(axis=0) if counted.any() else np.zeros(course.time_s.size)
    seconds = np.arange(1.0, course.time_s[-1] + 1e-9)
    return NoiseReductionRecord(
        depth=curve_record(found.depth),
        time_63_s=[
            _plain(time) if known else None for time, known in zip(course.time_63_s, course.time_known, strict=True)
        ],
        mean_time_s=rounded(seconds),
        mean_reduction_db=rounded(
            np.array([mean[(course.time_s > s - 1) & (course.time_s <= s)].mean() for s in seconds])
        ),
    )


def lowering_record(found: Lowering) -> LoweringRecord:
    """A fricative without and with lowering as a record."""
    before, after = found.before, found.after
    return LoweringRecord(
        band_hz=[list(band) for band in before.band_hz],
        before_db_spl=[None if level is None else _plain(level) for level in before.level_db_spl],
        after_db_spl=[None if level is None else _plain(level) for level in after.level_db_spl],
        edge_before_hz=_plain(before.edge_hz, 1),
        edge_after_hz=_plain(after.edge_hz, 1),
    )


def change_record(found: RunDifference) -> MeasureChange:
    """Change of one number as a record."""
    key, unit, scale = ITEM_KEYS[found.item]
    values: dict[str, Any] = {"change": _plain(scale * found.change), "u": _plain(scale * found.u)}
    return MeasureChange(
        key=key,
        label=found.item.label,
        unit="dB" if unit == "dB SPL" else unit,
        is_significant=found.is_significant,
        doubt=found.doubt,
        sentence=found.sentence,
        **values,
    )
