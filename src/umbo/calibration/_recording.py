"""Recordings: samples in digital full scale, not yet a pressure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.core import FloatArray
from umbo.errors import RecordingError

__all__ = ["Recording"]


@dataclass(frozen=True, slots=True, eq=False)
class Recording:
    """One channel of samples as a sound card or a file gave them.

    A recording is not a pressure: only a :class:`~umbo.calibration.Calibration` makes one of it.

    Parameters
    ----------
    name : str
        What messages call it.
    samples_fs : array (n,)
        Samples, 1.0 = digital full scale. [FS]
    sampling_rate_hz : float
        Samples a second. [Hz]

    Raises
    ------
    RecordingError
        If samples are missing or not finite.
    """

    name: str
    samples_fs: FloatArray
    sampling_rate_hz: float

    def __post_init__(self) -> None:
        samples = np.asarray(self.samples_fs, dtype=np.float64)
        if samples.ndim != 1 or samples.size == 0:
            raise RecordingError(
                f"use the recording '{self.name}'",
                "it holds no single channel of samples",
                "record one channel",
            )
        if not np.isfinite(samples.sum()):
            first = int(np.argmin(np.isfinite(samples)))
            raise RecordingError(
                f"use the recording '{self.name}'",
                f"its sample {first} is not a finite number",
                "record or export it again",
            )
        if samples is self.samples_fs and samples.flags.writeable:
            samples = samples.view()
        samples.setflags(write=False)
        object.__setattr__(self, "samples_fs", samples)

    @property
    def duration_s(self) -> float:
        """Length. [s]"""
        return self.samples_fs.size / self.sampling_rate_hz
