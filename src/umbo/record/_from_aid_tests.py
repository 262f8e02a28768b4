"""From what the tests of an aid found to plain records: checks, speech, curves over input and time."""

from __future__ import annotations

from typing import cast

import numpy as np

from umbo.aid import (
    AttackRelease,
    BandRatio,
    Conditions,
    Distortion,
    FeatureCheck,
    InputNoise,
    InputOutput,
    InputRoute,
    Lowering,
    NoiseReduction,
    RouteCheck,
    SpeechTest,
)
from umbo.record._aid_parts import (
    AidCheckRecord,
    AttackReleaseRecord,
    DistortionRecord,
    InputNoiseRecord,
    InputOutputRecord,
    LoweringRecord,
    NoiseReductionRecord,
    RatioRecord,
    RouteCheckRecord,
    SpeechTestRecord,
)
from umbo.record._curves import StateWord
from umbo.record._from_curve import curve_record
from umbo.record._plain import DB_DECIMALS, HZ_DECIMALS, rounded

__all__ = [
    "check_record",
    "distortion_record",
    "input_output_record",
    "lowering_record",
    "noise_record",
    "ratio_record",
    "reduction_record",
    "route_record",
    "speech_record",
    "steps_record",
]


def _plain(value: float, decimals: int = DB_DECIMALS) -> float:
    return round(float(value), decimals) + 0.0


def _words(words: object) -> list[StateWord]:
    return [cast("StateWord", word) for word in cast("list[str]", words)]


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
    mean = found.mean_course_db
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
