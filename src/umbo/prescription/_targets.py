"""Targets at the eardrum: from an insertion gain, or imported from a method that is licensed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.core import (
    Bandwidth,
    Ear,
    Finding,
    FloatArray,
    Grid,
    Level,
    Plane,
    PointState,
    Severity,
    States,
    Statistic,
    Tags,
    Transfer,
)
from umbo.errors import OutOfRangeError
from umbo.prescription._byrne_dillon_1986 import NAL_R_HZ, nal_r_constants, nal_r_insertion_gain

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Method", "Target", "imported_target", "nal_r_target", "speech_in_field"]

#: Below this age insertion-gain targets import the adult ear's resonance into a child's (Keefe et al. 1994: 4.4 kHz at
#: one month against 2.9 kHz at 24; adult value reached at 7 years, Dempster & Mackenzie 1990). [month]
ADULT_EAR_MONTHS = 84.0

#: Overall level of the tabulated long-term average speech spectrum (Byrne et al. 1994, Table II). [dB SPL]
_LTASS_OVERALL_DB = 70.0


@dataclass(frozen=True, slots=True)
class Method:
    """What a target comes from; printed beside every use.

    Parameters
    ----------
    name, version, options : str
        Method, its version, and the options chosen.
    """

    name: str
    version: str
    options: str

    def __str__(self) -> str:
        return ", ".join(part for part in (self.name, self.version, self.options) if part)


@dataclass(frozen=True, slots=True)
class Target:
    """A wanted level at the eardrum.

    Parameters
    ----------
    level : Level
        At the eardrum. [dB SPL]
    method : Method
        What it comes from.
    input_db_spl : float or None
        Speech input it belongs to; none for a limit of maximum output. [dB SPL]
    findings : tuple of Finding
        What should be said about its use.
    """

    level: Level
    method: Method
    input_db_spl: float | None
    findings: tuple[Finding, ...] = ()


def speech_in_field(frequency_hz: FloatArray, overall_db_spl: float, *, ear: Ear | None) -> Level:
    """Long-term average speech spectrum at an overall level, in the free field (Byrne et al. 1994, combined).

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies; those between third-octaves are interpolated and marked. [Hz]
    overall_db_spl : float
        Overall level. [dB SPL]
    ear : Ear or None
        Side it will be compared at.

    Returns
    -------
    Level
        Third-octave band levels. [dB SPL]
    """
    table = refdata.table("ltass", source="byrne-1994")
    column = "combined_70db_overall_db_spl"
    read = refdata.interpolate(table, column, frequency_hz)
    levels = read.require_inside() + overall_db_spl - _LTASS_OVERALL_DB
    reason = f"between tabulated frequencies of table {table.name}"
    states = States.ok(frequency_hz.size).marked(PointState.INTERPOLATED, read.interpolated, reason)
    tags = Tags(
        quantity=f"speech {overall_db_spl:g} dB",
        ear=ear,
        stimulus=f"speech {overall_db_spl:g}",
        statistic=Statistic.TARGET,
        coupling=None,
        source=None,
    )
    return Level.given(
        Grid(frequency_hz, Bandwidth.THIRD_OCTAVE),
        levels,
        plane=Plane.free_field(),
        tags=tags,
        source=table.brief(column),
        states=states,
    )


def nal_r_target(
    hearing_level: Level, overall_db_spl: float, reug: Transfer, *, ear: Ear, age_months: float | None
) -> Target:
    r"""Aided speech at the eardrum by NAL-R.

    .. math:: L_{target} = L_{speech} + REUG + \max(IG, 0)

    Parameters
    ----------
    hearing_level : Level
        Thresholds on the dial; frequencies NAL-R has no constant for are left out. [dB HL]
    overall_db_spl : float
        Overall level of the speech in the field. [dB SPL]
    reug : Transfer
        Free field to eardrum on the frequencies of :data:`NAL_R_HZ` that the thresholds hold.
    ear : Ear
        Side.
    age_months : float or None
        Below 84 months a finding says that insertion-gain targets do not suit. [month]

    Returns
    -------
    Target
        Third-octave levels at the eardrum. Where there was no response there is no threshold and so no target: the
        point is withdrawn. [dB SPL]

    Raises
    ------
    OutOfRangeError
        If 500, 1000 or 2000 Hz is missing or had no response, or a level lies outside the method's range.

    References
    ----------
    Byrne & Dillon 1986, Ear and Hearing 7, 257; speech: Byrne et al. 1994, J. Acoust. Soc. Am. 96, 2108.
    """
    index = np.array([hearing_level.grid.index(f) for f in NAL_R_HZ if f in hearing_level.frequency_hz], dtype=int)
    held = hearing_level.frequency_hz[index]
    states = hearing_level.states.taken(index)
    _require_answers(held, states)
    gain = np.maximum(nal_r_insertion_gain(held, hearing_level.level_db[index]), 0.0)
    lift = Transfer.given(
        Grid(held, Bandwidth.THIRD_OCTAVE),
        gain,
        start=Plane.eardrum(),
        end=Plane.eardrum(),
        tags=Tags(quantity="NAL-R insertion gain", ear=ear, stimulus=None, statistic=None, coupling=None, source=None),
        source=f"Byrne & Dillon 1986, {nal_r_constants()[1]}",
        states=states,
    )
    speech = speech_in_field(held, overall_db_spl, ear=ear)
    unaided = reug.on(speech.grid, method="log_frequency", outside="refuse")
    level = (speech + unaided + lift).named(f"target, speech {overall_db_spl:g} dB")
    method = Method("NAL-R", "1986", "linear, no profound-loss correction")
    return Target(level, method, overall_db_spl, _child(age_months))


def _require_answers(frequency_hz: FloatArray, states: States) -> None:
    """Refuse a mean of three thresholds one of which is only a bound."""
    for index, hz in enumerate(frequency_hz):
        if hz in (500.0, 1000.0, 2000.0) and not states.at(index).is_usable:
            raise OutOfRangeError(
                "prescribe NAL-R gain",
                f"the threshold at {hz:g} Hz is not known ({states.reasons(index)[0]}), and the method needs it",
                "import a target of a method made for such losses",
            )


def _child(age_months: float | None) -> tuple[Finding, ...]:
    if age_months is None or age_months >= ADULT_EAR_MONTHS:
        return ()
    text = "NAL-R prescribes insertion gain, built on an adult ear's resonance; this client's ear is a child's."
    action = "Import eardrum-level targets made for this age and judge the aided level against them."
    return (
        Finding(
            "insertion_gain_for_child", Severity.WARN, text, action, "Keefe et al. 1994; Dempster & Mackenzie 1990"
        ),
    )


def imported_target(
    frequency_hz: Sequence[float],
    level_db: Sequence[float],
    *,
    method: Method,
    ear: Ear,
    input_db_spl: float | None,
) -> Target:
    """A target made by another program and imported as numbers.

    Parameters
    ----------
    frequency_hz : sequence of float
        Frequencies. [Hz]
    level_db : sequence of float
        Levels at the eardrum. [dB SPL]
    method : Method
        What made them, with version and options.
    ear : Ear
        Side.
    input_db_spl : float or None
        Speech input; none for a limit of maximum output. [dB SPL]
    """
    is_limit = input_db_spl is None
    name = "limit of maximum output" if is_limit else f"target, speech {input_db_spl:g} dB"
    tags = Tags(
        quantity=name,
        ear=ear,
        stimulus=None if is_limit else f"speech {input_db_spl:g}",
        statistic=Statistic.LIMIT if is_limit else Statistic.TARGET,
        coupling=None,
        source=None,
    )
    grid = Grid(np.asarray(frequency_hz, dtype=np.float64), Bandwidth.TONE if is_limit else Bandwidth.THIRD_OCTAVE)
    level = Level.given(grid, list(level_db), plane=Plane.eardrum(), tags=tags, source=f"imported: {method}")
    return Target(level, method, input_db_spl)
