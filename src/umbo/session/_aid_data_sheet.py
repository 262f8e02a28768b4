"""The measures of a data sheet, from the readings of one aid in one coupler."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from umbo.aid import (
    DISTORTION_HZ,
    AidCurve,
    Conditions,
    DataSheet,
    Distortion,
    Feature,
    InputNoise,
    InputOutput,
    Item,
    ItemJudgement,
    Measure,
    ReferenceResponse,
    RouteCheck,
    SheetJudgement,
    StimulusKind,
    Switch,
    coil_difference,
    constant,
    distortion_from_sweep,
    distortion_from_tones,
    entered_measure,
    full_on_gain,
    gain_of,
    input_noise,
    input_output,
    judge_response,
    judge_sheet,
    omitted_distortion,
    output_90,
    reference_gain,
    reference_response,
)
from umbo.calibration import Recording
from umbo.core import Ear, Finding, Grid, Level, Plane, Severity, Transfer
from umbo.errors import InputError
from umbo.session._aid_attempts import Attempts
from umbo.session._aid_plan import AidTest, EnteredReadings
from umbo.session._aid_readings import AidReading, AidReadings, silence_level
from umbo.session._aid_result import DataSheetTests
from umbo.session._plan import Plan

__all__ = ["data_sheet_tests", "input_output_curves", "judged_sheet", "omitted_findings"]

_GAIN_TESTS = (AidTest.FULL_ON_GAIN, AidTest.REFERENCE_RESPONSE)


def data_sheet_tests(
    readings: AidReadings, plan: Plan, ear: Ear, grid: Grid, background: Recording | None, attempts: Attempts
) -> DataSheetTests:
    """Take every measure the readings allow.

    Parameters
    ----------
    readings : AidReadings
        Of one aid, coupler and run.
    plan : Plan
        What was declared.
    ear : Ear
        Side of the aid.
    grid : Grid
        Grid of swept curves.
    background : Recording or None
        Box and microphone alone.
    attempts : Attempts
        Keeps what could not be read.
    """
    found = _coil(readings, grid, _with_reference(_curves(readings, plan, grid, attempts), attempts), attempts)
    return replace(
        found,
        distortion=_distortions(readings, attempts),
        input_noise=_noise(readings, plan, grid, background, attempts),
        input_output=input_output_curves(readings, AidTest.INPUT_OUTPUT, attempts),
        steps=tuple(reading.steps for reading in readings.of(AidTest.ATTACK_RELEASE) if reading.steps is not None),
        current=_current(readings, plan, ear),
    )


def curve_of(reading: AidReading, grid: Grid, quantity: str) -> tuple[Level, Conditions]:
    """A reading as a curve with its conditions.

    Raises
    ------
    InputError
        If it is no curve.
    """
    level = reading.level(grid, quantity)
    if level is None:
        raise InputError(
            f"read '{reading.take.name}' as a curve", "nothing was swept and no tones were played", "name another take"
        )
    return level, reading.conditions_known


def _curves(readings: AidReadings, plan: Plan, grid: Grid, attempts: Attempts) -> DataSheetTests:
    """OSPL90, full-on gain, response."""
    special = plan.aid_tests.special_hz or None
    loud, soft, middle = (
        attempts.only(readings, test) for test in (AidTest.OUTPUT_90, AidTest.FULL_ON_GAIN, AidTest.REFERENCE_RESPONSE)
    )
    found = DataSheetTests()
    if loud is not None:
        ospl90 = attempts.make(AidTest.OUTPUT_90.phrase, _output_90, loud, grid, special)
        found = replace(found, output_90=ospl90)
    if soft is not None:
        gain = attempts.make(AidTest.FULL_ON_GAIN.phrase, _full_on_gain, soft, grid, special)
        found = replace(found, full_on_gain=gain)
    if middle is not None:
        response = attempts.make(AidTest.REFERENCE_RESPONSE.phrase, _response, middle, grid)
        found = replace(found, response=response)
    return found


def _output_90(reading: AidReading, grid: Grid, special_hz: tuple[float, ...] | None) -> AidCurve:
    return output_90(*curve_of(reading, grid, "OSPL90"), special_hz=special_hz)


def _full_on_gain(reading: AidReading, grid: Grid, special_hz: tuple[float, ...] | None) -> AidCurve:
    return full_on_gain(*curve_of(reading, grid, "output"), special_hz=special_hz)


def _response(reading: AidReading, grid: Grid) -> ReferenceResponse:
    return reference_response(*curve_of(reading, grid, "response"))


def _with_reference(found: DataSheetTests, attempts: Attempts) -> DataSheetTests:
    """Whether the reference test setting was found, where its three parts are there."""
    loud, soft, response = found.output_90, found.full_on_gain, found.response
    if loud is None or soft is None or response is None:
        return found
    averages = (loud.high_frequency_average, soft.high_frequency_average)
    reference = attempts.make("reference test gain", reference_gain, *averages, response.curve, response.conditions)
    return replace(found, reference=reference)


def _coil(readings: AidReadings, grid: Grid, found: DataSheetTests, attempts: Attempts) -> DataSheetTests:
    """Telecoil against the response at the same setting."""
    reading = attempts.only(readings, AidTest.TELECOIL)
    if reading is None:
        return found
    response = found.response
    if response is None:
        attempts.lacks(AidTest.TELECOIL, AidTest.REFERENCE_RESPONSE)
        return found
    both = attempts.make(AidTest.TELECOIL.phrase, _coil_against, response, reading, grid)
    return found if both is None else replace(found, telecoil=both[0], coil_item=both[1])


def _coil_against(response: ReferenceResponse, reading: AidReading, grid: Grid) -> tuple[RouteCheck, Measure]:
    return coil_difference(response.curve, response.conditions, *curve_of(reading, grid, "response by telecoil"))


def _distortions(readings: AidReadings, attempts: Attempts) -> tuple[Distortion, ...]:
    out: list[Distortion] = []
    for reading in readings.of(AidTest.DISTORTION):
        out += attempts.make(AidTest.DISTORTION.phrase, _distortion, reading) or ()
    return tuple(out)


def _distortion(reading: AidReading) -> tuple[Distortion, ...]:
    if reading.series is not None:
        return distortion_from_tones(reading.series, reading.conditions_known)
    if reading.sweep is not None:
        return distortion_from_sweep(reading.sweep, np.array(DISTORTION_HZ), reading.conditions_known)
    raise InputError(f"read the distortion in '{reading.take.name}'", "no tones and no sweep were played", "play tones")


def omitted_findings(response: ReferenceResponse | None, distortion: tuple[Distortion, ...]) -> list[Finding]:
    """Say where the response rises so much that a distortion test may be left out."""
    if response is None:
        return []
    low, high = response.gain.frequency_hz[[0, -1]]
    tested = [one.total.frequency_hz for one in distortion if one.total.frequency_hz is not None]
    inside = [hz for hz in dict.fromkeys(tested) if low <= hz and 2 * hz <= high]
    return [f for f in (omitted_distortion(response.gain, hz) for hz in inside) if f is not None]


def input_output_curves(readings: AidReadings, test: AidTest, attempts: Attempts) -> tuple[InputOutput, ...]:
    """Input-output curves of every take of a test."""
    out = []
    for reading in readings.of(test):
        series = reading.series
        if series is not None:
            out.append(attempts.make(test.phrase, input_output, series, reading.conditions_known))
    return tuple(curve for curve in out if curve is not None)


def _noise(
    readings: AidReadings, plan: Plan, grid: Grid, background: Recording | None, attempts: Attempts
) -> InputNoise | None:
    reading = attempts.only(readings, AidTest.INPUT_NOISE)
    if reading is None:
        return None
    how = reading.conditions_known
    found = _gain_for_noise(readings, how, grid)
    if found is None:
        attempts.say(
            AidTest.INPUT_NOISE.phrase,
            f"There is no gain at the settings '{how.settings.name}' in the same coupler to refer the noise by.",
        )
        return None
    gain, at_60, substitute = found
    level = attempts.make(AidTest.INPUT_NOISE.phrase, silence_level, reading, plan, background)
    if level is None:
        return None
    noise = attempts.make(AidTest.INPUT_NOISE.phrase, input_noise, level.level, gain, how, gain_at_60=at_60)
    if noise is None or substitute is None:
        return noise
    return replace(noise, findings=(*noise.findings, substitute))


def _gain_for_noise(
    readings: AidReadings, how: Conditions, grid: Grid
) -> tuple[Transfer, Transfer | None, Finding | None] | None:
    """Gain at the settings of the noise: at 50 dB SPL, else at the level that was played, which a finding names."""
    wanted = constant("ein_input")
    gains: dict[float, Transfer] = {}
    for reading in readings.of(*_GAIN_TESTS):
        other = reading.conditions_known
        if other.input_db_spl is not None and other.settings.same_features(how.settings):
            gains.setdefault(other.input_db_spl, gain_of(*curve_of(reading, grid, "output")))
    if not gains:
        return None
    if wanted in gains:
        return gains[wanted], gains.get(constant("reference_test_gain_input")), None
    level = min(gains, key=lambda one: abs(one - wanted))
    is_linear = how.settings.state(Feature.COMPRESSION) is Switch.OFF
    text = f"The input noise is referred by the gain at {level:g} dB SPL, and the definition asks for {wanted:g} dB SPL"
    text += "; with compression off the two agree." if is_linear else "."
    action = "Nothing to do." if is_linear else f"Sweep at {wanted:g} dB SPL with the settings of the noise too."
    severity = Severity.INFO if is_linear else Severity.WARN
    return gains[level], None, Finding("noise_by_other_gain", severity, text, action, "ANSI S3.22 (from memory)")


def _current(readings: AidReadings, plan: Plan, ear: Ear) -> Measure | None:
    """The battery current that was typed in; it belongs to no coupler, and stands with the sheet's."""
    entered: EnteredReadings | None = plan.aid_tests.entered.get(ear)
    sheet = plan.aid_tests.data_sheet
    here = Plane.coupler(readings.kind)
    if entered is None or readings.run != "now" or (sheet is not None and sheet.plane != here):
        return None
    conditions = Conditions(
        plane=here,
        ear=ear,
        stimulus=StimulusKind.SILENCE,
        input_db_spl=None,
        settings=entered.settings,
        route=readings.every[0].run.route,
        box=plan.aid_tests.box,
        input_u_db=0.0,
        run=readings.run,
    )
    return entered_measure(
        Item.BATTERY_CURRENT,
        entered.battery_current_ma,
        entered.battery_current_u_ma or 0.0,
        conditions,
        source=f"case, {ear} aid",
    )


