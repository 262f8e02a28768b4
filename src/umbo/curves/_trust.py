"""Trust: up to which frequency a response is what it claims to be, and which rule ended it.

Each rule is one small function. It may mark points and may set a limit; the lowest limit ends the curve.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from umbo.acoustics import standing_wave_deviation_db
from umbo.core import BoolArray, CouplerKind, Curve, FloatArray, Grid, Mark, PointState

__all__ = [
    "NOISY_BELOW_DB",
    "NOT_MEASURED_BELOW_DB",
    "STANDING_WAVE_DB",
    "TrustLimit",
    "TrustReport",
    "coupler_range",
    "excitation_range",
    "first_run",
    "noise_marks",
    "standing_wave",
    "trusted",
]

#: Upper ends of the couplers' own ranges. IEC 60318-5: 125 Hz-8 kHz; IEC 60318-8: to 16 kHz; IEC 60318-4: usable as a
#: coupler to 16 kHz (scopes and abstracts read). [Hz]
COUPLER_RANGE_HZ = {
    CouplerKind.HA1: 8000.0,
    CouplerKind.HA2: 8000.0,
    CouplerKind.HA4: 8000.0,
    CouplerKind.CC04: 16000.0,
    CouplerKind.OES: 16000.0,
}

#: Signal over noise below which a band is "noisy", and "not measured" (common practice, no source). [dB]
NOISY_BELOW_DB = 10.0
NOT_MEASURED_BELOW_DB = 6.0

#: Deviation of a coupler's transfer impedance from its ideal volume that ends a reading: half or twice the volume
#: (engineering judgement; the 0.4 cc coupler reaches 4.4 dB at 16 kHz, where IEC 60318-8 still lets it be used). [dB]
STANDING_WAVE_DB = 6.0

#: A limit needs this much of the frequency axis untrusted in one piece; single points do not end a curve. [octave]
_RUN_OCTAVES = 0.25

#: Ratio of two neighbouring points of a third-octave grid, with room for rounding. [1]
_NEXT_POINT = 1.27


@dataclass(frozen=True, slots=True)
class TrustLimit:
    """One rule's word on where a curve ends.

    Parameters
    ----------
    rule : str
        "coupler", "standing_wave", "noise", "probe", "excitation", "headroom", "clipping" or "end".
    max_hz : float
        Highest frequency the rule allows. [Hz]
    reason : str
        Why, in words.
    action : str
        What would move the limit up.
    source : str
        Where the rule comes from.
    """

    rule: str
    max_hz: float
    reason: str
    action: str
    source: str


@dataclass(frozen=True, slots=True)
class TrustReport:
    """The trusted limit of a curve and every rule's word.

    Parameters
    ----------
    limits : tuple of TrustLimit
        One for each rule that had one; never empty, for every curve ends.
    """

    limits: tuple[TrustLimit, ...]

    @property
    def lowest(self) -> TrustLimit:
        """The rule that ends the curve."""
        return min(self.limits, key=lambda limit: limit.max_hz)

    @property
    def max_hz(self) -> float:
        """Trusted limit. [Hz]"""
        return self.lowest.max_hz


def coupler_range(kind: CouplerKind, grid: Grid) -> tuple[Mark, TrustLimit]:
    """The coupler's own range, by its standard."""
    end = COUPLER_RANGE_HZ[kind]
    # the band at the limit belongs to the range: 7943 Hz is the exact centre of the nominal 8 kHz band
    where = np.asarray(grid.frequency_hz > end * 1.001)
    reason = f"the {kind.display_name} is defined up to {end / 1000:g} kHz"
    action = "Use the 0.4 cc coupler above 8 kHz." if kind.is_2cc else "Nothing: no coupler standard goes further."
    source = {8000.0: "IEC 60318-5"}.get(end, "IEC 60318-8" if kind is CouplerKind.CC04 else "IEC 60318-4")
    return Mark(PointState.OUTSIDE_COUPLER, where, reason), TrustLimit("coupler", end, reason, action, source)


@lru_cache(maxsize=32)
def standing_wave(kind: CouplerKind, grid: Grid) -> tuple[Mark, TrustLimit | None]:
    """Where this coupler's transfer impedance leaves that of its ideal volume by more than 6 dB."""
    if kind is CouplerKind.OES:  # its standing wave is that of the ear it stands for
        return Mark(PointState.STANDING_WAVE, np.zeros(grid.size, bool), ""), None
    off = np.asarray(np.abs(standing_wave_deviation_db(kind, grid.frequency_hz)) > STANDING_WAVE_DB)
    reason = f"the {kind.display_name}'s own standing wave moves the reading by more than {STANDING_WAVE_DB:g} dB"
    mark = Mark(PointState.STANDING_WAVE, off, reason)
    if not off.any():
        return mark, None
    end = float(grid.frequency_hz[max(int(np.argmax(off)) - 1, 0)])
    action = "Use the 0.4 cc coupler for the highest octave."
    return mark, TrustLimit("standing_wave", end, reason, action, "modal cavity model, umbo.acoustics")


