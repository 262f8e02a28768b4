"""The parameters of the model of a measurement, in the order of its arrays."""

from __future__ import annotations

from enum import IntEnum
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from umbo.core import FloatArray

__all__ = ["ABSENT", "Parameter", "absent"]


class Parameter(IntEnum):
    """Columns of a parameter array; every name of a quantity ends in its unit."""

    CANAL_LENGTH_M = 0
    CANAL_RADIUS_M = 1
    DRUM_RADIUS_RATIO = 2
    TIP_RADIUS_RATIO = 3
    DRUM_SCALE_DB = 4
    DRUM_MIX = 5
    INFANT_SHARE = 6
    WALL_MODULUS_PA = 7
    PROBE_TO_DRUM_M = 8
    TUBE_LENGTH_RATIO = 9
    FRONT_VOLUME_RATIO = 10
    DAMPER_RATIO = 11
    LEAK_HEIGHT_M = 12
    COUPLER_LEAK_HEIGHT_M = 13
    HOLE_RADIUS_M = 14
    EFFUSION_M3 = 15
    ATTENUATION_DB = 16
    CORNER_HZ = 17
    BORE_DEPTH_M = 18
    DRIFT_DB = 19
    PROBE_TUBE_LENGTH_M = 20
    RECEIVER_VOLUME_RATIO = 21

    @property
    def word(self) -> str:
        """Name of its rows in the table of priors."""
        return self.name.lower()


#: Values that leave an element out of the model. An infinite stiffness of the wall is a rigid wall, an infinite volume
#: in series with the drum is no effusion, an infinite corner no low-pass.
ABSENT: dict[Parameter, float] = {
    Parameter.DRUM_RADIUS_RATIO: 1.0,
    Parameter.TIP_RADIUS_RATIO: 1.0,
    Parameter.WALL_MODULUS_PA: np.inf,
    Parameter.TUBE_LENGTH_RATIO: 1.0,
    Parameter.FRONT_VOLUME_RATIO: 1.0,
    Parameter.DAMPER_RATIO: 1.0,
    Parameter.RECEIVER_VOLUME_RATIO: 1.0,
    Parameter.EFFUSION_M3: np.inf,
    Parameter.CORNER_HZ: np.inf,
}


def absent(rows: int) -> FloatArray:
    """Parameter array with every optional element left out; the canal's size has still to be set.

    Parameters
    ----------
    rows : int
        Number of parameter sets. [1]

    Returns
    -------
    array (rows, parameters)
        In the order of :class:`Parameter`.
    """
    values = np.zeros((rows, len(Parameter)))
    for parameter, value in ABSENT.items():
        values[:, parameter] = value
    return values
