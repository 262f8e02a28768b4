"""Speech through an aid: gain by percentile, dynamic range before and after, effective compression."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from umbo.aid._conditions import Conditions
from umbo.core import Difference, FloatArray, Grid, Level, Origin, PointState, States, Transfer
from umbo.curves import SpeechInput, SpeechReading
from umbo.errors import InputError

__all__ = ["BandRatio", "SpeechTest", "level_compression", "speech_test"]

#: Percentiles that span the dynamic range of speech (IEC 60118-15, from memory). [%]
_LOW, _HIGH = 30, 99

#: A dynamic range below this holds no ratio (engineering judgement). [dB]
_LEAST_RANGE_DB = 3.0


@dataclass(frozen=True, slots=True, eq=False)
class BandRatio:
    """A ratio by band.

    Parameters
    ----------
    grid : Grid
        Bands.
    ratio, ratio_u : array (n,)
        Values and standard uncertainties. [1]
    states : States
        Whether each may be believed.
    """

    grid: Grid
    ratio: FloatArray
    ratio_u: FloatArray
    states: States


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SpeechTest:
    """Speech at one level through the aid, in third-octave bands.

    Parameters
    ----------
    level_db_spl : float
        Overall level of the speech. [dB SPL]
    output : Level
        Long-term output in the coupler. [dB SPL]
    gain : Transfer
        Long-term gain. [dB]
    percentile_gain : mapping of int to Transfer
        Output percentile minus input percentile, at 30, 65 and 99 %. [dB]
    input_range, output_range : Difference
        99 % minus 30 % level before and after the aid. [dB]
    compression : BandRatio
        Input range over output range: 1 where the aid leaves the dynamics alone.
    conditions : Conditions
        What it holds for.
    """

    level_db_spl: float
    output: Level
    gain: Transfer
    percentile_gain: Mapping[int, Transfer]
    input_range: Difference
    output_range: Difference
    compression: BandRatio
    conditions: Conditions


def speech_test(reading: SpeechReading, heard: SpeechInput, conditions: Conditions) -> SpeechTest:
    r"""Compare speech in the coupler with speech at the aid's microphone.

    .. math:: G_p = L_{p,\mathrm{out}} - L_{p,\mathrm{in}}, \qquad
       C = \frac{L_{99,\mathrm{in}} - L_{30,\mathrm{in}}}{L_{99,\mathrm{out}} - L_{30,\mathrm{out}}} \qquad (1)

    with the levels :math:`L_p` not exceeded in p % of frames of 125 ms overlapping by half (IEC 60118-15, from memory).

    Parameters
    ----------
    reading : SpeechReading
        Recording in the coupler, at least two repeats.
    heard : SpeechInput
        The stimulus at the level it was played.
    conditions : Conditions
        How it was taken; the input level must be stated.

    Raises
    ------
    InputError
        If the input level is not stated, or the reading has no percentiles.
    CombinationError
        If reading and input do not belong together.
    """
    if conditions.input_db_spl is None or not {_LOW, _HIGH} <= set(reading.percentiles):
        raise InputError(
            f"take the gain of speech in '{reading.name}'",
            f"its level is {conditions.input_db_spl} and it has the percentiles {sorted(reading.percentiles)}",
            "state the level, and use a recording rather than an exported curve",
        )
    level = conditions.input_db_spl
    gains = {
        p: (out - heard.percentiles[p]).named(f"gain of the {p} % level at {level:g} dB")
        for p, out in reading.percentiles.items()
    }
    before = _range(heard.percentiles, "dynamic range of the input")
    after = _range(reading.percentiles, "dynamic range of the output")
    return SpeechTest(
        level_db_spl=level,
        output=reading.level,
        gain=(reading.level - heard.level).named(f"gain of speech at {level:g} dB"),
        percentile_gain=gains,
        input_range=before,
        output_range=after,
        compression=_ratio(before, after),
        conditions=conditions,
    )


def _range(percentiles: Mapping[int, Level], quantity: str) -> Difference:
    return percentiles[_HIGH].above(percentiles[_LOW], quantity=quantity)


def _ratio(before: Difference, after: Difference) -> BandRatio:
    """Equation 1, second part; u(C)/C joins the relative uncertainties of both ranges (JCGM 100 clause 5.1.6)."""
    fine = np.minimum(before.level_db, after.level_db) >= _LEAST_RANGE_DB
    low = np.maximum(after.level_db, _LEAST_RANGE_DB)
    ratio = np.where(fine, before.level_db / low, 1.0)
    u = ratio * np.hypot(before.u_db / np.maximum(before.level_db, _LEAST_RANGE_DB), after.u_db / low)
    states = before.states.joined(after.states)
    states = states.marked(
        PointState.WITHDRAWN, ~fine, f"a dynamic range of less than {_LEAST_RANGE_DB:g} dB holds no ratio"
    )
    return BandRatio(before.grid, ratio, u, states)


def level_compression(tests: Sequence[SpeechTest]) -> BandRatio:
    r"""Effective compression from the softest to the loudest of several speech levels.

    .. math:: C = \frac{L_\mathrm{in,loud} - L_\mathrm{in,soft}}{L_\mathrm{out,loud} - L_\mathrm{out,soft}} \qquad (1)

    Parameters
    ----------
    tests : sequence of SpeechTest
        The same speech at two or more levels, for example 55, 65, 75 and 80 dB SPL, settings unchanged.

    Returns
    -------
    BandRatio
        By band; the level of the box and the calibration cancel.

    Raises
    ------
    InputError
        If there are fewer than two levels, or coupler or settings differ.
    CombinationError
        If the outputs are not comparable.
    """
    ordered = sorted(tests, key=lambda test: test.level_db_spl)
    if len(ordered) < 2 or ordered[0].level_db_spl == ordered[-1].level_db_spl:
        raise InputError(
            "take the compression between speech levels",
            f"there are {len(ordered)} tests, at {', '.join(f'{t.level_db_spl:g}' for t in ordered)} dB",
            "measure speech at two levels or more",
        )
    soft, loud = ordered[0], ordered[-1]
    at_one_level = replace(loud.conditions, input_db_spl=soft.conditions.input_db_spl)
    off = soft.conditions.differences(at_one_level)
    if off:
        raise InputError("take the compression between speech levels", off[0], "measure all levels with one setting")
    rise = loud.output.above(soft.output, quantity="rise of the output")
    step = loud.level_db_spl - soft.level_db_spl
    fine = rise.level_db >= _LEAST_RANGE_DB / 3
    slope = np.where(fine, rise.level_db, step) / step
    ratio = 1 / slope  # Eq. (1)
    u = rise.u_db / step / slope**2
    states = rise.states.marked(PointState.WITHDRAWN, ~fine, "the output does not rise: it is limited")
    return BandRatio(rise.grid, ratio, u, states)


def gain_change(gain: Transfer, reference: Transfer, *, quantity: str) -> Difference:
    """By how much one gain lies above another between the same two places.

    Parameters
    ----------
    gain, reference : Transfer
        Gains.
    quantity : str
        What the difference is called.
    """
    chained = gain - reference
    parts = ((1, gain.origin), (-1, reference.origin))
    return Difference(
        grid=gain.grid,
        level_db=chained.level_db,
        tags=replace(chained.tags, quantity=quantity),
        states=chained.states,
        uncertainty=chained.uncertainty,
        origin=Origin(quantity, "difference", "dB", gain.frequency_hz, chained.level_db, parts),
        plane=gain.end,
    )
