"""What the shape of an RECD says went wrong.

Each signature is one small rule over the difference between the RECD and the middle of its plausible range. Sizes come
from the source named at each rule; thresholds are engineering judgement, tested for false alarms on virtual ears and
scanned canals.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.core import CouplerKind, Finding, Severity
from umbo.ear._low_frequencies import coupler_leak, low_frequency_loss
from umbo.ear._shape import row_difference_db, shape_of

if TYPE_CHECKING:
    from umbo.core import Transfer
    from umbo.ear._expected import PlausibleRange
    from umbo.ear._shape import Shape

__all__ = ["shape_findings"]

#: A mix-up of 2 cc and 0.4 cc moves the RECD by 14 dB evenly; normal ears scatter by ±5 dB around it
#: (engineering judgement). [dB]
_MIX_UP_DB, _MIX_UP_SPREAD_DB = (9.0, 19.0), 4.0

#: A blocked or crimped tube: low everywhere by about 10 dB or more (babyhearing.org RECD page); the 2 dB
#: of slack are engineering judgement. [dB]
_BLOCKED_DB = -8.0

#: Wax and crimps take more at high frequencies; a mix-up of couplers does not: fall from 0.5-1 to 2-4 kHz
#: (engineering judgement). [dB]
_BLOCKED_SLOPE_DB = -4.0

#: Excess over the range, averaged over a third of an octave, that is told and that is a warning. Virtual ears without
#: fault exceed the range by up to 5 dB, the youngest infants most (engineering judgement on those runs). [dB]
_TOLD_DB, _WARNED_DB = 1.0, 6.0


def shape_findings(recd: Transfer, plausible: PlausibleRange | None, middle_ear: str) -> tuple[Finding, ...]:
    """Findings from the shape of an RECD.

    Parameters
    ----------
    recd : Transfer
        RECD from a coupler plane, on any grid, states included; the rules look at it on twelfth-octaves.
    plausible : PlausibleRange or None
        Its plausible range, on the same frequencies; without one there is nothing to compare with.
    middle_ear : str
        Declared state of the middle ear: "normal", "effusion", "tube", "perforation", "unknown".

    Returns
    -------
    tuple of Finding
        Most specific first; a general "implausible" only where nothing specific explains it.
    """
    shape = None if plausible is None else shape_of(recd, plausible, middle_ear)
    if shape is None:
        return ()
    whole = _wrong_coupler(shape) or _blocked_probe(shape)
    rules = [whole] if whole else [low_frequency_loss(shape) or _falling(shape), coupler_leak(shape), _adaptor(shape)]
    specific = [finding for finding in rules if finding is not None]
    general = [] if specific else [_outside_range(shape)]
    return tuple(finding for finding in (*specific, _declared(shape), *general) if finding is not None)


def _wrong_coupler(shape: Shape) -> Finding | None:
    """14 dB everywhere is the 0.4 cc / 2 cc mix-up (volume ratio, closed form)."""
    inside = shape.usable & (shape.frequency_hz >= 500) & (shape.frequency_hz <= 4000)
    if inside.sum() < 12 or shape.kind in (CouplerKind.HA4, CouplerKind.OES):
        return None
    off_db, spread_db = float(np.median(shape.off_db[inside])), float(shape.off_db[inside].std())
    if not (_MIX_UP_DB[0] <= abs(off_db) <= _MIX_UP_DB[1] and spread_db < _MIX_UP_SPREAD_DB):
        return None
    if (off_db > 0) is shape.kind.is_2cc or _falls_like_wax(shape):
        return None  # no coupler is larger than 2 cc, none smaller than 0.4 cc
    other = "0.4 cc" if shape.kind.is_2cc else "2 cc"
    text = (
        f"The whole RECD lies {off_db:+.0f} dB from what is expected re the {shape.kind.display_name}, evenly from 0.5 "
        "to 4 kHz: the size of a 2 cc / 0.4 cc mix-up (14 dB)."
    )
    action = f"Check which coupler was used: correct the label if it was the {other} one, else replace the probe tube."
    return Finding("wrong_coupler", Severity.STOP, text, action, "volume ratio, closed form", 500.0, 4000.0)


def _falls_like_wax(shape: Shape) -> bool:
    low_db, high_db = shape.mean(450, 1100), shape.mean(2000, 4200)
    return low_db is not None and high_db is not None and high_db - low_db < _BLOCKED_SLOPE_DB - 2.0


def _blocked_probe(shape: Shape) -> Finding | None:
    """All frequencies low: wax, crimp, tip against the wall (babyhearing.org RECD page)."""
    parts = [shape.mean(low, high) for low, high in ((250, 700), (700, 2000), (2000, 4000))]
    known = [part for part in parts if part is not None]
    if len(known) < len(parts) or max(known) > _BLOCKED_DB:
        return None
    text = f"The RECD is low at all frequencies, by {-float(np.mean(known)):.0f} dB on average."
    action = "Change the probe tube, check for wax or a crimp, calibrate the tube and measure the ear again."
    return Finding("blocked_probe", Severity.STOP, text, action, "babyhearing.org RECD page", 250.0, 4000.0)


def _adaptor(shape: Shape) -> Finding | None:
    """Whether the other 2 cc adaptor's row fits clearly better (rows differ by 2-5.5 dB from 1.5 to 8 kHz)."""
    if shape.kind not in (CouplerKind.HA1, CouplerKind.HA2):
        return None
    other = CouplerKind.HA2 if shape.kind is CouplerKind.HA1 else CouplerKind.HA1
    inside = shape.usable & (shape.frequency_hz >= 500) & (shape.frequency_hz <= 6000)
    at_4k = shape.mean(3500, 4500)
    if at_4k is None or inside.sum() < 30:
        return None
    moved = shape.off_db + row_difference_db(shape, other)
    mine, theirs = float(shape.off_db[inside].std()), float(moved[inside].std())
    if mine < 3.0 or theirs > 0.5 * mine or abs(at_4k) < 4.0:
        return None
    text = f"Around 4 kHz the RECD is {at_4k:+.1f} dB off and the {other.display_name} row fits it better."
    action = "Check which adaptor was on the coupler."
    return Finding("adaptor_mixed_up", Severity.WARN, text, action, "ISO 389-2 rows (HA-1 from memory)", 1500.0, 8000.0)