def judged_sheet(
    tests: DataSheetTests, sheet: DataSheet | None, readings: AidReadings, attempts: Attempts
) -> SheetJudgement | None:
    """Judge the measures by the data sheet, where it holds for this coupler and the run is the present one.

    Parameters
    ----------
    tests : DataSheetTests
        The measures.
    sheet : DataSheet or None
        Nominal values.
    readings : AidReadings
        Name coupler and run.
    attempts : Attempts
        Keeps what could not be judged.
    """
    if sheet is None or readings.run != "now" or sheet.plane != Plane.coupler(readings.kind):
        return None
    at_hz = constant("attack_release_frequency")
    measures = [
        measure
        for measure in tests.measures
        if measure.item not in (Item.ATTACK, Item.RELEASE) or measure.frequency_hz == at_hz
    ]

    return attempts.make("data sheet", _judged, measures, tests.response, sheet)


def _judged(measures: list[Measure], response: ReferenceResponse | None, sheet: DataSheet) -> SheetJudgement:
    points: tuple[ItemJudgement, ...] = ()
    if response is not None and sheet.response is not None:
        points = judge_response(response.gain, sheet, _ends(response, sheet))
    return judge_sheet(measures, sheet, response=points)


def _ends(response: ReferenceResponse, sheet: DataSheet) -> tuple[float, float]:
    """Frequency range of the response: nominal where the sheet states it, else measured. [Hz]"""
    low = sheet.nominal.get(Item.RESPONSE_LOW, response.low.value)
    return low, sheet.nominal.get(Item.RESPONSE_HIGH, response.high.value)
