"""Equivalent input noise: the sound at the microphone that would make the noise the aid makes by itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.aid._conditions import Conditions, Feature, StimulusKind, Switch
from umbo.aid._constants import constant, constant_source
from umbo.aid._measure import Item, Measure, average_at
from umbo.aid._output import HFA_HZ
from umbo.core import BoolArray, Finding, FloatArray, Grid, Level, Plane, Severity, Transfer, Uncertainty, lies_within
from umbo.dsp import band_edges_hz
from umbo.errors import InputError, PlaneMismatchError

__all__ = ["InputNoise", "input_noise"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class InputNoise:
    """Noise of the aid, referred to its microphone.

    Parameters
    ----------
    total : Measure
        Equivalent input noise over the standard's band, by the HFA gain. [dB SPL]
    band_hz : tuple of float
        The band. [Hz]
    bands : Level
        Third octaves, each by its own gain, at the aid's microphone. [dB SPL]
    output_db_spl : float
        Noise in the coupler over the band. [dB SPL]
    findings : tuple of Finding
        What the settings say about it.
    """

    total: Measure
    band_hz: tuple[float, float]
    bands: Level
    output_db_spl: float
    findings: tuple[Finding, ...]


def input_noise(
    noise: Level, gain: Transfer, conditions: Conditions, *, gain_at_60: Transfer | None = None
) -> InputNoise:
    r"""Equivalent input noise from a recording of silence and the gain at 50 dB SPL input.

    .. math::

        L_\mathrm{EIN} = 10 \lg \sum_b 10^{L_{2,b}/10} - \overline{G}_{50}, \qquad
        L_{\mathrm{EIN},b} = L_{2,b} - G_{50}(f_b) \qquad (1)

    with the third-octave levels of the noise :math:`L_{2,b}` in the coupler from 200 Hz to 5 kHz (of the outermost
    ones the part that lies inside) and the HFA gain :math:`\overline{G}_{50}`; from memory of ANSI S3.22, its band
    uncertain.

    Parameters
    ----------
    noise : Level
        Noise in the coupler, third octaves. [dB SPL]
    gain : Transfer
        Gain at 50 dB SPL input, same settings. [dB]
    conditions : Conditions
        How the noise was taken: silence.
    gain_at_60 : Transfer, optional
        Gain at 60 dB SPL input: tells whether the gain still rises towards silence. [dB]

    Returns
    -------
    InputNoise
        With a warning where expansion or compression makes the gain in silence another one.

    Raises
    ------
    PlaneMismatchError
        If noise and gain end in different places.
    InputError
        If the gain has no point near 1000, 1600 and 2500 Hz, or no usable band of the noise lies in the range.

    Notes
    -----
    In silence a compressive aid has more gain than at 50 dB, which makes its noise look larger, and an expanding one
    less, which makes it look smaller. The noise of the coupler's microphone has to be taken out before
    (:func:`umbo.curves.steady_noise`).
    """
    if noise.plane != gain.end:
        raise PlaneMismatchError(
            "refer noise to the aid's microphone",
            f"the noise is {noise.plane.phrase} and the gain ends {gain.end.phrase}",
            "measure both in one coupler",
        )
    band = (constant("input_noise_from"), constant("input_noise_to"))
    output, output_uncertainty, doubt = _band_sum(noise, band)
    average, average_uncertainty, gain_doubt = average_at(gain, HFA_HZ)
    findings = _findings(conditions, gain, gain_at_60, average)
    expansion = conditions.settings.why_not(Feature.EXPANSION, Switch.OFF)
    total = Measure(
        item=Item.INPUT_NOISE,
        value=output - average,  # Eq. (1)
        uncertainty=output_uncertainty.plus(average_uncertainty, -1.0),
        conditions=conditions,
        doubt=expansion or doubt or gain_doubt,
        findings=findings,
    )
    return InputNoise(total=total, band_hz=band, bands=_by_band(noise, gain), output_db_spl=output, findings=findings)


def _band_sum(noise: Level, band_hz: tuple[float, float]) -> tuple[float, Uncertainty, str]:
    """Power sum over a range; each band's error weighs by its share of the power."""
    inside, part = _parts(noise.frequency_hz, band_hz)
    usable = inside & noise.states.is_usable
    if not usable.any():
        raise InputError(
            f"sum the noise from {band_hz[0]:g} to {band_hz[1]:g} Hz",
            "no band of it can be told from the noise of the coupler's microphone",
            "measure in a quieter box, with a quieter microphone, or in the 0.4 cc coupler",
        )
    power = part * 10 ** (noise.level_db / 10)
    lost = float(power[inside & ~usable].sum() / power[inside].sum())
    index = np.flatnonzero(inside)
    share = power[index] / power[index].sum()
    uncertainty = noise.uncertainty.mapped(index[np.newaxis, :], share[np.newaxis, :])
    doubt = "most of the noise is that of the coupler's microphone" if lost > 0.5 else ""
    return float(10 * np.log10(power[index].sum())), uncertainty, doubt


