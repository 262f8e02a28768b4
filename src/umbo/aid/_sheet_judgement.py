"""Measured values against a data sheet, item by item."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from umbo.aid._constants import constant, constant_source
from umbo.aid._data_sheet import DataSheet, NominalCurve, Tolerance, tolerance
from umbo.aid._fault_patterns import LikelyReason, likely_reasons
from umbo.aid._input_output import InputOutput
from umbo.aid._measure import Item, Measure
from umbo.aid._outcome import judge_between
from umbo.core import Grid, Outcome, Transfer, worst
from umbo.errors import InputError, PlaneMismatchError

__all__ = ["ItemJudgement", "SheetJudgement", "judge_input_output", "judge_measure", "judge_response", "judge_sheet"]


@dataclass(frozen=True, slots=True)
class ItemJudgement:
    """One item against its nominal value.

    Parameters
    ----------
    item : Item
        What was judged.
    frequency_hz : float or None
        Where, if the item belongs to a frequency. [Hz]
    nominal, measured, u : float
        Nominal and measured value, and the standard uncertainty of the latter. [the item's unit]
    allowed : Tolerance
        Deviations that are allowed.
    outcome : Outcome
        What can be said.
    sentence : str
        Why, in one sentence.
    """

    item: Item
    frequency_hz: float | None
    nominal: float
    measured: float
    u: float
    allowed: Tolerance
    outcome: Outcome
    sentence: str

    @property
    def deviation(self) -> float:
        """Measured minus nominal. [the item's unit]"""
        return self.measured - self.nominal


@dataclass(frozen=True, slots=True)
class SheetJudgement:
    """An aid against its data sheet.

    Parameters
    ----------
    sheet : str
        Name of the sheet.
    items : tuple of ItemJudgement
        Every item that both sides state and that has a tolerance.
    not_judged : tuple of str
        What the sheet states and was not judged, and why.
    reasons : tuple of LikelyReason
        What several failures together point to, the most specific first.
    outcome : Outcome
        Fail if an item fails, else cannot tell if one cannot be told.
    """

    sheet: str
    items: tuple[ItemJudgement, ...]
    not_judged: tuple[str, ...]
    reasons: tuple[LikelyReason, ...]
    outcome: Outcome


def judge_measure(measure: Measure, sheet: DataSheet) -> ItemJudgement | None:
    """Judge one number against a data sheet.

    Inside the tolerance is a pass; outside by at most two standard uncertainties of the measurement, or where the
    measurement is in doubt, it cannot be told; outside by more is a fail.

    Parameters
    ----------
    measure : Measure
        The number.
    sheet : DataSheet
        Nominal values.

    Returns
    -------
    ItemJudgement or None
        None where the sheet does not state the item, or no tolerance is known.

    Raises
    ------
    PlaneMismatchError
        If the number was taken in another coupler than the sheet holds for.
    """
    nominal = sheet.value(measure.item, measure.frequency_hz)
    allowed = None if nominal is None else tolerance(measure.item, nominal)
    if nominal is None or allowed is None:
        return None
    if measure.item is not Item.BATTERY_CURRENT and measure.conditions.plane != sheet.plane:
        raise PlaneMismatchError(
            f"judge the {measure.item.label} by the data sheet '{sheet.name}'",
            f"it was measured {measure.conditions.plane.phrase} and the sheet holds for levels {sheet.plane.phrase}",
            "measure in the coupler of the sheet, or use the sheet of this coupler",
        )
    plain = judge_between(measure.value - nominal, measure.u, allowed.low, allowed.high)
    outcome = Outcome.CANNOT_TELL if measure.doubt else plain
    return ItemJudgement(
        item=measure.item,
        frequency_hz=measure.frequency_hz if measure.item is Item.DISTORTION else None,
        nominal=nominal,
        measured=measure.value,
        u=measure.u,
        allowed=allowed,
        outcome=outcome,
        sentence=_sentence(measure, nominal, allowed, plain),
    )


def _sentence(measure: Measure, nominal: float, allowed: Tolerance, plain: Outcome) -> str:
    item = measure.item
    at = f" at {measure.frequency_hz:g} Hz" if item is Item.DISTORTION and measure.frequency_hz is not None else ""
    unit = "" if item.unit == "1" else f" {item.unit}"
    head = f"{item.label[0].upper()}{item.label[1:]}{at}: {measure.value:.4g}{unit}"
    head += f" (nominal {nominal:.4g}, {allowed.phrase(nominal, item.unit)} allowed)"
    if measure.doubt:
        return f"{head}; cannot be judged: {measure.doubt}."
    if plain is Outcome.CANNOT_TELL:
        return f"{head}; outside by less than twice its uncertainty of {measure.u:.2g}{unit}."
    return f"{head}."


def judge_response(gain: Transfer, sheet: DataSheet, ends_hz: tuple[float, float]) -> tuple[ItemJudgement, ...]:
    """Judge the response at the reference test setting point by point.

    Parameters
    ----------
    gain : Transfer
        Gain at the reference test setting, 60 dB SPL input. [dB]
    sheet : DataSheet
        Sheet with a response.
    ends_hz : tuple of float
        Lower and upper end f1, f2 of the nominal frequency range. [Hz]

    Returns
    -------
    tuple of ItemJudgement
        One for each point of the sheet from 1.25 f1 to 2 kHz (low band), and from there to the lower of 4 kHz and
        0.8 f2 (high band); empty where the sheet has no response.

    Raises
    ------
    PlaneMismatchError
        If the gain ends in another coupler.

    Notes
    -----
    The curves are compared as they stand, not shifted onto each other (how the standards do it: not known from memory).
    """
    if sheet.response is None:
        return ()
    if gain.end != sheet.plane:
        raise PlaneMismatchError(
            f"judge a response by the data sheet '{sheet.name}'",
            f"it ends {gain.end.phrase} and the sheet holds for levels {sheet.plane.phrase}",
            "measure in the coupler of the sheet",
        )
    split = constant("response_split")
    low = constant("response_low_factor") * ends_hz[0]
    high = min(constant("response_high_end"), constant("response_high_factor") * ends_hz[1])
    inside = (sheet.response.frequency_hz >= low) & (sheet.response.frequency_hz <= high)
    if not inside.any():
        return ()
    grid = Grid.tones(sheet.response.frequency_hz[inside])
    measured = gain.on(grid, method="log_frequency", outside="hold")
    out = []
    for i, (hz, nominal) in enumerate(zip(grid.frequency_hz, sheet.response.value_db[inside], strict=True)):
        name = "tolerance_response_low_band" if hz <= split else "tolerance_response_high_band"
        size = constant(name)
        deviation, u = float(measured.level_db[i] - nominal), float(measured.u_db[i])
        usable = measured.states.at(i).is_usable
        outcome = judge_between(deviation, u, -size, size) if usable else Outcome.CANNOT_TELL
        why = "" if usable else f"; cannot be judged: {measured.states.reasons(i)[0]}"
        out.append(
            ItemJudgement(
                item=Item.RESPONSE, frequency_hz=float(hz), nominal=float(nominal),
                measured=float(measured.level_db[i]), u=u, allowed=Tolerance(-size, size, constant_source(name)),
                outcome=outcome, sentence=f"Response at {hz:g} Hz: {deviation:+.1f} dB (±{size:g} dB allowed){why}.",
            )
        )  # fmt: skip
    return tuple(out)


def judge_input_output(measured: InputOutput, nominal: NominalCurve) -> tuple[tuple[float, float, Outcome], ...]:
    """Judge an input-output curve, matched to the nominal one at 70 dB SPL input.

    Parameters
    ----------
    measured : InputOutput
        Measured curve.
    nominal : NominalCurve
        Nominal output [dB SPL] over input; its "frequencies" are input levels. [dB SPL]

    Returns
    -------
    tuple of (float, float, Outcome)
        Input level [dB SPL], deviation after matching [dB], outcome, at each input both have.

    Raises
    ------
    InputError
        If one of the two has no point at 70 dB SPL.
    """
    match = constant("input_output_match")
    x = measured.input_db_spl
    shared, mine, theirs = np.intersect1d(x, nominal.frequency_hz, return_indices=True)
    if match not in shared:
        raise InputError(
            "judge an input-output curve",
            f"both have to have a point at {match:g} dB SPL, and they share {', '.join(f'{v:g}' for v in shared)} dB",
            "measure at the input levels of the data sheet",
        )
    size = constant("tolerance_input_output")
    off = measured.output_db_spl[mine] - nominal.value_db[theirs]
    off = off - off[int(np.flatnonzero(shared == match)[0])]
    u = measured.uncertainty.u_db[mine]
    usable = measured.states.is_usable[mine]
    return tuple(
        (float(level), float(d), judge_between(float(d), float(e), -size, size) if ok else Outcome.CANNOT_TELL)
        for level, d, e, ok in zip(shared, off, u, usable, strict=True)
    )


def judge_sheet(
    measures: Iterable[Measure], sheet: DataSheet, *, response: Iterable[ItemJudgement] = ()
) -> SheetJudgement:
    """Judge an aid against its data sheet and say what its failures have in common.

    Parameters
    ----------
    measures : iterable of Measure
        What was measured.
    sheet : DataSheet
        Nominal values.
    response : iterable of ItemJudgement
        From :func:`judge_response`.

    Raises
    ------
    PlaneMismatchError
        If a number was taken in another coupler than the sheet holds for.
    """
    given = list(measures)
    items = [judged for judged in (judge_measure(measure, sheet) for measure in given) if judged is not None]
    items += response
    done = {(judged.item, judged.frequency_hz) for judged in items}
    missing = []
    for item, value in sheet.nominal.items():
        if any(found is item for found, _ in done):
            continue
        why = "it was not measured" if tolerance(item, value) is not None else "no tolerance is known for it"
        missing.append(f"{item.label}: {why}")
    missing += [
        f"{Item.DISTORTION.label} at {hz:g} Hz: it was not measured"
        for hz in sheet.distortion_percent
        if (Item.DISTORTION, hz) not in done
    ]
    signs = [(judged.item, judged.deviation, judged.outcome) for judged in items]
    return SheetJudgement(
        sheet=sheet.name,
        items=tuple(items),
        not_judged=tuple(missing),
        reasons=likely_reasons(signs),
        outcome=worst(judged.outcome for judged in items),
    )
