"""What a change would do, before anybody makes it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from umbo.core import Origin
from umbo.errors import InputError
from umbo.verdict._fit import judgements_of
from umbo.verdict._judgement import Judgement
from umbo.verdict._rms import rms_deviation
from umbo.verdict._wording import frequency_words

if TYPE_CHECKING:
    from umbo.core import Difference, FloatArray
    from umbo.verdict._guidance import Guidance

__all__ = ["WhatIf", "what_if"]

_TRIED = "a change that is tried, not measured"


@dataclass(frozen=True, slots=True, eq=False)
class WhatIf:
    """A change and what it would lead to, if the aid did exactly that.

    Parameters
    ----------
    change_db : array (n,)
        The change. [dB]
    deviation : Difference
        Predicted deviation from target. [dB]
    judgements : tuple of Judgement
        Predicted, by the criteria of the guidance; each sentence says so.
    rms_before_db, rms_after_db : float or None
        Rms deviation at 0.5, 1, 2 and 4 kHz, where it can be told. [dB]
    cautions : tuple of str
        Sentences about the maximum output.
    """

    change_db: FloatArray
    deviation: Difference
    judgements: tuple[Judgement, ...]
    rms_before_db: float | None
    rms_after_db: float | None
    cautions: tuple[str, ...]


def what_if(
    deviation: Difference, change_db: FloatArray, name: str, *, guidance: Guidance, margin_db: FloatArray | None
) -> WhatIf:
    """Predict deviation, rms and judgements after a change of the output.

    The uncertainty stays as it is: a change is added as if it were exact. How an aid, its compression and the loop from
    receiver to microphone answer is not known before it is measured.

    Parameters
    ----------
    deviation : Difference
        Measured minus target. [dB]
    change_db : array (n,)
        What is added at each frequency. [dB]
    name : str
        Which input, for the identifiers: "65".
    guidance : Guidance
        Whose criteria.
    margin_db : array (n,) or None
        Room up to the limit of the maximum output (see :func:`output_margin`); NaN or none where it is not known. [dB]

    Returns
    -------
    WhatIf
        With a caution where the change would use up more room than there is, or the room is not known.

    Raises
    ------
    InputError
        If there is not one finite change, or not one margin, per frequency.
    """
    n = deviation.grid.size
    change = np.asarray(change_db, dtype=np.float64)
    margin = np.full(n, np.nan) if margin_db is None else np.asarray(margin_db, dtype=np.float64)
    if change.shape != (n,) or margin.shape != (n,) or not np.isfinite(change).all():
        raise InputError(
            "predict what a change would do",
            f"there are {n} frequencies, {change.size} changes and {margin.size} margins, or a change is not finite",
            "give one finite change and one margin per frequency",
        )
    after = _moved(deviation, change)
    judgements = tuple(_as_predicted(judgement) for judgement in judgements_of(after, name, guidance))
    return WhatIf(change, after, judgements, _rms(deviation), _rms(after), _cautions(deviation, change, margin))


def _moved(deviation: Difference, change: FloatArray) -> Difference:
    hz, values = deviation.frequency_hz, deviation.level_db + change
    parts = ((1, deviation.origin), (1, Origin("change", _TRIED, "dB", hz, change)))
    quantity = f"predicted {deviation.tags.quantity}"
    origin = Origin(quantity, "sum", "dB", hz, values, parts)
    return replace(deviation, level_db=values, tags=replace(deviation.tags, quantity=quantity), origin=origin)


def _as_predicted(judgement: Judgement) -> Judgement:
    sentence = f"Predicted, not measured: {judgement.sentence[0].lower()}{judgement.sentence[1:]}"
    return replace(judgement, sentence=sentence)


def _rms(deviation: Difference) -> float | None:
    return rms_deviation(deviation, "").value_db


def _cautions(deviation: Difference, change: FloatArray, margin: FloatArray) -> tuple[str, ...]:
    raised = change > 0
    hz = deviation.frequency_hz
    out = []
    if (over := raised & (change > margin)).any():
        out.append(
            f"At {frequency_words(hz[over])} the maximum output, if it rises with the gain, would pass its limit: do "
            "not try this change before the maximum output is lowered."
        )
    if (unknown := raised & np.isnan(margin)).any():
        out.append(
            f"At {frequency_words(hz[unknown])} it is not known how near the maximum output is to its limit: measure "
            "it before trying this change."
        )
    if (already := ~raised & (margin < 0)).any():
        out.append(
            f"At {frequency_words(hz[already])} the maximum output is not shown to stay below its limit even now: "
            "lower it first."
        )
    return tuple(out)
