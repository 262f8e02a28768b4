"""The parameters of a fit as a person reads them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from umbo.core import FloatArray
from umbo.diagnosis._diagnosis import Estimate
from umbo.diagnosis._parameters import Parameter
from umbo.diagnosis._priors import Scaled

__all__ = ["estimates_of"]

#: What is told, in which unit, and how many of these make one of the model's.
_TOLD: dict[Parameter, tuple[str, str, float]] = {
    Parameter.CANAL_LENGTH_M: ("length of the canal beyond the tip", "mm", 1e3),
    Parameter.CANAL_RADIUS_M: ("radius of the canal", "mm", 1e3),
    Parameter.PROBE_TO_DRUM_M: ("distance from probe to eardrum", "mm", 1e3),
    Parameter.DRUM_SCALE_DB: ("impedance of the drum against the mean ear", "dB", 1.0),
    Parameter.LEAK_HEIGHT_M: ("height of the leak", "µm", 1e6),
    Parameter.COUPLER_LEAK_HEIGHT_M: ("height of the leak at the coupler", "µm", 1e6),
    Parameter.HOLE_RADIUS_M: ("radius of the hole in the drum", "mm", 1e3),
    Parameter.EFFUSION_M3: ("air volume as stiff as the fluid", "cm³", 1e6),
    Parameter.ATTENUATION_DB: ("loss of the probe tube", "dB", 1.0),
    Parameter.BORE_DEPTH_M: ("depth of the probe inside the bore", "mm", 1e3),
    Parameter.DRIFT_DB: ("change of the source", "dB", 1.0),
}


def estimates_of(
    free: Sequence[Parameter], scaled: Scaled, hypothesis: int, z: FloatArray, covariance: FloatArray
) -> tuple[Estimate, ...]:
    """Estimates of one fit.

    Parameters
    ----------
    free : sequence of Parameter
        Its free parameters, in the order of ``z``.
    scaled : Scaled
        Priors.
    hypothesis : int
        Its row in them. [1]
    z : array (k,)
        Scaled parameters. [1]
    covariance : array (k, k)
        Of them. [1]

    Returns
    -------
    tuple of Estimate
        Those a person can use.
    """
    u = np.sqrt(np.diag(covariance))
    places = np.stack([z, z - u, z + u])
    values = scaled.values(places, np.full(3, hypothesis))
    out = []
    for parameter in free:
        if parameter in _TOLD:
            name, unit, factor = _TOLD[parameter]
            value, low, high = factor * values[:, parameter]
            out.append(Estimate(name, float(value), float(low), float(high), unit))
    return tuple(out)
