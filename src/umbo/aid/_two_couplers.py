"""One aid in a 2 cc and in a 0.4 cc coupler: both curves, each to its own end, never joined."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo import refdata
from umbo.core import BoolArray, CouplerKind, Finding, Level, Severity, Transfer
from umbo.curves import coupler_range
from umbo.errors import InputError

__all__ = ["TwoCouplerResponse", "two_coupler_response"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class TwoCouplerResponse:
    """The same aid, set alike, in two couplers.

    Parameters
    ----------
    large : Level
        In the 2 cc coupler; points above 8 kHz are marked and do not count. [dB SPL]
    small : Level
        In the 0.4 cc coupler, to 16 kHz. [dB SPL]
    step : Transfer
        0.4 cc minus 2 cc, at every frequency; it may be relied on only where both may. [dB]
    both : array (n,), bool
        Where both may be relied on.
    large_end_hz, small_end_hz : float
        Where each ends by its standard. [Hz]
    finding : Finding
        What the two curves are and are not.
    """

    large: Level
    small: Level
    step: Transfer
    both: BoolArray
    large_end_hz: float
    small_end_hz: float
    finding: Finding


def two_coupler_response(large: Level, small: Level) -> TwoCouplerResponse:
    """Put a 2 cc and a 0.4 cc response side by side.

    A 2 cc coupler is defined up to 8 kHz (IEC 60318-5); a 0.4 cc coupler up to 16 kHz (IEC 60318-8, IEC TS 62886:
    abstracts read). Their levels differ by about 14 dB for an ideal source, and by some decibels less or more for a
    real one, so a curve that starts in one and goes on in the other would show a step of the couplers as the aid's.

    Parameters
    ----------
    large : Level
        In a 2 cc coupler. [dB SPL]
    small : Level
        In the 0.4 cc coupler: same grid, same stimulus, same settings. [dB SPL]

    Returns
    -------
    TwoCouplerResponse
        Both curves and their difference.

    Raises
    ------
    InputError
        If the couplers are not these two.
    CombinationError
        If grids, ears, stimuli or couplings differ.
    """
    kinds = (large.plane.detail, small.plane.detail)
    if not (isinstance(kinds[0], CouplerKind) and kinds[0].is_2cc) or kinds[1] is not CouplerKind.CC04:
        raise InputError(
            "compare a 2 cc with a 0.4 cc coupler",
            f"the levels are {large.plane.phrase} and {small.plane.phrase}",
            "give the 2 cc reading first and the 0.4 cc reading second",
        )
    mark, limit = coupler_range(kinds[0], large.grid)
    ended = large.marked(mark.state, mark.where, mark.reason) if mark.where.any() else large
    small_mark, small_limit = coupler_range(CouplerKind.CC04, small.grid)
    other = small.marked(small_mark.state, small_mark.where, small_mark.reason) if small_mark.where.any() else small
    step = (other - ended).named("0.4 cc minus 2 cc")
    both = np.asarray(ended.states.is_usable & other.states.is_usable)
    source = refdata.table("hearing_aid_test", source="iec-62886-2016")
    mean = f"{float(step.level_db[both].mean()):.1f} dB on average" if both.any() else "nowhere comparable"
    text = (
        f"Above {limit.max_hz / 1000:g} kHz only the 0.4 cc coupler shows the aid. Where both do, it reads higher by "
        f"{mean}; that step belongs to the couplers and the receiver's impedance, so the curves are not joined."
    )
    action = "Read each curve to its own end, and convert between couplers only with the receiver's impedance."
    finding = Finding(
        "two_couplers", Severity.INFO, text, action, f"IEC TS 62886 ({source.text_at('range', 'status')})",
        limit.max_hz, small_limit.max_hz,
    )  # fmt: skip
    return TwoCouplerResponse(
        large=ended, small=other, step=step, both=both, large_end_hz=limit.max_hz, small_end_hz=small_limit.max_hz,
        finding=finding,
    )  # fmt: skip