def _falling(shape: Shape) -> Finding | None:
    """Falling above 3 kHz: the probe is shallow even if no notch could be measured (babyhearing.org RECD page)."""
    if shape.kind in (CouplerKind.HA2, CouplerKind.HA4):
        return None  # their tubes' resonances bend an RECD as much
    before = shape.mean(2000, 3200)
    after = shape.mean(4500, 6000)
    if before is None or after is None or before - after < 10.0:
        return None
    text = f"Against what is expected the RECD falls by {before - after:.0f} dB from 2.5 to 5 kHz."
    action = "Advance the tube by 3 to 5 mm under otoscopy and measure the ear again."
    return Finding("falling_high_frequencies", Severity.WARN, text, action, "babyhearing.org RECD page", 3000.0, 8000.0)


_DECLARED = {
    "effusion": (
        "Effusion is declared: the RECD may be up to 3.5 dB higher from 0.2 to 3 kHz than when it has gone.",
        "Martin et al. 1996 (abstract read)",
    ),
    "tube": (
        "An open tube is declared: the RECD is about 15 dB lower from 125 to 750 Hz while it is open.",
        "Martin, Munro & Langer 1997 (abstract read)",
    ),
    "perforation": (
        "A perforation is declared: the RECD may be up to 8 dB lower at 0.5 to 1 kHz.",
        "ORL 61(6):345 (abstract read)",
    ),
}


def _declared(shape: Shape) -> Finding | None:
    """A middle ear that is not normal ties the RECD to its present state."""
    if shape.middle_ear not in _DECLARED:
        return None
    text, source = _DECLARED[shape.middle_ear]
    action = "Measure again when the middle ear has changed; until then this RECD holds only for today's ear."
    return Finding("middle_ear_declared", Severity.INFO, text, action, source)


def _outside_range(shape: Shape) -> Finding | None:
    """A third of an octave outside the range, with no more specific explanation."""
    inside = (shape.frequency_hz >= shape.range.from_hz) & (shape.frequency_hz <= shape.range.to_hz) & shape.usable
    excess_db = np.maximum(shape.recd_db - shape.range.high_db, shape.range.low_db - shape.recd_db)
    counted = np.where(inside, np.maximum(excess_db, 0.0), 0.0)
    third = np.convolve(counted, np.full(5, 0.2), mode="same")
    worst = int(np.argmax(third))
    if third[worst] <= _TOLD_DB:
        return None
    hz = float(shape.frequency_hz[worst])
    side = "above" if shape.recd_db[worst] > shape.range.high_db[worst] else "below"
    text = (
        f"Around {hz:.0f} Hz the RECD of {shape.recd_db[worst]:.1f} dB lies {third[worst]:.1f} dB {side} the broad "
        "range for this age."
    )
    action = "Repeat the measurement with the tip or mould reseated; if it comes out the same, believe it and say so."
    severity = Severity.WARN if third[worst] > _WARNED_DB else Severity.INFO
    return Finding("implausible", severity, text, action, shape.range.source, hz / 1.12, hz * 1.12)
