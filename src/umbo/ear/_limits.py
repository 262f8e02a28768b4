"""Where an RECD ends because of the probe or the coupler reading."""

from __future__ import annotations

import numpy as np

from umbo.core import FloatArray, Mark, PointState, Transfer
from umbo.curves import TrustLimit, first_run

__all__ = ["PROBE_LIMIT_HZ_MM", "headroom", "probe_limit", "probe_mark"]

#: Probe limit: frequency times distance to the drum at which a rigid drum's standing wave costs 2 dB (F12):
#: 20 lg cos(2 pi f d / c) = -2 dB at f d = 0.1036 c, which is 36 kHz mm at c = 345 m/s (computed). [Hz mm]
PROBE_LIMIT_HZ_MM = 36e3

_HEADROOM_SOURCE = "common practice, no source"


def probe_limit(distance_mm: float, u_distance_mm: float, *, is_bound: bool = False) -> TrustLimit | None:
    """Highest frequency at which the standing wave between probe tip and drum costs at most 2 dB.

    Parameters
    ----------
    distance_mm : float
        Probe tip to eardrum. [mm]
    u_distance_mm : float
        Its standard uncertainty. [mm]
    is_bound : bool
        Whether the distance is only known to lie between bounds: the limit is then that of one standard uncertainty
        further out.

    Returns
    -------
    TrustLimit or None
        None if the tip is at the drum.
    """
    if distance_mm <= 0:
        return None
    far_mm = distance_mm + u_distance_mm if is_bound else distance_mm
    end = PROBE_LIMIT_HZ_MM / far_mm
    known = f"may be {far_mm:.1f} mm" if is_bound else f"is {distance_mm:.1f} mm (u {u_distance_mm:.1f} mm)"
    reason = (
        f"the probe tip {known} from the eardrum: above {end / 1000:.1f} kHz the standing wave costs more than 2 dB"
    )
    action = "Advance the probe tube, by no more than otoscopy shows to be safe, and measure the ear again."
    return TrustLimit("probe", end, reason, action, "quarter-wave error, rigid drum (computed)")


def probe_mark(limit: TrustLimit, frequency_hz: FloatArray) -> Mark:
    """Mark the points above the probe limit: the standing wave is in the reading.

    Parameters
    ----------
    limit : TrustLimit
        From :func:`probe_limit`.
    frequency_hz : array (n,)
        Frequencies. [Hz]
    """
    return Mark(PointState.STANDING_WAVE, np.asarray(frequency_hz > limit.max_hz), limit.reason)


def headroom(recd: Transfer, coupler_level_db: FloatArray) -> TrustLimit | None:
    """Common practice: an RECD that meets the coupler curve drawn in the same decibels.

    It says that the coupler reading has sunk too low. No published source.

    Parameters
    ----------
    recd : Transfer
        The RECD.
    coupler_level_db : array (n,)
        Coupler reading. [dB SPL]

    Returns
    -------
    TrustLimit or None
        None where the two do not meet for a quarter of an octave.
    """
    meets = np.asarray(recd.level_db >= coupler_level_db)
    first = first_run(meets, recd.frequency_hz)
    if first is None:
        return None
    reason = "the RECD reaches the coupler curve drawn in the same decibels: the coupler reading has sunk too low"
    action = "Raise the test level or use the 0.4 cc coupler."
    end = float(recd.frequency_hz[max(first - 1, 0)])
    return TrustLimit("headroom", end, reason, action, _HEADROOM_SOURCE)
