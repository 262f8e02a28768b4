"""Signs that two ears, or their aids, were exchanged."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.core import Finding, Severity
from umbo.errors import GridMismatchError
from umbo.verdict._rms import rms_error
from umbo.verdict._rules import RULE_SOURCE, rule

if TYPE_CHECKING:
    from umbo.core import Difference, FloatArray

__all__ = ["mirror_parts", "swapped_ears"]


def mirror_parts(left_db: FloatArray, right_db: FloatArray) -> tuple[FloatArray, FloatArray]:
    r"""Split the deviations of two ears into what they share and what is mirrored.

    .. math:: s = \operatorname{rms}\frac{d_L + d_R}{2}, \quad m = \operatorname{rms}\frac{d_L - d_R}{2} \qquad (1)

    Two aids that each meet their own target, worn on the wrong sides, deviate by the difference of the targets, up on
    one ear and down on the other: then s is zero.

    Parameters
    ----------
    left_db, right_db : array (..., n)
        Deviations from target. [dB]

    Returns
    -------
    shared, mirrored : array (...)
        [dB]
    """
    return rms_error((left_db + right_db) / 2), rms_error((left_db - right_db) / 2)  # Eq. (1)


def swapped_ears(left: Difference, right: Difference) -> tuple[Finding, ...]:
    """Look for mirror-image deviations: what too much is on one ear is too little on the other.

    Parameters
    ----------
    left, right : Difference
        Deviations from target for one input, on one grid. [dB]

    Returns
    -------
    tuple of Finding
        One if the mirrored part is at least 5 dB and at least twice what the ears share; it proves nothing.

    Raises
    ------
    GridMismatchError
        If the two do not stand on one grid.
    """
    if not left.grid.same_frequencies(right.grid):
        raise GridMismatchError(
            "look for exchanged ears",
            f"the left deviation has {left.grid} and the right {right.grid}",
            "regrid one explicitly with curve.on(grid, method=...)",
        )
    used = left.states.is_usable & right.states.is_usable
    if np.count_nonzero(used) < _FEWEST:
        return ()
    shared, mirrored = (float(part) for part in mirror_parts(left.level_db[used], right.level_db[used]))
    if mirrored < rule("ears_exchanged") or shared > rule("ears_exchanged_common_share") * mirrored:
        return ()
    text = (
        f"The deviations of the two ears mirror each other ({mirrored:.1f} dB rms up on one and down on the other, "
        f"{shared:.1f} dB rms alike): the aids, their settings or the files may have been exchanged."
    )
    action = "Compare the serial number of each aid with its side, and each file with its ear, before anything else."
    return (Finding("ears_look_exchanged", Severity.WARN, text, action, RULE_SOURCE),)


#: Fewer bands mirror each other by chance (engineering judgement). [1]
_FEWEST = 3
