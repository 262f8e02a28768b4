"""How far a measurement lies from the model when nothing is wrong: a covariance over frequency."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.core import FloatArray

__all__ = ["ErrorModel", "covariance"]


@dataclass(frozen=True, slots=True)
class ErrorModel:
    """Sizes of the parts of the error, as standard deviations (engineering judgement, all of them).

    What the probabilities that follow from them are worth is counted on simulated ears (docs/diagnosis-confusion.md).

    Parameters
    ----------
    gain_db : float
        Gain of the source, common to both readings. [dB]
    source_db : float
        Spectrum of the source that is not known, common to both readings. [dB]
    calibration_db : float
        One microphone against the other. [dB]
    ear_db, coupler_db : tuple of float
        Model of the ear and of the coupler against reality, at the frequencies of :data:`KNOTS_HZ`. [dB]
    octaves : float
        Over how many octaves these are alike. [1]
    noise_alike : float
        What the noise of neighbouring points has in common, over what each has by itself: nobody knows that a stated
        noise is independent from point to point. [1]
    """

    gain_db: float = 12.0
    source_db: float = 0.3
    calibration_db: float = 0.6
    ear_db: tuple[float, ...] = (0.55, 0.5, 0.55, 0.8, 1.1, 1.6, 2.5)
    coupler_db: tuple[float, ...] = (0.4, 0.4, 0.5, 0.55, 0.6, 0.8, 1.5)
    octaves: float = 0.4
    noise_alike: float = 0.8


#: Frequencies of the sizes of an :class:`ErrorModel`. [Hz]
KNOTS_HZ = (125.0, 500.0, 1000.0, 3000.0, 6000.0, 10000.0, 16000.0)


def covariance(
    frequency_hz: FloatArray, model: ErrorModel, coupler_noise_db: FloatArray, ear_noise_db: FloatArray
) -> FloatArray:
    r"""Covariance of [coupler, ear] readings about the model.

    Parts alike over frequency have :math:`\sigma(f)\,\sigma(f')\,e^{-\frac12 (\lg_2 (f/f')/\ell)^2}`.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies. [Hz]
    model : ErrorModel
        Sizes.
    coupler_noise_db, ear_noise_db : array (n,)
        Standard uncertainty of each point. [dB]

    Returns
    -------
    array (2n, 2n)
        Covariance. [dB²]
    """
    n = frequency_hz.size
    x = np.log2(frequency_hz)
    alike = np.exp(-0.5 * ((x[:, np.newaxis] - x) / model.octaves) ** 2)
    ear, coupler = (np.interp(x, np.log2(KNOTS_HZ), sizes) for sizes in (model.ear_db, model.coupler_db))
    common = model.gain_db**2 + model.source_db**2 * alike
    out = np.empty((2, n, 2, n))
    out[0, :, 1, :] = out[1, :, 0, :] = common
    out[0, :, 0, :] = common + np.outer(coupler, coupler) * alike
    out[1, :, 1, :] = common + np.outer(ear, ear) * alike + model.calibration_db**2
    whole = out.reshape(2 * n, 2 * n)
    noise = np.concatenate([coupler_noise_db, ear_noise_db])
    spread = np.kron(np.eye(2), model.noise_alike**2 * alike) + np.eye(2 * n)
    return np.asarray(whole + np.outer(noise, noise) * spread)
