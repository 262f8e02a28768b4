"""Which one extra measurement would tell two explanations apart."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from umbo.core import FloatArray, lies_within
from umbo.diagnosis._fit_grid import FIT_HZ
from umbo.diagnosis._forward import Predicted
from umbo.diagnosis._parameters import ABSENT, Parameter
from umbo.diagnosis._words import words_of

__all__ = ["Deciding", "deciding_measurement"]

#: How far the probe is advanced, and how near to the drum at most (assumed). [m]
_ADVANCE_M, _NEAREST_M = 4e-3, 1e-3

#: A difference smaller than this is not seen between two measurements (assumed: insertions repeat within 2 dB, common
#: practice, no source). [dB]
_SEEN_DB = 2.0

_Change = Callable[[FloatArray], None]


def _advance(values: FloatArray) -> None:
    values[Parameter.PROBE_TO_DRUM_M] = max(values[Parameter.PROBE_TO_DRUM_M] - _ADVANCE_M, _NEAREST_M)
    values[Parameter.BORE_DEPTH_M] = 0.0


def _off(*parameters: Parameter) -> _Change:
    def change(values: FloatArray) -> None:
        for parameter in parameters:
            values[parameter] = ABSENT.get(parameter, 0.0)

    return change


#: Repeated measurements that would change under one explanation and not under another: what is done, and what it does
#: to the model.
_REPEATS: tuple[tuple[str, _Change], ...] = (
    ("measure the ear again with the probe tube 4 mm deeper, under otoscopy", _advance),
    ("measure the ear again with the tip reseated and sealed", _off(Parameter.LEAK_HEIGHT_M)),
    ("measure the coupler again with its joints sealed", _off(Parameter.COUPLER_LEAK_HEIGHT_M)),
    (
        "measure the ear again with a new, calibrated probe tube",
        _off(Parameter.ATTENUATION_DB, Parameter.CORNER_HZ, Parameter.PROBE_TUBE_LENGTH_M),
    ),
    ("measure coupler and ear again right after each other", _off(Parameter.DRIFT_DB)),
)

#: What tells a cause that no repeat changes.
_LOOKS = {
    "open_middle_ear": "take a tympanogram with its ear-canal volume",
    "effusion": "take a tympanogram",
    "wrong_age": "check the date of birth",
    "wrong_coupler": "measure again on a coupler whose kind has been checked",
    "wrong_adaptor": "measure again with an adaptor that has been checked",
}


@dataclass(frozen=True, slots=True)
class Deciding:
    """An extra measurement, and by how much its outcome would differ.

    Parameters
    ----------
    action : str
        What to do, as an instruction without capital and full stop.
    difference_db : float or None
        Largest difference from 250 Hz to 8 kHz between what the two explanations predict; None for a look. [dB]
    """

    action: str
    difference_db: float | None


def deciding_measurement(
    names: tuple[str, str], values: tuple[FloatArray, FloatArray], predict: Callable[[int, FloatArray], Predicted]
) -> Deciding:
    """Choose the measurement whose outcome differs most between two explanations.

    Parameters
    ----------
    names : tuple of str
        The two explanations.
    values : tuple of array (parameters,)
        Their parameters.
    predict : callable
        Number of the explanation (0 or 1) and parameter sets (rows, parameters) to predictions.

    Returns
    -------
    Deciding
        A look where no repeated measurement would differ by more than can be seen.
    """
    best = Deciding("", 0.0)
    inside = lies_within(FIT_HZ, 250.0, 8000.0)
    for action, change in _REPEATS:
        moved = []
        for number, own in enumerate(values):
            after = own.copy()
            change(after)
            at = predict(number, np.stack([own, after]))
            difference = at.ear_db - at.coupler_db
            moved.append((difference[1] - difference[0])[inside])
        apart = float(np.abs(moved[0] - moved[1]).max())
        if apart > (best.difference_db or 0.0):
            best = Deciding(action, apart)
    if (best.difference_db or 0.0) >= _SEEN_DB:
        return best
    for cause in set(names[0].split("+")) ^ set(names[1].split("+")):
        if cause in _LOOKS:
            return Deciding(_LOOKS[cause], None)
    both = sorted(set("+".join(names).split("+")) - {"ok"})
    action = words_of(both[0]).action if both else "Measure again."
    return Deciding(action[0].lower() + action[1:].rstrip("."), None)
