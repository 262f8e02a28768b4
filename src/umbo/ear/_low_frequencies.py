"""What low frequencies of an RECD say: a leak slopes, a middle-ear space makes a plateau, a coupler leak goes up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.core import CouplerKind, Finding, Severity

if TYPE_CHECKING:
    from umbo.ear._shape import Shape

__all__ = ["coupler_leak", "low_frequency_loss"]

#: Loss against 1 or 2 kHz from which low frequencies are called low (engineering judgement). Sealed model ears stay
#: above -5 dB. [dB]
_LOW_DB = -6.0

#: Rise from 135 to 250 Hz from which the loss is a slope. A leak rises by 6 to 16 dB there (12 dB/octave, F13), a tube
#: or perforation by at most 3 dB (computed for virtual ears). [dB]
_SLOPE_DB = 4.5

#: The same from 250 to 500 Hz, for an RECD that starts at 250 Hz, and the loss a plateau must have there at least. [dB]
_SLOPE_FROM_250_DB, _PLATEAU_DB = 5.0, -9.0


def low_frequency_loss(shape: Shape) -> Finding | None:
    """Name a loss at low frequencies: a leak, or a middle-ear space coupled in.

    Parameters
    ----------
    shape : Shape
        The RECD against its range.
    """
    low, mid, high, lowest = shape.low, shape.mid, shape.high, shape.lowest
    if low is None or mid is None or high is None:
        return None
    declared = shape.middle_ear in ("tube", "perforation")
    measured = [value for value in (lowest, low, mid) if value is not None]
    loss = min(measured) - high
    if loss > _LOW_DB:
        return None
    sloping = low - lowest >= _SLOPE_DB if lowest is not None else mid - low >= _SLOPE_FROM_250_DB
    if sloping and not declared:
        slope = low - lowest if lowest is not None else mid - low
        return _leak(slope, -loss, "250 to 125 Hz" if lowest is not None else "500 to 250 Hz")
    if declared or mid - high <= _PLATEAU_DB or (lowest is None and min(low, mid) - high <= _PLATEAU_DB):
        return _middle_ear_space(-loss, shape.middle_ear)
    return None


def _leak(slope_db: float, loss_db: float, where: str) -> Finding:
    text = f"The RECD falls by {slope_db:.0f} dB from {where} and lies {loss_db:.0f} dB low: sound leaks past the tip."
    action = (
        "Reseat or lubricate the tip or mould, plug its vent, and measure the ear again; what cannot be sealed is "
        "verified from the aided response in the ear."
    )
    source = "babyhearing.org RECD page; slit leak, F13 (computed)"
    return Finding("leak", Severity.WARN, text, action, source, 125.0, 1000.0)


def _middle_ear_space(loss_db: float, declared: str) -> Finding:
    text = (
        f"The RECD is {loss_db:.0f} dB low below 750 Hz in a plateau: the middle-ear space is coupled in, as with an "
        f"open tube or a perforation (declared: {declared})."
    )
    action = (
        "Look with an otoscope and take a tympanogram; use this curve only while the ear is in this state and do not "
        "replace it by the other ear or an average."
    )
    severity = Severity.INFO if declared in ("tube", "perforation") else Severity.WARN
    source = "Martin, Munro & Langer 1997 (abstract read)"
    return Finding("middle_ear_space", severity, text, action, source, 125.0, 1000.0)


def coupler_leak(shape: Shape) -> Finding | None:
    """Name a low end that is too high: the coupler half leaks.

    Parameters
    ----------
    shape : Shape
        The RECD against its range; re 0.4 cc the source's impedance does the same, and nothing is said.
    """
    low, mid, high, lowest = shape.low, shape.mid, shape.high, shape.lowest
    if low is None or mid is None or high is None or shape.kind is CouplerKind.CC04:
        return None
    rising_down = lowest is None or lowest - low >= _SLOPE_DB
    if low - high < 9.0 or low - mid < 4.0 or not rising_down:
        return None
    text = f"The RECD is {low - high:.0f} dB high at 250 Hz only: the coupler reading is low there, as with a leak."
    action = "Check the coupler's seal and O-ring, measure the coupler again."
    return Finding("coupler_leak", Severity.WARN, text, action, "engineering judgement, no source", 125.0, 700.0)
