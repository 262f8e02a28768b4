"""What the shape of an RECD says went wrong.

Each signature is one small rule over the difference between the RECD and the middle of its plausible range. Sizes and
corners come from JOB 3.3, whose literature is named at each rule; where none is named the rule is engineering judgement.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.core import CouplerKind, Finding, FloatArray, Severity, Transfer
from umbo.ear._expected import PlausibleRange, adult_recd_row

__all__ = ["shape_findings"]

_JUDGEMENT = "engineering judgement, no source"


@dataclass(frozen=True, slots=True, eq=False)
class _Shape:
    """An RECD reduced to what the rules look at."""

    kind: CouplerKind
    frequency_hz: FloatArray
    recd_db: FloatArray
    off_db: FloatArray  # minus the middle of the plausible range
    range: PlausibleRange
    usable: np.ndarray[tuple[int], np.dtype[np.bool_]]
    middle_ear: str

    def mean(self, low_hz: float, high_hz: float, values: FloatArray | None = None) -> float | None:
        """Mean over the usable points of a stretch; None if fewer than three quarters of them are usable."""
        inside = (self.frequency_hz >= low_hz) & (self.frequency_hz <= high_hz)
        take = inside & self.usable
        if not inside.any() or take.sum() < 0.75 * inside.sum():
            return None
        return float((self.off_db if values is None else values)[take].mean())


def shape_findings(recd: Transfer, plausible: PlausibleRange | None, middle_ear: str) -> tuple[Finding, ...]:
    """Findings from the shape of an RECD.

    Parameters
    ----------
    recd : Transfer
        RECD from a coupler plane, on a fractional-octave grid, states included.
    plausible : PlausibleRange or None
        Its plausible range; without one there is nothing to compare with.
    middle_ear : str
        Declared state of the middle ear: "normal", "effusion", "tube", "perforation", "unknown".

    Returns
    -------
    tuple of Finding
        Most specific first; a general "implausible" only where nothing specific explains it.
    """
    if plausible is None or not isinstance(recd.start.detail, CouplerKind):
        return ()
    shape = _Shape(
        recd.start.detail,
        recd.frequency_hz,
        recd.level_db,
        recd.level_db - plausible.middle_db,
        plausible,
        recd.states.is_usable,
        middle_ear,
    )
    whole = _wrong_coupler(shape) or _blocked_probe(shape)
    specific = [whole] if whole else [_low_frequency_loss(shape), _coupler_leak(shape), _adaptor(shape), _falling(shape)]
    found = tuple(finding for finding in (*specific, _declared(shape)) if finding)
    explained = any(finding.severity is not Severity.INFO for finding in found)
    outside = None if explained else _outside_range(shape)
    return (*found, outside) if outside else found


def _wrong_coupler(shape: _Shape) -> Finding | None:
    """14 dB everywhere is the 0.4 cc / 2 cc mix-up (volume ratio, closed form)."""
    inside = shape.usable & (shape.frequency_hz >= 500) & (shape.frequency_hz <= 4000)
    if inside.sum() < 12:
        return None
    off, spread = float(np.median(shape.off_db[inside])), float(shape.off_db[inside].std())
    if not (9.5 <= abs(off) <= 19.0 and spread < 3.5):
        return None
    if off < 0 and shape.kind is CouplerKind.CC04:
        return None  # even the 2 cc coupler reads lower than this: not a coupler, a blocked probe
    if off > 0 and shape.kind.is_2cc:
        return None  # no larger coupler exists
    other = "0.4 cc" if shape.kind.is_2cc else "2 cc"
    text = (
        f"The whole RECD lies {off:+.0f} dB from what is expected re the {shape.kind.display_name}, evenly from 0.5 to "
        f"4 kHz: the size of a 2 cc / 0.4 cc mix-up (14 dB)."
    )
    action = f"Check which coupler was used: if it was the {other} coupler, correct the label; if not, replace the probe tube."
    return Finding("wrong_coupler", Severity.STOP, text, action, "volume ratio, closed form", 500.0, 4000.0)


def _blocked_probe(shape: _Shape) -> Finding | None:
    """All frequencies low: wax, crimp, tip against the wall (babyhearing.org RECD page)."""
    parts = [shape.mean(low, high) for low, high in ((250, 700), (700, 2000), (2000, 4000))]
    known = [part for part in parts if part is not None]
    if len(known) < 3 or max(known) > -8.0:
        return None
    text = f"The RECD is low at all frequencies, by {-float(np.mean(known)):.0f} dB on average."
    action = "Change the probe tube, check for wax or a crimp, calibrate the tube and measure the ear again."
    return Finding("blocked_probe", Severity.STOP, text, action, "babyhearing.org RECD page", 250.0, 4000.0)


def _low_frequency_loss(shape: _Shape) -> Finding | None:
    """A leak slopes by about 12 dB/octave; a tube or perforation makes a plateau (Martin et al. 1997)."""
    low, mid, high = shape.mean(220, 290), shape.mean(440, 570), shape.mean(1400, 2600)
    if low is None or mid is None or high is None or min(low, mid) - high > -6.0:
        return None
    # recovering between 250 and 500 Hz is a slope; staying low up to 500-750 Hz is a plateau
    slope = mid - low
    drop = high - min(low, mid)
    if shape.middle_ear in ("tube", "perforation") or (slope < 5.0 and drop >= 9.0):
        text = (
            f"The RECD is {drop:.0f} dB low below 750 Hz in a plateau: the middle-ear space is coupled in, as with an "
            f"open tube or a perforation (declared: {shape.middle_ear})."
        )
        action = (
            "Look with an otoscope and take a tympanogram; use this curve only while the ear is in this state and do "
            "not replace it by the other ear or an average."
        )
        severity = Severity.INFO if shape.middle_ear in ("tube", "perforation") else Severity.WARN
        return Finding("middle_ear_space", severity, text, action, "Martin, Munro & Langer 1997", 125.0, 1000.0)
    text = f"The RECD falls by {slope:.0f} dB from 500 to 250 Hz and lies {drop:.0f} dB low: sound leaks past the tip."
    action = "Reseat or lubricate the tip or mould, plug its vent, and measure the ear again."
    return Finding("leak", Severity.WARN, text, action, "babyhearing.org RECD page; slit leak, JOB F13", 125.0, 1000.0)


def _coupler_leak(shape: _Shape) -> Finding | None:
    """High only at low frequencies: the coupler half leaks."""
    low, mid, high = shape.mean(220, 290), shape.mean(440, 570), shape.mean(1400, 2600)
    if low is None or mid is None or high is None or low - high < 9.0 or low - mid < 4.0:
        return None
    if shape.kind is CouplerKind.CC04:
        return None  # the source's impedance does the same re the 0.4 cc coupler (PHYSICS 2)
    text = f"The RECD is {low - high:.0f} dB high at 250 Hz only: the coupler reading is low there, as with a leak."
    action = "Check the coupler's seal and O-ring, measure the coupler again."
    return Finding("coupler_leak", Severity.WARN, text, action, _JUDGEMENT, 125.0, 700.0)


def _adaptor(shape: _Shape) -> Finding | None:
    """Whether the other 2 cc adaptor's row fits clearly better (rows differ by 2-5.5 dB from 1.5 to 8 kHz)."""
    if shape.kind not in (CouplerKind.HA1, CouplerKind.HA2):
        return None
    other = CouplerKind.HA2 if shape.kind is CouplerKind.HA1 else CouplerKind.HA1
    inside = shape.usable & (shape.frequency_hz >= 500) & (shape.frequency_hz <= 6000)
    if inside.sum() < 30:
        return None
    moved = shape.off_db + adult_recd_row(shape.kind, shape.frequency_hz) - adult_recd_row(other, shape.frequency_hz)
    mine, theirs = float(shape.off_db[inside].std()), float(moved[inside].std())
    at_4k = shape.mean(3500, 4500)
    if at_4k is None or mine < 3.0 or theirs > 0.5 * mine or abs(at_4k) < 4.0:
        return None
    text = f"Around 4 kHz the RECD is {at_4k:+.1f} dB off and the {other.display_name} row fits it better."
    action = "Check which adaptor was on the coupler."
    return Finding("adaptor_mixed_up", Severity.WARN, text, action, "ISO 389-2 rows (HA-1 from memory)", 1500.0, 8000.0)