def _parts(frequency_hz: FloatArray, band_hz: tuple[float, float]) -> tuple[BoolArray, FloatArray]:
    """Which third octaves lie in a range, and how much of each; the noise is taken as even within a band. [1]"""
    low, high = band_edges_hz(frequency_hz, 3)
    inside = np.minimum(high, band_hz[1]) - np.maximum(low, band_hz[0])
    part = np.clip(inside / (high - low), 0.0, 1.0)
    return np.asarray(part > 0.0), np.asarray(part)


def _by_band(noise: Level, gain: Transfer) -> Level:
    """Third-octave noise at the aid's microphone."""
    first, last = gain.frequency_hz[[0, -1]]
    inside = lies_within(noise.frequency_hz, first, last)
    grid = Grid(noise.frequency_hz[inside], noise.grid.bandwidth)
    part = noise.on(grid, method="log_frequency", outside="refuse")
    own = gain.on(grid, method="log_frequency", outside="hold")
    back: Level = part + -own
    if back.plane != Plane.aid_microphone():
        raise PlaneMismatchError(
            "refer noise to the aid's microphone",
            f"the gain starts {own.start.phrase}",
            "use a gain from the aid's microphone",
        )
    return back


def _findings(
    conditions: Conditions, gain: Transfer, gain_at_60: Transfer | None, average_db: float
) -> tuple[Finding, ...]:
    out = []
    settings = conditions.settings
    if conditions.stimulus is not StimulusKind.SILENCE:
        text = f"The noise was read with {conditions.stimulus.phrase}, not in silence."
        out.append(_warn("noise_not_in_silence", text, "Record with nothing playing."))
    expansion = settings.why_not(Feature.EXPANSION, Switch.OFF)
    if expansion:
        text = (
            f"{_capital(expansion)}: in silence expansion turns the gain down, and the noise looks smaller than it is."
        )
        out.append(_warn("expansion_in_silence", text, "Switch expansion off and measure again."))
    if settings.state(Feature.COMPRESSION) is not Switch.OFF:
        text = "Compression was not off: in silence the gain is higher than at 50 dB, and the noise looks too large."
        out.append(_warn("compression_in_silence", text, "Set compression to its least effect and measure again."))
    if gain_at_60 is not None:
        rise = average_db - average_at(gain_at_60, HFA_HZ)[0]
        if rise >= constant("gain_rise_in_quiet"):
            text = f"The HFA gain rises by {rise:.1f} dB from 60 to 50 dB input: in silence it may be higher still."
            action = "Set compression to its least effect and measure again."
            source = constant_source("gain_rise_in_quiet")
            out.append(Finding("gain_rises_in_quiet", Severity.WARN, text, action, source, HFA_HZ[0], HFA_HZ[-1]))
    if gain.tags.stimulus is None and conditions.settings.state(Feature.NOISE_REDUCTION) is Switch.ON:
        out.append(_warn("noise_reduction_in_silence", "Noise reduction was on.", "Switch it off and measure again."))
    return tuple(out)


def _warn(code: str, text: str, action: str) -> Finding:
    return Finding(code, Severity.WARN, text, action, "common practice, no source")


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]
