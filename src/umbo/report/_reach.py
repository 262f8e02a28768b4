"""Which speech is loud enough to be heard, in three ranges of pitch, taken from the record point by point."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from umbo.audibility import ORDINARY_DB_SPL, SOFT_DB_SPL
from umbo.record import USABLE_STATES, CurveRecord, EarVerification, SpeechRun

__all__ = ["PITCHES", "Bar", "Pitch", "Reach", "loudness_word", "pitches_of"]

#: A range of pitch is shown by one third-octave band: about the middle of vowels, of most speech, of "s" and "f"
#: (common practice, no source). [Hz]
PITCHES = (("low", 500.0), ("middle", 1600.0), ("high", 4000.0))

Reach = Literal["heard", "partly", "not_heard", "unknown"]

_SAME_BAND = 1.06


@dataclass(frozen=True, slots=True)
class Bar:
    """Speech of one input level in one range of pitch.

    Attributes
    ----------
    input_db_spl : float
        Level of the speech outside the ear. [dB SPL]
    low_db, high_db : float
        30th and 99th percentile at the eardrum; the level itself where there are none. [dB SPL]
    reach : str
        Whether it is heard.
    """

    input_db_spl: float
    low_db: float
    high_db: float
    reach: Reach


@dataclass(frozen=True, slots=True)
class Pitch:
    """One range of pitch of one ear.

    Attributes
    ----------
    name : str
        "low", "middle" or "high".
    floor_db, ceiling_db, loudest_db : float or None
        Softest sound heard, discomfort level, loudest sound of the aid, at the eardrum. [dB SPL]
    bars : tuple of Bar
        Softest first.
    """

    name: str
    floor_db: float | None
    ceiling_db: float | None
    loudest_db: float | None
    bars: tuple[Bar, ...]


def pitches_of(ear: EarVerification) -> tuple[Pitch, ...]:
    """Read the three ranges of pitch of an ear.

    Parameters
    ----------
    ear : EarVerification
        The record.
    """
    runs = sorted(ear.speech, key=lambda run: run.input_db_spl)
    return tuple(_pitch(name, hz, ear, runs) for name, hz in PITCHES)


def loudness_word(input_db_spl: float) -> str:
    """Call speech soft, everyday or loud by its level. [dB SPL]"""
    if input_db_spl <= SOFT_DB_SPL:
        return "soft"
    return "loud" if input_db_spl > ORDINARY_DB_SPL else "everyday"


def _pitch(name: str, hz: float, ear: EarVerification, runs: list[SpeechRun]) -> Pitch:
    floors = [floor for run in runs if (floor := _floor(run, hz)) is not None]
    bars = [bar for run in runs if (bar := _bar(run, hz)) is not None]
    maximum = ear.maximum_output
    limit = None if maximum is None else maximum.limit
    return Pitch(
        name,
        floors[0] if floors else None,
        None if limit is None else _usable(limit, hz),
        None if maximum is None else _usable(maximum.at_eardrum, hz),
        tuple(bars),
    )


def _bar(run: SpeechRun, hz: float) -> Bar | None:
    level = _level(run.at_eardrum, hz)
    if level is None:
        return None
    low, high = (_edge(run, share, hz, level) for share in ("30", "99"))
    return Bar(run.input_db_spl, low, high, _reach(run, hz, high))


def _edge(run: SpeechRun, share: str, hz: float, otherwise_db: float) -> float:
    curve = run.percentiles.get(share)
    found = None if curve is None else _level(curve, hz)
    return otherwise_db if found is None else found


def _reach(run: SpeechRun, hz: float, high_db: float) -> Reach:
    sensation = None if run.sensation_level is None else _usable(run.sensation_level, hz)
    floor = _floor(run, hz)
    if sensation is None or floor is None:
        return "unknown"
    if sensation > 0.0:
        return "heard"
    return "partly" if high_db > floor else "not_heard"


def _floor(run: SpeechRun, hz: float) -> float | None:
    """Threshold in this band: the level of the speech less its sensation level."""
    level = _level(run.at_eardrum, hz)
    sensation = None if run.sensation_level is None else _level(run.sensation_level, hz)
    return None if level is None or sensation is None else level - sensation


def _level(curve: CurveRecord, hz: float) -> float | None:
    row = _row(curve, hz)
    return None if row is None else curve.level_db[row]


def _usable(curve: CurveRecord, hz: float) -> float | None:
    row = _row(curve, hz)
    return curve.level_db[row] if row is not None and curve.state[row] in USABLE_STATES else None


def _row(curve: CurveRecord, hz: float) -> int | None:
    """Row of a band, if the curve has it."""
    near = [i for i, f in enumerate(curve.frequency_hz) if 1.0 / _SAME_BAND < f / hz < _SAME_BAND]
    return min(near, key=lambda i: abs(curve.frequency_hz[i] - hz), default=None)
