"""Ear and coupler recordings exchanged: the RECD upside down."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from umbo.core import Transfer
    from umbo.ear._expected import PlausibleRange

__all__ = ["looks_swapped"]

#: What counts as upside down between 0.5 and 4 kHz (engineering judgement): the RECD misses the middle of its range by
#: this much on average, its opposite by no more than the second, in a shape alike within the third. Over 60 virtual
#: ears 95 % of exchanged readings lie within 3.8 and 1.9 dB, and 95 % of blocked probes beyond 1.9 dB. [dB]
_MISSES_DB, _FITS_DB, _ALIKE_DB = 8.0, 4.5, 1.9

#: Fewest usable points a shape is read from (engineering judgement). [1]
_FEWEST_POINTS = 12


def looks_swapped(recd: Transfer, plausible: PlausibleRange | None) -> bool:
    """Whether the ear reading was taken for the coupler's and the other way round.

    Exchanged readings give the RECD with the opposite sign. It then fits the plausible range in height and in shape,
    and as it stands it does not; a blocked probe is as low but has another shape.

    Parameters
    ----------
    recd : Transfer
        From a coupler to the ear. [dB]
    plausible : PlausibleRange or None
        Its plausible range; without one nothing can be said.
    """
    if plausible is None:
        return False
    hz = recd.frequency_hz
    inside = recd.states.is_usable & (hz >= 500) & (hz <= 4000)
    if inside.sum() < _FEWEST_POINTS:
        return False
    middle, measured = plausible.middle_db[inside], recd.level_db[inside]
    as_it_is, upside_down = measured - middle, -measured - middle
    misses = float(np.sqrt(np.mean(as_it_is**2))) > _MISSES_DB
    fits = abs(float(upside_down.mean())) < _FITS_DB and float(upside_down.std()) < _ALIKE_DB
    return misses and fits and float(upside_down.std()) < float(as_it_is.std())
