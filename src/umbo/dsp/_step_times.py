"""Attack and release times from the envelope of a tone whose level jumps up and down."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from umbo.dsp._arrays import running_mean
from umbo.errors import RecordingError

if TYPE_CHECKING:
    from umbo.dsp._arrays import FloatArray

__all__ = ["StepResponse", "step_response"]

#: The steady level of a section is read in this last part of it (engineering judgement). [1]
_STEADY_PART = 0.2
#: The crossing is a line's through this part of the time around it, found in so many rounds
#: (engineering judgement). [1]
_AROUND, _ROUNDS = 0.12, 3
#: Accuracy of a steady level against which a course is timed (own simulation of jumps through compressors). [dB]
_LEVEL_U_DB = 0.15
#: Noise that crosses the tolerance by itself once in a section is averaged out: so many standard deviations
#: (engineering judgement). [1]
_SURE = 4.5
#: This last part of a section is left out: filters without delay distortion ring before the next jump
#: (engineering judgement). [1]
_NEXT_PART = 0.05


@dataclass(frozen=True, slots=True)
class StepResponse:
    """What a jump of the input's level does to the output.

    Parameters
    ----------
    time_s, time_u_s : float
        From the jump until the level stays within the tolerance of its steady value; 0 where it never leaves it. [s]
    steady_db, steady_u_db : float
        Steady level after the jump and its standard uncertainty. [dB re one sample]
    before_db : float
        Steady level before the jump. [dB re one sample]
    overshoot_db : float
        Level just after the jump minus steady level. [dB]
    creep_db : float
        Change of the level between the last two fifths of the section: not zero if it was too short. [dB]
    at_s : float
        Where the jump was found. [s]
    """

    time_s: float
    time_u_s: float
    steady_db: float
    steady_u_db: float
    before_db: float
    overshoot_db: float
    creep_db: float
    at_s: float


def step_response(
    envelope_power: FloatArray,
    sampling_rate_hz: float,
    *,
    start_s: float,
    step_s: float,
    stop_s: float,
    averaging_s: float,
    within_db: float,
    search_s: float,
) -> StepResponse:
    """Read the time an envelope takes to come within a tolerance of its new steady level, and to stay there.

    Parameters
    ----------
    envelope_power : array (n,)
        Envelope of the tone as mean square. [square of samples]
    sampling_rate_hz : float
        Samples a second of the envelope. [Hz]
    start_s, step_s, stop_s : float
        Where the section before the jump begins, where the jump was played, and where the section after it ends. [s]
    averaging_s : float
        Window the envelope was averaged over. [s]
    within_db : float
        Tolerance around the steady level. [dB]
    search_s : float
        The jump is looked for from here before to here after where it was played: the aid and the sound card delay it.
        [s]

    Returns
    -------
    StepResponse
        Time, steady level and their uncertainties.

    Raises
    ------
    RecordingError
        If the sections are too short, or no jump is found.

    Notes
    -----
    The jump is where the amplitude changes most over one averaging window, which smears it into a ramp of that length
    whose middle it is. (In decibels the first faint ringing of a filter before a jump would count for more.) The time
    runs to the last crossing into the tolerance, as the definition asks ("within and stays within", from memory of the
    standards). Uncertainty: scatter of the steady envelope, and what it still creeps, over the slope at the crossing;
    the window; and how far the line moved the crossing.
    """
    level = 10 * np.log10(np.maximum(envelope_power, 1e-30))
    half = max(round(averaging_s * sampling_rate_hz / 2), 1)
    first, played, last = (round(t * sampling_rate_hz) for t in (start_s, step_s, stop_s))
    reach = round(search_s * sampling_rate_hz)
    low, high = max(played - reach, half), min(played + reach, level.size - half - 1)
    if high - low < 2 or last > level.size or last - played < 10 * half or played - first < 10 * half:
        raise _too_short(step_s, start_s, stop_s, level.size / sampling_rate_hz)
    at = _jump(envelope_power, np.arange(low, high), half)
    shift = at - played
    # an earlier jump means that the next one is early too
    stop = min(last + min(shift, 0), level.size) - half - round(_NEXT_PART * (last - played))
    before, _ = _steady(level, first, at - half)
    steady, scatter = _steady(level, at + half, stop)
    wider = int(np.ceil((_SURE * scatter / within_db) ** 2))
    if wider > 1 and (last - played) > 40 * half * wider:  # a soft tone near the noise: average it longer
        half, averaging_s = half * wider, averaging_s * wider
        level, stop = 10 * np.log10(np.maximum(running_mean(envelope_power, 2 * half), 1e-30)), stop - half
        steady, scatter = _steady(level, at + half, stop)
    section = level[at + half : stop]
    place, slope, windows, moved = _crossing(section, steady, within_db, half)
    creep = _creep(section)
    steady_u = float(np.hypot(scatter / np.sqrt(max(_STEADY_PART * section.size / (2 * half), 1.0)), creep))
    level_u = float(np.hypot(np.hypot(scatter / np.sqrt(windows), steady_u), _LEVEL_U_DB))
    time_u = np.hypot(averaging_s, moved / sampling_rate_hz) / np.sqrt(12)
    time_u = np.hypot(time_u, level_u / slope / sampling_rate_hz if slope > 0 else 0.0)
    return StepResponse(
        time_s=(place + half) / sampling_rate_hz,
        time_u_s=float(time_u),
        steady_db=steady,
        steady_u_db=steady_u,
        before_db=before,
        overshoot_db=float(section[0] - steady),
        creep_db=creep,
        at_s=at / sampling_rate_hz,
    )


def _creep(section: FloatArray) -> float:
    """What a section still changes from its fourth fifth to its last. [dB]"""
    fifth = section.size // 5
    return float(section[-fifth:].mean() - section[-2 * fifth : -fifth].mean())


def _too_short(step_s: float, start_s: float, stop_s: float, length_s: float) -> RecordingError:
    return RecordingError(
        f"read the step at {step_s:g} s",
        f"its sections run from {start_s:g} s to {stop_s:g} s and the recording lasts {length_s:g} s",
        "record the whole series of steps",
    )


def _jump(envelope_power: FloatArray, places: NDArray[np.intp], half: int) -> int:
    """Where the amplitude changes most over one averaging window. [sample]"""
    amplitude = np.sqrt(envelope_power)
    return int(places[np.argmax(np.abs(amplitude[places + half] - amplitude[places - half]))])


def _steady(level: FloatArray, first: int, stop: int) -> tuple[float, float]:
    """Mean and scatter of the last part of a section. [dB], [dB]"""
    part = level[stop - max(int(_STEADY_PART * (stop - first)), 2) : stop]
    return float(part.mean()), float(part.std())


def _lasting(outside: NDArray[np.intp], window: int) -> NDArray[np.intp]:
    """Samples outside, without late excursions shorter than the averaging window: those are noise, not the aid."""
    runs = np.split(outside, np.flatnonzero(np.diff(outside) > 1) + 1)
    while len(runs) > 1 and runs[-1].size < window:
        runs.pop()
    return runs[-1]


def _crossing(section: FloatArray, steady: float, within: float, half: int) -> tuple[float, float, float, float]:
    """Where the deviation from the steady level falls to the tolerance for good.

    Returns the place [samples into the section], the slope there [dB a sample], how many windows it rests on, and
    how far the line moved it [samples].
    """
    off = np.abs(section - steady)
    outside = _lasting(np.flatnonzero(off > within), 2 * half)
    if outside.size == 0:
        return -float(half), 0.0, 1.0, 0.0
    place = float(outside[-1]) + 0.5
    if outside[-1] + 1 >= section.size:
        return place, 0.0, 1.0, 0.0
    slope, windows = 0.0, 1.0
    for _ in range(_ROUNDS):  # noise makes the last crossing late: a line through its neighbourhood puts it right
        reach = max(_AROUND * (place + half), float(half))
        low, high = max(round(place - reach), 0), min(round(place + reach) + 1, section.size)
        axis = np.arange(low, high) - place
        spread = float(np.mean((axis - axis.mean()) ** 2))
        slope = float(np.mean((axis - axis.mean()) * off[low:high])) / max(spread, 1e-12)
        windows = max((high - low) / (2.0 * half), 1.0)
        if slope >= 0:
            return float(outside[-1]) + 0.5, 0.0, 1.0, 0.0
        crossing = place + float(axis.mean()) + (within - float(off[low:high].mean())) / slope
        place = float(np.clip(crossing, place - reach, place + reach))
    return max(place, -float(half)), -slope, windows, abs(place - float(outside[-1]) - 0.5)
