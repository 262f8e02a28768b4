"""What a change of the output would do: predicted before anybody makes it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from umbo.core import Difference, Ear, FloatArray
from umbo.errors import InputError
from umbo.session._result import EarResult, JudgedSpeech, SessionResult
from umbo.session._suggesting import SAME_BAND, margin_of, middle_run
from umbo.verdict import Guidance, WhatIf, what_if

__all__ = ["Tried", "try_change"]

#: Beyond this a change is a slip of the pen (engineering judgement). [dB]
_MOST_CHANGE_DB = 40.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Tried:
    """What a change of one ear's output would do to speech at one level.

    Parameters
    ----------
    ear : Ear
        Side.
    guidance : Guidance
        Whose criteria.
    input_db_spl : float
        Which speech run. [dB SPL]
    deviation : Difference
        From target, as it was measured. [dB]
    predicted : WhatIf
        The same after the change.
    margin_db : array (n,)
        Room between the maximum output and its limit before the change; NaN where it is not known. [dB]
    """

    ear: Ear
    guidance: Guidance
    input_db_spl: float
    deviation: Difference
    predicted: WhatIf
    margin_db: FloatArray

    @property
    def margin_after_db(self) -> FloatArray:
        """Room after the change, if the maximum output rises with the gain. Shape (n,). [dB]"""
        return np.asarray(self.margin_db - self.predicted.change_db)


def try_change(
    result: SessionResult, ear: Ear, change_db: Mapping[float, float], *, input_db_spl: float | None = None
) -> Tried:
    """Predict what a change of the output would do, before anybody makes it.

    Parameters
    ----------
    result : SessionResult
        A verification.
    ear : Ear
        Which ear.
    change_db : mapping of float to float
        What is added at which frequencies; 0 at all others. [Hz] to [dB]
    input_db_spl : float, optional
        Which speech run; the one nearest to 65 dB when left out. [dB SPL]

    Returns
    -------
    Tried
        Deviation, rms, judgements and room below the limit, before and after.

    Raises
    ------
    InputError
        If the ear, the speech run or a frequency is not there, or a change is not finite or above 40 dB.
    """
    asked = f"try a change on the {ear} ear"
    one = _ear(result, ear, asked)
    speech = _run(one, input_db_spl, asked)
    deviation = speech.deviation
    if deviation is None:
        raise InputError(asked, "its speech was compared with no target", "choose or import a target")
    change = _on_bands(change_db, deviation.frequency_hz, asked)
    margin = margin_of(one.maximum, deviation.frequency_hz)
    name = f"{speech.run.input_db_spl:g}"
    predicted = what_if(deviation, change, name, guidance=one.guidance, margin_db=margin)
    return Tried(
        ear=ear,
        guidance=one.guidance,
        input_db_spl=speech.run.input_db_spl,
        deviation=deviation,
        predicted=predicted,
        margin_db=margin,
    )


def _ear(result: SessionResult, ear: Ear, asked: str) -> EarResult:
    if ear not in result.ears:
        raise InputError(asked, f"the case has only the {' and '.join(result.ears)} ear", "name an ear of the case")
    return result.ears[ear]


def _run(ear: EarResult, input_db_spl: float | None, asked: str) -> JudgedSpeech:
    middle = middle_run(ear.speech)
    if middle is None:
        raise InputError(
            asked, "no speech of this ear was compared with a target", "measure speech, and choose or import a target"
        )
    if input_db_spl is None:
        return middle
    compared = [s for s in ear.speech if s.deviation is not None]
    for speech in compared:
        if speech.run.input_db_spl == input_db_spl:
            return speech
    levels = ", ".join(f"{s.run.input_db_spl:g}" for s in compared)
    raise InputError(
        asked,
        f"speech at {input_db_spl:g} dB is not among those compared with a target ({levels} dB)",
        "name one of these",
    )


def _on_bands(change_db: Mapping[float, float], frequency_hz: FloatArray, asked: str) -> FloatArray:
    out = np.zeros(len(frequency_hz))
    taken: dict[int, float] = {}
    if not change_db:
        raise InputError(asked, "no change is given", "give at least one, for example 2000=+3")
    for hz, db in change_db.items():
        if not np.isfinite(db) or abs(db) > _MOST_CHANGE_DB:
            raise InputError(
                asked, f"a change of {db:+g} dB at {hz:g} Hz is none", f"give at most {_MOST_CHANGE_DB:g} dB up or down"
            )
        near = np.abs(frequency_hz / hz - 1) if np.isfinite(hz) and hz > 0 else np.full(len(frequency_hz), np.inf)
        at = int(np.argmin(near))
        if near[at] > SAME_BAND:
            known = ", ".join(f"{f:.0f}" for f in frequency_hz)
            raise InputError(asked, f"{hz:g} Hz is not among the {known} Hz of its target", "name one of these")
        if at in taken:
            raise InputError(asked, f"{taken[at]:g} Hz and {hz:g} Hz are one band", "give one change for each band")
        taken[at] = hz
        out[at] = db
    return out
