"""From levels at one eardrum to what the standard wants: equivalent spectrum levels and hearing threshold levels.

Speech and noise: band level at the eardrum, minus the free-field-to-eardrum transfer, minus the bandwidth. Thresholds:
level of the tone at the eardrum above that of a normal ear.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.audibility._onto_bands import onto_bands, require_answers, require_speech, require_threshold
from umbo.audibility._procedures import Bands, Procedure, bands, importance
from umbo.core import (
    Bandwidth,
    BoolArray,
    Curve,
    FloatArray,
    Grid,
    Level,
    Plane,
    PointState,
    States,
    Statistic,
    Tags,
    Uncertainty,
)
from umbo.errors import NotPossibleHereError, OutOfRangeError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = ["STANDARD", "EquivalentSound", "IndexMethod", "ThresholdReading", "equivalent_sound", "equivalent_threshold"]

#: A nominal frequency and the exact one that it names differ by less (IEC 61260-1). [1]
_SAME = 0.015


class ThresholdReading(StrEnum):
    """How a threshold becomes a disturbance.

    ``hearing_level`` is the standard's: the tone's level above that of a normal ear raises the internal noise (Eq. 10).
    ``band_level`` is the simplified formula F10: average speech counts as just audible when its band level equals that
    of the tone at threshold. It finds more audible than the standard: 7 dB at 1 kHz, 9 dB at 3 kHz (computed).
    """

    HEARING_LEVEL = "hearing_level"
    BAND_LEVEL = "band_level"


@dataclass(frozen=True, slots=True)
class IndexMethod:
    """Which variant of the index is computed; the default is the standard's third-octave procedure.

    Parameters
    ----------
    procedure : Procedure
        ``third_octave`` or ``octave``.
    material : str
        Which importance function, see :func:`importance`.
    level_distortion : bool
        Whether loud speech counts less; without it the result is no index of the standard.
    threshold : ThresholdReading
        How thresholds become a disturbance; ``band_level`` is not the standard's.

    Raises
    ------
    NotPossibleHereError
        For critical bands, into which levels of third octaves cannot be divided.

    Examples
    --------
    >>> simplified = IndexMethod(
    ...     procedure=Procedure.OCTAVE, level_distortion=False, threshold=ThresholdReading.BAND_LEVEL
    ... )
    >>> simplified.is_standard, IndexMethod().is_standard
    (False, True)
    """

    procedure: Procedure = Procedure.THIRD_OCTAVE
    material: str = "average_speech"
    level_distortion: bool = True
    threshold: ThresholdReading = ThresholdReading.HEARING_LEVEL

    def __post_init__(self) -> None:
        if self.procedure is Procedure.CRITICAL_BAND:
            raise NotPossibleHereError(
                "compute the critical-band index of third-octave levels",
                "a critical band is narrower than a third octave, and what is inside one is not known",
                "use the third-octave procedure, or speech_intelligibility_index with spectrum levels of your own",
            )
        importance(self.procedure, material=self.material)

    @property
    def is_standard(self) -> bool:
        """Whether this is an index of ANSI S3.5-1997."""
        return self.level_distortion and self.threshold is ThresholdReading.HEARING_LEVEL

    @property
    def bands(self) -> Bands:
        """The bands of the procedure."""
        return bands(self.procedure)

    @property
    def importance(self) -> FloatArray:
        """The importance function. Shape (bands,). [1]"""
        return importance(self.procedure, material=self.material)

    @property
    def phrase(self) -> str:
        """How a sentence says it."""
        name = f"ANSI S3.5-1997, {self.procedure.replace('_', ' ')} bands, {self.material.replace('_', ' ')}"
        changed = [] if self.level_distortion else ["without level distortion"]
        if self.threshold is ThresholdReading.BAND_LEVEL:
            changed.append("thresholds read as band levels")
        return name if self.is_standard else f"simplified after {name}, {', '.join(changed)}"


#: The third-octave procedure of the standard with its importances of average speech.
STANDARD = IndexMethod()


@dataclass(frozen=True, slots=True, eq=False)
class EquivalentSound:
    """Spectrum levels or hearing threshold levels in the bands of a method.

    Parameters
    ----------
    level_db : array (bands,)
        Spectrum levels in an equivalent free field, or hearing threshold levels. [dB SPL per Hz], [dB HL]
    uncertainty : Uncertainty
        Components of the level at the eardrum.
    states : States
        Every state and reason of the points that went in.
    is_known, is_bound : array (bands,), bool
        Where the value may be used as it is, and where it is only known that the true one is higher.
    """

    level_db: FloatArray
    uncertainty: Uncertainty
    states: States
    is_known: BoolArray
    is_bound: BoolArray


def _spectrum_shift_db(method: IndexMethod) -> FloatArray:
    """From a third-octave level at the eardrum to a spectrum level in the equivalent free field.

    Octaves, too, are read from the third octave at their centre: the standard's own octave spectra are those of its
    third octaves there.
    """
    third = bands(Procedure.THIRD_OCTAVE)
    at_centre = np.isin(third.frequency_hz, method.bands.frequency_hz)
    return method.bands.to_eardrum_db + third.width_db[at_centre]


def equivalent_sound(level: Level, method: IndexMethod, what: str) -> EquivalentSound:
    r"""Equivalent spectrum level of speech or noise at the eardrum.

    .. math:: E_i = L_i - T_{\mathrm{ff} \to \mathrm{ed},i} - 10 \lg \Delta f_i

    Parameters
    ----------
    level : Level
        Third-octave rms levels at the eardrum. [dB SPL]
    method : IndexMethod
        In which bands.
    what : str
        What it is wanted for, as a refusal says it.

    Returns
    -------
    EquivalentSound
        Not known where the level cannot be used or does not reach. [dB SPL per Hz]
    """
    require_speech(level, Statistic.RMS, what)
    grid = Grid(method.bands.frequency_hz, Bandwidth.THIRD_OCTAVE)
    there = level.on(grid, method="log_frequency", outside="hold")
    shifted = there.level_db - _spectrum_shift_db(method)
    none = np.zeros(grid.size, dtype=bool)
    return EquivalentSound(shifted, there.uncertainty, there.states, there.states.is_usable, none)


def equivalent_threshold(threshold: Level, no_response: ArrayLike, method: IndexMethod, what: str) -> EquivalentSound:
    r"""Equivalent hearing threshold level of thresholds at the eardrum.

    .. math:: T'(f) = T_\mathrm{ed}(f) - \mathrm{MAP}(f)

    with the minimum audible pressure at the eardrum of one normal ear (table ``map_eardrum``), at the tones, then
    brought onto the bands. With ``band_level``: the T' that makes the internal noise of Eq. (10), summed over a third
    octave, as strong as the tone.

    Parameters
    ----------
    threshold : Level
        Thresholds of tones at the eardrum. [dB SPL]
    no_response : array-like (n,), bool
        Where there was no response at that level.
    method : IndexMethod
        In which bands, and how thresholds are read.
    what : str
        What it is wanted for, as a refusal says it.

    Returns
    -------
    EquivalentSound
        Hearing threshold levels. [dB HL]

    Raises
    ------
    OutOfRangeError
        If no tone lies where a normal ear's threshold is tabulated, 125 Hz to 8 kHz.
    """
    require_threshold(threshold, what)
    return _threshold_in_bands(threshold, tuple(require_answers(no_response, threshold).tolist()), method, what)


@lru_cache(maxsize=8)
def _threshold_in_bands(
    threshold: Level, no_response: tuple[bool, ...], method: IndexMethod, what: str
) -> EquivalentSound:
    """Kept, because every speech level of an ear asks for the same one."""
    frequency_hz = method.bands.frequency_hz
    read: Curve = threshold
    shift_db = _spectrum_shift_db(method) + method.bands.internal_noise_db
    flags: BoolArray = np.array(no_response, dtype=bool)
    if method.threshold is ThresholdReading.HEARING_LEVEL:
        read, flags = _above_normal(threshold, flags, what)
        shift_db = np.zeros(frequency_hz.size)
    there = onto_bands(read, flags, Grid.tones(frequency_hz))
    curve = there.curve
    return EquivalentSound(curve.level_db - shift_db, curve.uncertainty, curve.states, there.is_known, there.is_bound)


def _above_normal(threshold: Level, no_response: BoolArray, what: str) -> tuple[Curve, BoolArray]:
    """Thresholds above the minimum audible pressure of a normal ear, at the tones for which it is tabulated."""
    table = refdata.table("map_eardrum", source="bentler-pavlovic-1989")
    column = "map_eardrum_db_spl"
    low, high = table.series(column)[0][[0, -1]]
    hz = threshold.frequency_hz
    inside = (hz >= low / (1 + _SAME)) & (hz <= high * (1 + _SAME))
    if not inside.any():
        raise OutOfRangeError(
            what,
            f"no threshold lies between {low:g} and {high:g} Hz, where that of a normal ear is tabulated",
            "measure thresholds there",
        )
    grid = Grid.tones(hz[inside])
    read = refdata.interpolate(table, column, np.clip(grid.frequency_hz, low, high))
    reason = f"between tabulated frequencies of {table.name}"
    normal = Level.given(
        grid,
        read.require_inside(),
        plane=Plane.eardrum(),
        tags=Tags(quantity="MAP", ear=None, stimulus=None, statistic=None, coupling=None, source=None),
        source=table.brief(column),
        states=States.ok(grid.size).marked(PointState.INTERPOLATED, read.interpolated, reason),
    )
    kept = threshold.on(grid, method="log_frequency", outside="refuse")
    return kept.above(normal, quantity="threshold above that of a normal ear"), no_response[inside]
