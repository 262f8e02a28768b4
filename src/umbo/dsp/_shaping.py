"""A speech recording of one's own, brought to a wanted third-octave spectrum."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.dsp._fast_length import fast_length
from umbo.dsp._third_octaves import third_octave_power
from umbo.errors import OutOfRangeError, RecordingError

if TYPE_CHECKING:
    from umbo.dsp._arrays import FloatArray

__all__ = ["LevelledSignal", "levelled_to"]

#: Accuracy of a band that is aimed at and that has to be reached, and rounds of correction (engineering judgement).
#: [dB], [1]
_AIM_DB, _WITHIN_DB, _ROUNDS = 0.05, 0.5, 60
#: Shortest signal: the lowest band of speech, 29 Hz wide, then holds some hundred independent values. [s]
_SHORTEST_S = 5.0
#: A band that would have to be raised by more than this against the others holds noise, not speech (engineering
#: judgement). [dB]
_MOST_RAISE_DB = 40.0
#: Length of the filter: fine enough for the band at 125 Hz. [s]
_FILTER_S = 0.15


@dataclass(frozen=True, slots=True, eq=False)
class LevelledSignal:
    """A signal with a wanted spectrum.

    Parameters
    ----------
    samples : array (n,)
        Signal, its largest sample at the wanted peak: it cannot clip. [FS]
    db_spl_at_unit_rms : float
        Level that a signal with an rms of 1 has to be played at, so that the bands have the wanted levels. [dB SPL]
    band_error_db : array (b,)
        Reached minus wanted level of each band. [dB]
    filter_db : array (b,)
        What the filter does at each centre, its mean taken out. [dB]
    """

    samples: FloatArray
    db_spl_at_unit_rms: float
    band_error_db: FloatArray
    filter_db: FloatArray


def levelled_to(
    samples: FloatArray,
    sampling_rate_hz: float,
    wanted_db_spl: FloatArray,
    centre_hz: FloatArray,
    *,
    peak_fs: float,
) -> LevelledSignal:
    """Shape a recording so that its long-term third-octave levels are the wanted ones.

    Parameters
    ----------
    samples : array (n,)
        Recording, at least 5 s. [FS]
    sampling_rate_hz : float
        Sampling rate. [Hz]
    wanted_db_spl : array (b,)
        Wanted levels of the bands. [dB SPL]
    centre_hz : array (b,)
        Exact centres of the bands, neighbouring third octaves. [Hz]
    peak_fs : float
        Largest sample wanted, above 0 and at most 1. [FS]

    Returns
    -------
    LevelledSignal
        As long as the recording, within 0.5 dB in every band.

    Raises
    ------
    RecordingError
        If the recording is too short or too quiet, a band is empty, or the spectrum cannot be reached.
    OutOfRangeError
        If bands and levels do not fit each other, or the peak is out of its range.

    Notes
    -----
    A linear-phase filter whose delay is taken out: it rings before and after a sound alike, for less than 75 ms.
    Bands overlap, so the filter is corrected in rounds until every band is right. Outside the bands the filter keeps
    the value of the nearest one. Not the test signal of IEC 60118-15, whatever its spectrum: the talkers are others.
    """
    _check(samples, sampling_rate_hz, wanted_db_spl, centre_hz, peak_fs)
    present = _levels(samples, sampling_rate_hz, centre_hz)
    correction = wanted_db_spl - present
    _refuse_empty(correction, present, centre_hz)
    taps = 2 * round(_FILTER_S * sampling_rate_hz / 2) + 1
    size = fast_length(samples.size + taps)
    spectrum = np.fft.rfft(samples, size)
    best, error = samples, correction - correction.mean()
    for _ in range(_ROUNDS):
        shaped = _filtered(spectrum, correction, centre_hz, sampling_rate_hz, taps, size)[: samples.size]
        off = wanted_db_spl - _levels(shaped, sampling_rate_hz, centre_hz)
        best, error = shaped, off - off.mean()
        if np.max(np.abs(error)) < _AIM_DB:
            break
        correction = correction + error
    if np.max(np.abs(error)) > _WITHIN_DB:
        worst = int(np.argmax(np.abs(error)))
        raise RecordingError(
            "level a recording to a wanted spectrum",
            f"the band at {centre_hz[worst]:.0f} Hz stays {abs(error[worst]):.1f} dB off",
            "use a recording with sound in every band",
        )
    out = best * (peak_fs / np.max(np.abs(best)))
    unit = float(np.mean(wanted_db_spl - _levels(out, sampling_rate_hz, centre_hz)))
    return LevelledSignal(out, unit, -error, correction - correction.mean())


def _levels(samples: FloatArray, rate_hz: float, centre_hz: FloatArray) -> FloatArray:
    power = third_octave_power(samples, rate_hz, centre_hz=centre_hz)
    return np.asarray(10 * np.log10(np.maximum(power, 1e-30)))


def _filtered(
    spectrum: np.ndarray[tuple[int], np.dtype[np.complex128]],
    correction_db: FloatArray,
    centre_hz: FloatArray,
    rate_hz: float,
    taps: int,
    size: int,
) -> FloatArray:
    """Apply the filter: its magnitude over log frequency, cut to its length in time, without delay."""
    own = fast_length(4 * taps)
    axis = np.maximum(np.fft.rfftfreq(own, 1 / rate_hz), 1.0)
    level = correction_db - correction_db.mean()
    magnitude = 10 ** (np.interp(np.log(axis), np.log(centre_hz), level) / 20)
    impulse = np.roll(np.fft.irfft(magnitude, own), taps // 2)[:taps] * np.hanning(taps + 2)[1:-1]
    whole = np.zeros(size)
    whole[:taps] = impulse
    shaped = np.fft.irfft(spectrum * np.fft.rfft(np.roll(whole, -(taps // 2))), size)
    return np.asarray(shaped)


def _check(samples: FloatArray, rate_hz: float, wanted_db: FloatArray, centre_hz: FloatArray, peak_fs: float) -> None:
    if samples.size < _SHORTEST_S * rate_hz:
        raise RecordingError(
            "level a recording to a wanted spectrum",
            f"it lasts {samples.size / rate_hz:.1f} s and {_SHORTEST_S:g} s are needed",
            "use a longer recording",
        )
    if wanted_db.shape != centre_hz.shape or wanted_db.size < 2 or not np.all(np.isfinite(wanted_db)):
        raise OutOfRangeError(
            "level a recording to a wanted spectrum",
            f"{wanted_db.size} levels meet {centre_hz.size} bands, or a level is not a finite number",
            "give one level for each of at least two bands",
        )
    if not 0 < peak_fs <= 1:
        raise OutOfRangeError(
            "level a recording to a wanted spectrum",
            f"a peak of {peak_fs:g} lies outside 0 to 1 of full scale",
            "choose a peak within full scale",
        )


def _refuse_empty(correction_db: FloatArray, present_db: FloatArray, centre_hz: FloatArray) -> None:
    raised = correction_db - np.median(correction_db)
    worst = int(np.argmax(raised))
    if raised[worst] > _MOST_RAISE_DB or present_db.max() < -200.0:
        raise RecordingError(
            "level a recording to a wanted spectrum",
            f"its band at {centre_hz[worst]:.0f} Hz is empty: it would have to be raised {raised[worst]:.0f} dB "
            "against the others",
            "use a recording with a wider bandwidth, or leave that band out",
        )