def noise_marks(signal_to_noise_db: FloatArray, what: str) -> tuple[Mark, ...]:
    """Bands with too little signal over noise: below 6 dB not measured, below 10 dB noisy.

    Parameters
    ----------
    signal_to_noise_db : array (n,)
        Measured level minus noise level, both of the averaged take. [dB]
    what : str
        Which reading: "ear", "coupler".
    """
    low = np.asarray(signal_to_noise_db < NOT_MEASURED_BELOW_DB)
    fair = np.asarray(signal_to_noise_db < NOISY_BELOW_DB) & ~low
    return (
        Mark(
            PointState.BELOW_NOISE,
            low,
            f"the {what} reading is less than {NOT_MEASURED_BELOW_DB:g} dB above noise",
        ),
        Mark(PointState.NOISY, fair, f"the {what} reading is less than {NOISY_BELOW_DB:g} dB above noise"),
    )


def excitation_range(grid: Grid, start_hz: float, stop_hz: float) -> tuple[Mark, TrustLimit]:
    """The stimulus excites only part of the axis; bands that reach beyond it were not measured.

    Parameters
    ----------
    grid : Grid
        Frequencies of the curve.
    start_hz, stop_hz : float
        Range of the stimulus. [Hz]

    Returns
    -------
    (Mark, TrustLimit)
        Points of which a twelfth-octave band reaches out of the range, with 0.1 % for rounding; and its upper end.
    """
    half_band = 10 ** (1 / 80)
    where = (grid.frequency_hz / half_band < start_hz * 0.999) | (grid.frequency_hz * half_band > stop_hz * 1.001)
    reason = f"the stimulus covers {start_hz:g} Hz to {stop_hz:g} Hz"
    action = "Use a stimulus that covers the wanted range."
    return Mark(PointState.BELOW_NOISE, where, reason), TrustLimit("excitation", stop_hz, reason, action, "stimulus")


def trusted(curve: Curve, limits: Iterable[TrustLimit | None]) -> TrustReport:
    """Join the rules' limits with the limit that the points' own states set.

    The states end the curve below the first stretch of a quarter octave, above 1 kHz, that cannot be used.
    """
    known = [limit for limit in limits if limit is not None]
    bad = ~curve.states.is_usable & (curve.frequency_hz > 1000.0)
    first = first_run(bad, curve.frequency_hz)
    if first is not None:
        state = curve.states.at(first)
        rule = _STATE_RULES.get(state, str(state))
        reason = curve.states.reasons(first)[0]
        end = float(curve.frequency_hz[max(first - 1, 0)])
        if not any(limit.max_hz <= end * _NEXT_POINT for limit in known):  # else a rule has said it already
            action = _STATE_ACTIONS.get(rule, "Repeat the measurement.")
            known.append(TrustLimit(rule, end, reason, action, "point states"))
    end = float(curve.frequency_hz[-1])
    known.append(TrustLimit("end", end, "the curve ends here", "Measure further up.", "frequency grid"))
    return TrustReport(tuple(known))


_STATE_RULES = {
    PointState.BELOW_NOISE: "noise",
    PointState.OUTSIDE_COUPLER: "coupler",
    PointState.CLIPPED: "clipping",
}
_STATE_ACTIONS = {
    "noise": "Measure in quiet, with more repeats or a higher test level, or use the 0.4 cc coupler.",
    "coupler": "Use the 0.4 cc coupler above 8 kHz.",
    "standing_wave": "Use the 0.4 cc coupler for the highest octave.",
    "clipping": "Lower the input gain and measure again.",
}


def first_run(bad: BoolArray, frequency_hz: FloatArray) -> int | None:
    """First index of a stretch of at least a quarter octave that is bad, or that reaches the end of the curve.

    Parameters
    ----------
    bad : array (n,), bool
        Points that cannot be used.
    frequency_hz : array (n,)
        Their frequencies, ascending. [Hz]

    Returns
    -------
    int or None
        None where no stretch is long enough: single points do not end a curve.
    """
    n = bad.size
    index = 0
    while index < n:
        if not bad[index]:
            index += 1
            continue
        stop = index
        while stop < n and bad[stop]:
            stop += 1
        octaves = np.log2(frequency_hz[stop - 1] / frequency_hz[index])
        if stop == n or octaves >= _RUN_OCTAVES - 1e-9:
            return index
        index = stop
    return None
