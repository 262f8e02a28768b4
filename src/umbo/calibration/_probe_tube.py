"""Probe-tube correction: what the tube does to the sound on its way to the microphone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.core import Component, FloatArray, lies_within
from umbo.errors import CalibrationError

__all__ = ["ProbeTubeResponse", "probe_tube_response"]


@dataclass(frozen=True, slots=True, eq=False)
class ProbeTubeResponse:
    """Level at the probe microphone minus level at the tube's tip.

    Parameters
    ----------
    frequency_hz, response_db : array (n,)
        Response of the tube. [Hz], [dB]
    u_db : float
        Standard uncertainty. [dB]
    name : str
        Name of the probe chain: the identity of its error.
    """

    frequency_hz: FloatArray
    response_db: FloatArray
    u_db: float
    name: str

    def at(self, frequency_hz: FloatArray) -> FloatArray:
        """Response at other frequencies, log-interpolated.

        Raises
        ------
        CalibrationError
            If a frequency lies outside the calibrated range.
        """
        low, high = self.frequency_hz[0], self.frequency_hz[-1]
        outside = ~lies_within(frequency_hz, low, high)
        if outside.any():
            raise CalibrationError(
                f"correct the probe tube of '{self.name}'",
                f"{frequency_hz[outside][0]:.0f} Hz is wanted and the tube was calibrated from {low:.0f} to "
                f"{high:.0f} Hz",
                "calibrate the tube over the whole range",
            )
        return np.interp(np.log(frequency_hz), np.log(self.frequency_hz), self.response_db)

    def component(self) -> Component:
        """The error of the tube's calibration, with the chain's identity."""
        u = np.array([self.u_db])
        return Component(f"probe_tube:{self.name}", f"probe tube of {self.name}", u, "full", "B", "tube calibration")


def probe_tube_response(
    frequency_hz: FloatArray,
    probe_level_db: FloatArray,
    reference_level_db: FloatArray,
    *,
    name: str,
    u_db: float,
) -> ProbeTubeResponse:
    r"""Calibrate a probe tube with its tip held at the reference microphone.

    .. math:: R(f) = L_{probe}(f) - L_{ref}(f)

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies. [Hz]
    probe_level_db, reference_level_db : array (n,)
        Readings of the two microphones in the same sound. [dB SPL]
    name : str
        Name of the probe chain.
    u_db : float
        Standard uncertainty of the placement. [dB]
    """
    if not (frequency_hz.shape == probe_level_db.shape == reference_level_db.shape):
        raise CalibrationError(
            f"calibrate the probe tube of '{name}'",
            f"the readings have {probe_level_db.size} and {reference_level_db.size} points on "
            f"{frequency_hz.size} frequencies",
            "evaluate both on one grid",
        )
    return ProbeTubeResponse(frequency_hz, probe_level_db - reference_level_db, u_db, name)