def _falling(shape: _Shape) -> Finding | None:
    """Falling above 3 kHz: the probe is shallow even if no notch could be measured (babyhearing.org)."""
    before, after = shape.mean(2000, 3200, shape.recd_db), shape.mean(4500, 6000, shape.recd_db)
    if before is None or after is None:
        return None
    expected = adult_recd_row(shape.kind, np.array([2500.0, 5200.0]))
    fall = (before - after) + float(expected[1] - expected[0])
    if fall < 10.0 or after > before - 3.0:
        return None
    text = f"The RECD falls by {before - after:.0f} dB from 2.5 to 5 kHz where it should rise."
    action = "Advance the tube by 3 to 5 mm under otoscopy and measure the ear again."
    return Finding("falling_high_frequencies", Severity.WARN, text, action, "babyhearing.org RECD page", 3000.0, 8000.0)


def _declared(shape: _Shape) -> Finding | None:
    """A middle ear that is not normal ties the RECD to its present state."""
    text = {
        "effusion": "Effusion is declared: the RECD may be up to 3.5 dB higher from 0.2 to 3 kHz than when it has gone.",
        "tube": "An open tube is declared: the RECD is about 15 dB lower from 125 to 750 Hz while it is open.",
        "perforation": "A perforation is declared: the RECD may be up to 8 dB lower at 0.5 to 1 kHz.",
    }.get(shape.middle_ear)
    if text is None:
        return None
    source = {
        "effusion": "Martin et al. 1996 (abstract read)",
        "tube": "Martin, Munro & Langer 1997 (abstract read)",
        "perforation": "ORL 61(6):345 (abstract read)",
    }[shape.middle_ear]
    action = "Measure again when the middle ear has changed; until then this RECD holds only for today's ear."
    return Finding("middle_ear_declared", Severity.INFO, text, action, source)


def _outside_range(shape: _Shape) -> Finding | None:
    """A third of an octave outside the range by more than 1 dB, with no more specific explanation."""
    inside = (shape.frequency_hz >= shape.range.from_hz) & (shape.frequency_hz <= shape.range.to_hz) & shape.usable
    excess = np.maximum(shape.recd_db - shape.range.high_db, shape.range.low_db - shape.recd_db) * inside
    smooth = np.convolve(excess, np.full(5, 0.2), mode="same")
    worst = int(np.argmax(smooth))
    if smooth[worst] <= 1.0:
        return None
    high = shape.recd_db[worst] > shape.range.high_db[worst]
    hz = float(shape.frequency_hz[worst])
    text = (
        f"Around {hz:.0f} Hz the RECD of {shape.recd_db[worst]:.1f} dB lies {excess[worst]:.1f} dB "
        f"{'above' if high else 'below'} the broad range for this age."
    )
    action = "Repeat the measurement with the tip or mould reseated; if it comes out the same, believe it and say so."
    return Finding("implausible", Severity.WARN, text, action, shape.range.source, hz / 1.12, hz * 1.12)
