"""What a sweep recording yields: the linear response, its noise, and its harmonics."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from umbo.dsp._arrays import BoolArray, ComplexArray, FloatArray
    from umbo.dsp._repeats import FirstPeriod
    from umbo.dsp._sweeps import SweepTiming

__all__ = ["SweepResponse"]


@dataclass(frozen=True, slots=True, eq=False)
class SweepResponse:
    """Response of a system to an exponential sweep, averaged over repeats.

    The response is recording over stimulus, both in full scale. Noise is what differs between repeats,
    after the same time window that cuts out the response; it is None where one repeat leaves it unknown.

    Parameters
    ----------
    frequency_hz : array (n,)
        Excitation frequencies, equally spaced, within the sweep's range. [Hz]
    response : array (n,)
        Linear response, mean over the used repeats; phase relative to the start of the period. [1]
    noise_power : array (n,) or None
        Noise power of ``response``. [1]
    harmonic_power : array (h, n)
        Power of harmonics 2 to h + 1 at the frequency that excites them (the second at 500 Hz is energy
        at 1000 Hz), in the unit of ``abs(response)**2``: their ratio is the harmonic's power re
        fundamental. [1]
    harmonic_noise_power : array (h, n) or None
        Noise power contained in ``harmonic_power``. [1]
    harmonic_valid : array (h, n)
        Whether the harmonic's own frequency lies within the sweep; elsewhere it cannot be known and its
        power is 0.
    repeat_response : array (R, n)
        Linear response of every repeat, used or not. [1]
    used : array (R,)
        Which repeats went into the mean.
    first_period : FirstPeriod
        Whether the first period, which may start from silence, is like the others.
    timing : SweepTiming
        The sweep as read from the stimulus file.
    delay_s : float
        Place of the linear impulse response. [s]
    independent_per_hz : array (h + 1,)
        Independent bins per hertz of excitation, for the linear response and for each harmonic. [s]
    """

    frequency_hz: FloatArray
    response: ComplexArray
    noise_power: FloatArray | None
    harmonic_power: FloatArray
    harmonic_noise_power: FloatArray | None
    harmonic_valid: BoolArray
    repeat_response: ComplexArray
    used: BoolArray
    first_period: FirstPeriod
    timing: SweepTiming
    delay_s: float
    independent_per_hz: FloatArray

    @property
    def repeats_used(self) -> int:
        """Number of repeats in the mean."""
        return int(self.used.sum())

    @property
    def repeat_noise_power(self) -> FloatArray | None:
        """Noise power of a single repeat. [1]"""
        return None if self.noise_power is None else self.noise_power * self.repeats_used
