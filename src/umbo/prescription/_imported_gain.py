"""An insertion gain made by another program, as a target at the eardrum."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.core import Bandwidth, Ear, Grid, Plane, Tags, Transfer
from umbo.prescription._conversions import aided_level_of, require_adult_ear
from umbo.prescription._targets import Method, Target, speech_in_field

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["imported_gain_target"]


def imported_gain_target(
    frequency_hz: Sequence[float],
    gain_db: Sequence[float],
    *,
    method: Method,
    ear: Ear,
    input_db_spl: float,
    reug: Transfer,
    age_months: float | None,
) -> Target:
    """Wanted level at the eardrum from an imported insertion gain: speech + unaided gain + insertion gain.

    Parameters
    ----------
    frequency_hz : sequence of float (n,)
        Frequencies. [Hz]
    gain_db : sequence of float (n,)
        Insertion gain, one per frequency. [dB]
    method : Method
        What made it, with version and options.
    ear : Ear
        Side.
    input_db_spl : float
        Overall level of the speech it is for. [dB SPL]
    reug : Transfer
        Real-ear unaided gain that suits the client's age: free field to eardrum, around these frequencies. [dB]
    age_months : float or None
        The client's age. [month]

    Returns
    -------
    Target
        At the eardrum, with the uncertainty of the unaided gain. [dB SPL]

    Raises
    ------
    NotPossibleHereError
        For a child under seven years, or where the age is not known: a child is judged by the aided level.
    """
    require_adult_ear(age_months)
    tags = Tags(quantity="insertion gain", ear=ear, stimulus=None, statistic=None, coupling=None, source=None)
    lift = Transfer.given(
        Grid(np.asarray(frequency_hz, dtype=np.float64), Bandwidth.THIRD_OCTAVE),
        list(gain_db),
        start=Plane.eardrum(),
        end=Plane.eardrum(),
        tags=tags,
        source=f"imported: {method}",
    )
    speech = speech_in_field(lift.frequency_hz, input_db_spl, ear=ear)
    level = aided_level_of(lift, speech, reug).named(f"target, speech {input_db_spl:g} dB")
    return Target(level, method, input_db_spl)
