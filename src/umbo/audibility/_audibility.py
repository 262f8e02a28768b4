"""The speech intelligibility index of speech at one eardrum, with uncertainty and with what is not known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.audibility._ansi_s3_5_1997 import (
    NO_NOISE_DB,
    band_audibility,
    level_distortion_factor,
    speech_intelligibility_index,
)
from umbo.audibility._draws import Draws, coverage_interval
from umbo.audibility._equivalent import STANDARD, EquivalentSound, IndexMethod, equivalent_sound, equivalent_threshold
from umbo.audibility._lowering import require_no_lowering
from umbo.core import BoolArray, Ear, FloatArray, Level, PointState, States, lies_within
from umbo.errors import EarMismatchError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = ["OPEN_INDEX", "Audibility", "audibility"]

#: From this distance of its bounds on an index is open: half of its last printed digit. [1]
OPEN_INDEX = 0.005

_ASKED = "compute a speech intelligibility index"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Audibility:
    """How much of the speech reaches one ear, by the speech intelligibility index.

    The index is a measure of audibility and not a percentage of words. A band that is not known counts as silent in
    ``sii`` and nowhere else is anything assumed about it: ``bounds`` says what it could be.

    Parameters
    ----------
    ear : Ear or None
        Side.
    method : IndexMethod
        Which variant of the index.
    frequency_hz : array (bands,)
        Band centres. [Hz]
    importance : array (bands,)
        Band importances. [1]
    audibility : array (bands,)
        Audibility that is counted, 0 to 1: 0 in a band that is not known or whose threshold is a bound. [1]
    audibility_most : array (bands,)
        Audibility each band can have at most: the same where it is known but for masking by bands that
        are not, 1 where nothing is known. [1]
    distortion : array (bands,)
        Level distortion factor contained in both, 0 to 1; 1 where the method leaves it out. [1]
    is_known : array (bands,), bool
        Bands whose audibility is known.
    is_bound : array (bands,), bool
        Bands whose threshold had no response: their audibility is at most ``audibility_most``.
    states : States
        Every state and reason of speech, threshold and noise in the bands.
    sii : float
        Index, 0 to 1. [1]
    u_sii : float
        Its standard uncertainty. [1]
    interval : (float, float)
        Coverage interval of 95 %, 2.5 to 97.5 % of the draws. [1]
    bounds : (float, float)
        Index with the bands that are not known silent, and with all that they can have. [1]
    draws : Draws
        How uncertainty was simulated.
    """

    ear: Ear | None
    method: IndexMethod
    frequency_hz: FloatArray
    importance: FloatArray
    audibility: FloatArray
    audibility_most: FloatArray
    distortion: FloatArray
    is_known: BoolArray
    is_bound: BoolArray
    states: States
    sii: float
    u_sii: float
    interval: tuple[float, float]
    bounds: tuple[float, float]
    draws: Draws

    @property
    def contribution(self) -> FloatArray:
        """What each band adds to the index. Shape (bands,). [1]"""
        return np.asarray(self.importance * self.audibility)

    @property
    def unknown_hz(self) -> FloatArray:
        """Centres of the bands of which nothing is known. Shape (k,). [Hz]"""
        return np.asarray(self.frequency_hz[~self.is_known & ~self.is_bound])

    @property
    def sentence(self) -> str:
        """The result in one sentence, with its limits."""
        low, high = self.interval
        text = f"Speech intelligibility index {self.sii:.2f} (95 %: {low:.2f} to {high:.2f}; {self.method.phrase})"
        if self.bounds[1] - self.bounds[0] > OPEN_INDEX:
            open_hz = self.frequency_hz[~self.is_known & (self.audibility_most > 0)]
            named = ", ".join(f"{hz:g}" for hz in open_hz)
            text += f"; the bands at {named} Hz are not known, and with them it could be up to {self.bounds[1]:.2f}"
        return f"{text}. It measures audibility and is no percentage of words."


def audibility(
    speech: Level,
    threshold: Level,
    *,
    no_response: ArrayLike,
    is_lowering_on: bool,
    trusted_max_hz: float | None,
    noise: Level | None = None,
    method: IndexMethod = STANDARD,
    draws: Draws | None = None,
) -> Audibility:
    r"""Speech intelligibility index of speech at the eardrum, aided or unaided, for one ear.

    Levels at the eardrum become equivalent free-field spectrum levels, thresholds become hearing threshold levels:

    .. math:: E_i = L_i - T_{\mathrm{ff} \to \mathrm{ed},i} - 10 \lg \Delta f_i, \qquad
              T'_i = T_{\mathrm{ed},i} - \mathrm{MAP}_i

    Uncertainty is propagated by Monte Carlo: one cause of error that acts on speech, threshold and noise is drawn once
    for all of them.

    Parameters
    ----------
    speech : Level
        Third-octave rms levels of speech at the eardrum. [dB SPL]
    threshold : Level
        Thresholds of tones at the eardrum. [dB SPL]
    no_response : array-like (n,), bool
        Which thresholds are bounds: there was no response at that level.
    is_lowering_on : bool
        Whether the aid lowers frequencies: then the index is refused.
    trusted_max_hz : float or None
        Bands whose centre lies above are not known; None where the states of the points say all. [Hz]
    noise : Level, optional
        Third-octave rms levels of noise at the eardrum, not contained in ``speech``. [dB SPL]
    method : IndexMethod
        Which variant of the index.
    draws : Draws, optional
        Number and seed of the draws; 10,000 when left out.

    Returns
    -------
    Audibility
        The index with its uncertainty, and what is known band by band.

    Raises
    ------
    NotPossibleHereError
        If frequency lowering is on.
    PlaneMismatchError, BandwidthMismatchError, StatisticMismatchError, EarMismatchError
        If the levels are not what is wanted.
    InputError
        If there is not one answer about response per threshold.

    Notes
    -----
    Where speech is not known its value as read still masks the bands above it; in the upper bound it masks nothing.

    References
    ----------
    ANSI S3.5-1997, clause 4 (one ear); JCGM 101:2008.
    """
    require_no_lowering(is_on=is_lowering_on)
    ear = _ear_of(speech, threshold, *(() if noise is None else (noise,)))
    heard = equivalent_sound(speech, method, _ASKED)
    limit = equivalent_threshold(threshold, no_response, method, _ASKED)
    disturbing = None if noise is None else equivalent_sound(noise, method, _ASKED)
    states = _joined(heard, limit, disturbing, method, trusted_max_hz)
    sure = heard.is_known if disturbing is None else heard.is_known & disturbing.is_known
    if trusted_max_hz is not None:
        sure = sure & lies_within(method.bands.frequency_hz, 0.0, trusted_max_hz)
    known, bound = sure & limit.is_known, sure & limit.is_bound
    simulation = Draws() if draws is None else draws
    least, most = _band_bounds(heard, limit, disturbing, known, bound, method)
    values = _drawn(heard, limit, disturbing, np.where(known, method.importance, 0.0), method, simulation)
    return Audibility(
        ear=ear,
        method=method,
        frequency_hz=method.bands.frequency_hz,
        importance=method.importance,
        audibility=least,
        audibility_most=most,
        distortion=_distortion(heard, method),
        is_known=known,
        is_bound=bound,
        states=states,
        sii=_index(least, method),
        u_sii=float(np.std(values, ddof=1)),
        interval=coverage_interval(values),
        bounds=(_index(least, method), _index(most, method)),
        draws=simulation,
    )


def _index(band: FloatArray, method: IndexMethod) -> float:
    return min(float(np.sum(method.importance * band)), 1.0)


def _distortion(speech: EquivalentSound, method: IndexMethod) -> FloatArray:
    if not method.level_distortion:
        return np.ones(method.bands.size)
    return level_distortion_factor(speech.level_db, method.procedure)


def _noise_db(noise: EquivalentSound | None, method: IndexMethod) -> FloatArray:
    return np.full(method.bands.size, NO_NOISE_DB) if noise is None else noise.level_db


def _band_bounds(
    speech: EquivalentSound,
    threshold: EquivalentSound,
    noise: EquivalentSound | None,
    known: BoolArray,
    bound: BoolArray,
    method: IndexMethod,
) -> tuple[FloatArray, FloatArray]:
    """Audibility that is counted, and the most that each band can have."""
    silent = np.where(speech.is_known, speech.level_db, NO_NOISE_DB)
    as_read, unmasked = band_audibility(
        np.stack([speech.level_db, silent]),
        _noise_db(noise, method),
        threshold.level_db,
        method.procedure,
        level_distortion=method.level_distortion,
    )
    return np.where(known, as_read, 0.0), np.where(known | bound, unmasked, 1.0)


def _drawn(
    speech: EquivalentSound,
    threshold: EquivalentSound,
    noise: EquivalentSound | None,
    weight: FloatArray,
    method: IndexMethod,
    draws: Draws,
) -> FloatArray:
    """Index of every draw; one identity is one error, whichever of the levels it moves (JCGM 101:2008, 6.4.8.4)."""
    rng = draws.generator()
    shared: dict[str, FloatArray] = {}
    errors = [
        0.0 if sound is None else sound.uncertainty.draws_db(draws.n, rng, shared)
        for sound in (speech, threshold, noise)
    ]
    return speech_intelligibility_index(
        speech.level_db + errors[0],
        _noise_db(noise, method) + errors[2],
        threshold.level_db + errors[1],
        weight,
        method.procedure,
        level_distortion=method.level_distortion,
    )


def _joined(
    speech: EquivalentSound,
    threshold: EquivalentSound,
    noise: EquivalentSound | None,
    method: IndexMethod,
    trusted_max_hz: float | None,
) -> States:
    states = speech.states.joined(threshold.states)
    if noise is not None:
        states = states.joined(noise.states)
    if trusted_max_hz is None:
        return states
    above = ~lies_within(method.bands.frequency_hz, 0.0, trusted_max_hz)
    return states.marked(PointState.EXTRAPOLATED, above, f"above the trusted limit of {trusted_max_hz:.0f} Hz")


def _ear_of(*levels: Level) -> Ear | None:
    """The one ear that all levels belong to; a level without an ear serves either."""
    named = [level for level in levels if level.tags.ear is not None]
    for level in named[1:]:
        if level.tags.ear != named[0].tags.ear:
            raise EarMismatchError(
                _ASKED,
                f"the {named[0].tags.quantity} belongs to the {named[0].tags.ear} ear and the {level.tags.quantity} to "
                f"the {level.tags.ear} ear",
                "take all from the same ear",
            )
    return named[0].tags.ear if named else None
