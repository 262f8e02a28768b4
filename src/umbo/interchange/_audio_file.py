"""Audio files of a case: what their headers say, checked before a sample is read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import soundfile

from umbo.errors import RecordingError
from umbo.interchange._riff import data_chunk
from umbo.interchange._wording import plain, shown

if TYPE_CHECKING:
    from pathlib import Path

    from umbo.core import FloatArray

__all__ = ["AudioFile", "audio_file", "read_samples"]

#: Largest file and longest recording that a case may hold (engineering judgement). [byte], [s]
LARGEST_BYTES = 2_000_000_000
LONGEST_S = 3600.0

#: Sampling rates that a sound card may have (engineering judgement). [Hz]
SLOWEST_HZ, FASTEST_HZ = 8_000, 768_000

_FORMATS = ("WAV", "WAVEX", "RF64", "FLAC")
_SAMPLES = ("PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE")


@dataclass(frozen=True, slots=True)
class AudioFile:
    """One audio file, by its header.

    Parameters
    ----------
    name : str
        Its name in the case folder.
    path : Path
        Where it is.
    frames : int
        Samples of its one channel. [1]
    sampling_rate_hz : int
        [Hz]
    """

    name: str
    path: Path
    frames: int
    sampling_rate_hz: int


def audio_file(path: Path, name: str, asked: str) -> AudioFile:
    """Header of a WAV or FLAC file of one channel.

    Parameters
    ----------
    path : Path
        A regular file.
    name : str
        What messages call it.
    asked : str
        First part of an error's sentence.

    Raises
    ------
    RecordingError
        If the file is no readable, complete, single-channel WAV or FLAC file of sensible size.
    """
    size = path.stat().st_size
    called = f"'{plain(name)}'"
    if size > LARGEST_BYTES:
        raise RecordingError(asked, f"{called} is larger than {LARGEST_BYTES / 1e9:g} GB", "cut it to what was played")
    try:
        _refuse_cut_off(path, called, asked)
        with soundfile.SoundFile(str(path)) as sound:
            _check_header(sound, called, asked)
            if sound.format == "FLAC":
                sound.seek(sound.frames - 1)
                if len(sound.read(1)) != 1:
                    raise _cut_off(called, asked, "it ends before its last sample")
            return AudioFile(name, path, sound.frames, sound.samplerate)
    except soundfile.LibsndfileError as error:
        raise _unreadable(called, asked, error) from None
    except OSError as error:
        raise RecordingError(
            asked, f"{called} cannot be read ({error.strerror})", "check the file and its permissions"
        ) from None


def read_samples(file: AudioFile, asked: str) -> FloatArray:
    """Read the samples of a file whose header was checked. Shape (frames,). [FS]

    Raises
    ------
    RecordingError
        If the file cannot be read to its end, or is no longer what its header said.
    """
    called = f"'{plain(file.name)}'"
    try:
        samples, rate = soundfile.read(str(file.path), dtype="float64", always_2d=True)
    except soundfile.LibsndfileError as error:
        raise _unreadable(called, asked, error) from None
    if samples.shape != (file.frames, 1) or rate != file.sampling_rate_hz:
        raise _cut_off(called, asked, f"{samples.shape[0]} samples can be read of the {file.frames} it states")
    channel: FloatArray = samples[:, 0]
    return channel


def _check_header(sound: soundfile.SoundFile, called: str, asked: str) -> None:
    if sound.format not in _FORMATS or sound.subtype not in _SAMPLES:
        raise RecordingError(
            asked,
            f"{called} is {plain(sound.format)} with {plain(sound.subtype)} samples",
            "use WAV or FLAC with 16, 24 or 32 bit or float samples",
        )
    if sound.channels != 1:
        raise RecordingError(
            asked,
            f"{called} has {sound.channels} channels",
            "keep the measurement microphone's channel alone",
        )
    if sound.frames == 0:
        raise RecordingError(asked, f"{called} holds no samples", "record or export it again")
    if not SLOWEST_HZ <= sound.samplerate <= FASTEST_HZ:
        raise RecordingError(
            asked,
            f"{called} states {sound.samplerate} samples a second, outside {SLOWEST_HZ} to {FASTEST_HZ}",
            "export it with its true sampling rate",
        )
    if sound.frames > LONGEST_S * sound.samplerate:
        raise RecordingError(
            asked,
            f"{called} lasts {sound.frames / sound.samplerate:.0f} s, longer than {LONGEST_S:.0f} s",
            "cut it to what was played",
        )


def _refuse_cut_off(path: Path, called: str, asked: str) -> None:
    chunk = data_chunk(path)
    if chunk is not None and chunk.is_cut_off:
        raise _cut_off(
            called,
            asked,
            f"its header states {chunk.promised_bytes} bytes of samples and {chunk.present_bytes} are there",
        )


def _cut_off(called: str, asked: str, why: str) -> RecordingError:
    return RecordingError(asked, f"{called} is cut off: {why}", "copy or record the whole file again")


def _unreadable(called: str, asked: str, error: soundfile.LibsndfileError) -> RecordingError:
    reason = error.error_string.strip().rstrip(".")
    return RecordingError(
        asked, f"{called} is not a readable WAV or FLAC file ({shown(reason)[1:-1]})", "export it again"
    )
