"""What differs between the repeats of a take: one that disagrees, a drifting level or clock, a disturbed moment."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.dsp._takes import TakeCheck, runs_of, spans

if TYPE_CHECKING:
    from umbo.dsp._arrays import ComplexArray, FloatArray

__all__ = ["check_clock", "check_level_drift", "check_outliers", "check_repeats_agree"]

#: A repeat whose residual power exceeds the median of all by this factor disagrees: 6 dB; assumed. [1]
_RESIDUAL_FACTOR = 4.0
#: Level of a repeat away from the median that counts as found; assumed. [dB]
_LEVEL_DB = 0.2
#: Frames in which outliers are looked for; assumed. [s]
_FRAME_S = 0.01
#: Excess of a frame's residual over the median of all frames that counts as a disturbance; assumed. [dB]
_OUTLIER_DB = 20.0
#: Clock difference that counts as found, when it also exceeds three times its uncertainty; assumed. [1e-6]
_CLOCK_PPM = 20.0
#: Change of delay from one repeat to the next that counts as lost or added samples; assumed. [samples]
_SLIP_SAMPLES = 0.5
#: The delay is read from this much of each repeat: 2.7 s at 48 kHz are as good as all of it. [samples]
_LONGEST_CLOCK = 2**17
_TINY = float(np.finfo(np.float64).tiny)


def check_repeats_agree(periods: FloatArray) -> TakeCheck:
    """Compare each repeat's distance from the median of all with the typical one.

    Parameters
    ----------
    periods : array (R, n)
        Repeats. [1]

    Returns
    -------
    TakeCheck
        Found if a repeat's residual power is more than 6 dB above the median of all repeats' (needs R >=
        3). Numbers: signal to residual, and the worst repeat, counted from 0.
    """
    residual = _apart(periods)
    power = np.einsum("ij,ij->i", residual, residual) / residual.shape[1]
    typical = max(float(np.median(power)), _TINY)
    worst = int(np.argmax(power))
    excess_db = 10 * float(np.log10(max(power[worst], _TINY) / typical))
    total = _mean_square(periods)
    signal_db = 10 * float(np.log10(max(total, _TINY) / typical))
    found = periods.shape[0] > 2 and power[worst] > max(_RESIDUAL_FACTOR * typical, 1e-20 * total)
    text = f"repeat {worst + 1} differs from the others by {excess_db:.1f} dB more than is typical"
    numbers = {"excess_db": excess_db, "signal_re_residual_db": signal_db, "worst_index": float(worst)}
    return TakeCheck("disagreement", bool(found), text, numbers)


def check_level_drift(periods: FloatArray) -> TakeCheck:
    """Look for a level that changes between repeats.

    Parameters
    ----------
    periods : array (R, n)
        Repeats. [1]

    Returns
    -------
    TakeCheck
        Found if any repeat's level lies more than 0.2 dB from the median. The level of a repeat is its
        projection on the mean of all, which noise hardly moves.
    """
    mean = periods.mean(axis=0)
    common, own = np.einsum("ij,j->i", periods, mean), float(np.einsum("i,i->", mean, mean))
    level_db = 20 * np.log10(np.maximum(common / max(own, _TINY), 1e-15))
    away = level_db - np.median(level_db)
    worst = int(np.argmax(np.abs(away)))
    trend_db = float(np.polyfit(np.arange(away.size), away, 1)[0]) if away.size > 1 else 0.0
    text = f"repeat {worst + 1} lies {away[worst]:+.2f} dB from the median, the trend is {trend_db:+.3f} dB a repeat"
    numbers = {"largest_db": float(away[worst]), "trend_db_per_repeat": trend_db, "worst_index": float(worst)}
    return TakeCheck("drift", bool(abs(away[worst]) > _LEVEL_DB), text, numbers)


def check_outliers(periods: FloatArray, sampling_rate_hz: float) -> TakeCheck:
    """Look for moments at which one repeat differs far more than usual: a knock, a dropout, a cough.

    Parameters
    ----------
    periods : array (R, n)
        Repeats, at least two. [1]
    sampling_rate_hz : float
        Sampling rate. [Hz]

    Returns
    -------
    TakeCheck
        Found if in any frame of 10 ms a repeat's residual from the median lies more than 20 dB above the
        median over all frames of all repeats. Times are counted from the start of the file. With two
        repeats both stand out.
    """
    residual = _apart(periods)
    frame = max(1, round(_FRAME_S * sampling_rate_hz))
    whole = residual.shape[1] // frame
    framed = residual[:, : whole * frame].reshape(residual.shape[0], whole, frame)
    power = np.einsum("ijk,ijk->ij", framed, framed) / frame
    typical = max(float(np.median(power)), 1e-20 * _mean_square(periods), _TINY)
    flags = power > typical * 10 ** (_OUTLIER_DB / 10)
    worst_db = 10 * float(np.log10(max(float(power.max(initial=0.0)), _TINY) / typical))
    where: list[tuple[float, float]] = []
    for index, row in enumerate(flags):
        starts, lengths = runs_of(row)
        where += spans(starts * frame + index * periods.shape[1], lengths * frame, sampling_rate_hz)
    count = int(flags.sum())
    frames = "1 frame of 10 ms stands out by" if count == 1 else f"{count} frames of 10 ms stand out, the worst by"
    text = f"{frames} {worst_db:.0f} dB"
    numbers = {"frames_count": float(flags.sum()), "worst_db": worst_db}
    return TakeCheck("outlier", bool(flags.any()), text, numbers, tuple(where[:20]))


def check_clock(periods: FloatArray, sampling_rate_hz: float) -> TakeCheck:
    """Look for a delay that changes from repeat to repeat: another clock, or samples lost or added.

    Parameters
    ----------
    periods : array (R, n)
        Repeats, at least two. [1]
    sampling_rate_hz : float
        Sampling rate. [Hz]

    Returns
    -------
    TakeCheck
        Found if the drift exceeds 20 ppm and three times its uncertainty, or if the delay jumps by half a
        sample or more against the drift. Numbers: drift (positive: the recording's clock runs fast,
        periods come late), its standard uncertainty from the scatter about a straight line (0 with two
        repeats), and the largest jump.
    """
    delay = repeat_delays(periods[:, :_LONGEST_CLOCK])
    count, length = periods.shape
    index = np.arange(count)
    slope, offset = np.polyfit(index, delay, 1)
    scatter = delay - offset - slope * index
    u = 0.0
    if count > 2:
        u = float(np.sqrt(np.sum(scatter**2) / (count - 2) / np.sum((index - index.mean()) ** 2)))
    jumps = np.diff(delay)
    jump = float(np.max(np.abs(jumps - np.median(jumps))))
    drift_ppm, u_ppm = float(slope) / length * 1e6, u / length * 1e6
    found = (abs(drift_ppm) > _CLOCK_PPM and abs(drift_ppm) > 3 * u_ppm) or jump >= _SLIP_SAMPLES
    text = f"the delay drifts by {drift_ppm:+.1f} ppm and jumps by at most {jump:.2f} samples"
    numbers = {
        "drift_ppm": drift_ppm,
        "drift_u_ppm": u_ppm,
        "largest_jump_samples": jump,
        "largest_jump_s": jump / sampling_rate_hz,
    }
    return TakeCheck("clock", bool(found), text, numbers)


def repeat_delays(periods: FloatArray) -> FloatArray:
    """Delay of each repeat after the first, by phase slope around the cross-correlation's peak. [samples]"""
    spectra = np.fft.rfft(periods)
    cross: ComplexArray = spectra[1:] * np.conj(spectra[0])
    length = periods.shape[1]
    peak = np.argmax(np.fft.irfft(cross, length), axis=1)
    coarse = np.where(peak > length // 2, peak - length, peak)
    near = length // 4  # half a sample left over turns the phase by less than a quarter turn below this bin
    omega = 2 * np.pi * np.arange(near) / length
    delays = np.zeros(periods.shape[0])
    for row, whole in enumerate(coarse):
        part = cross[row, :near] * np.exp(1j * omega * whole) if whole else cross[row, :near]
        weight = omega * np.abs(part)
        fine = -float(np.sum(weight * np.angle(part))) / max(float(np.sum(weight * omega)), _TINY)
        delays[row + 1] = whole + fine
    return delays


def _mean_square(periods: FloatArray) -> float:
    return float(np.einsum("ij,ij->", periods, periods)) / periods.size


def _apart(periods: FloatArray) -> FloatArray:
    """Each repeat less the median of all, shape (R, n); of two to four repeats without sorting them."""
    count = periods.shape[0]
    if count == 2:
        half = 0.5 * (periods[0] - periods[1])
        return np.stack([half, -half])
    if count > 4:
        return periods - np.median(periods, axis=0)
    inner = periods.sum(axis=0) - periods.max(axis=0) - periods.min(axis=0)
    apart: FloatArray = periods - inner / (count - 2)
    return apart
