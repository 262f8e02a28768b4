"""Named sets that turn evoked-response thresholds (nHL) into estimated hearing levels (eHL)."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING

from umbo import refdata
from umbo.core import Finding, Severity
from umbo.ear._threshold_methods import ThresholdMethod, require_frequency_specific
from umbo.errors import InputError, OutOfRangeError

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["CorrectionSet", "correction_finding", "correction_names", "correction_set", "estimate_by_set"]

_EDITION = re.compile(r"-(?:undated|\d{4})$")
_MADE_FOR = {"tone-pip": ThresholdMethod.ABR_TONE, "narrow-band-chirp": ThresholdMethod.ABR_CHIRP}

#: Largest slope a regression of behaviour on evoked thresholds may plausibly have (engineering judgement). [dB/dB]
_MAX_SLOPE = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionSet:
    r"""A named, versioned set: one straight line per frequency from nHL to eHL.

    .. math:: eHL(f) = b(f)\,nHL(f) + a(f)

    A fixed set has :math:`b = 1` and :math:`a = -C(f)`, which is (F1). A level-dependent one has another slope.

    Parameters
    ----------
    name : str
        What it is called wherever its result is printed.
    version : str
        Which version of the set; may be empty for a set a case brings along.
    made_for : ThresholdMethod or None
        Method it was made for; None where that is not stated.
    frequency_hz : tuple of float (n,)
        Frequencies, ascending. [Hz]
    slope : tuple of float (n,)
        Slope b, above 0 and at most 2. [dB/dB]
    intercept_db : tuple of float (n,)
        Intercept a. [dB]
    source : str
        Where the numbers come from, and how they were obtained.

    Raises
    ------
    InputError
        If there is not one line per frequency, or a slope lies outside its range.
    """

    name: str
    version: str
    made_for: ThresholdMethod | None
    frequency_hz: tuple[float, ...]
    slope: tuple[float, ...]
    intercept_db: tuple[float, ...]
    source: str

    def __post_init__(self) -> None:
        asked = f"use the correction set '{self.name}'"
        if not len(self.frequency_hz) == len(self.slope) == len(self.intercept_db):
            raise InputError(
                asked,
                f"it has {len(self.slope)} slopes and {len(self.intercept_db)} intercepts for "
                f"{len(self.frequency_hz)} frequencies",
                "give one of each per frequency",
            )
        strange = [b for b in self.slope if not 0 < b <= _MAX_SLOPE] + [a for a in self.intercept_db if not isfinite(a)]
        if strange:
            raise InputError(
                asked,
                f"{strange[0]:g} is no slope above 0 and at most {_MAX_SLOPE:g}, or no finite intercept",
                "check the regression",
            )

    @classmethod
    def fixed(
        cls,
        frequency_hz: Sequence[float],
        correction_db: Sequence[float],
        *,
        name: str,
        version: str,
        made_for: ThresholdMethod | None,
        source: str,
    ) -> CorrectionSet:
        """Make a set that subtracts the same number at every level.

        Parameters
        ----------
        frequency_hz : sequence of float (n,)
            Frequencies, ascending. [Hz]
        correction_db : sequence of float (n,)
            Correction C: nHL minus eHL. [dB]
        name, version : str
            What the set is called, and which version.
        made_for : ThresholdMethod or None
            Method it was made for.
        source : str
            Where the numbers come from.

        Returns
        -------
        CorrectionSet
            With slope 1 throughout.
        """
        return cls(
            name=name,
            version=version,
            made_for=made_for,
            frequency_hz=tuple(frequency_hz),
            slope=(1.0,) * len(frequency_hz),
            intercept_db=tuple(0.0 - c for c in correction_db),
            source=source,
        )

    @property
    def is_level_dependent(self) -> bool:
        """Whether the correction depends on the level."""
        return any(b != 1.0 for b in self.slope)

    @property
    def phrase(self) -> str:
        """How a sum names it: the name, and the version where there is one."""
        return f"'{self.name}'" + (f", {self.version}" if self.version else "")

    def estimate(self, frequency_hz: Sequence[float], nhl_db: Sequence[float]) -> list[float]:
        """Estimate hearing levels.

        Parameters
        ----------
        frequency_hz : sequence of float (m,)
            Frequencies of the thresholds, out of those of the set. [Hz]
        nhl_db : sequence of float (m,)
            Thresholds as recorded. [dB nHL]

        Returns
        -------
        list of float (m,)
            Estimates. [dB eHL]

        Raises
        ------
        OutOfRangeError
            For a frequency the set has no line for: nothing is interpolated.
        """
        lines = {f: (b, a) for f, b, a in zip(self.frequency_hz, self.slope, self.intercept_db, strict=True)}
        missing = [f for f in frequency_hz if f not in lines]
        if missing:
            known = ", ".join(f"{f:g}" for f in self.frequency_hz)
            raise OutOfRangeError(
                f"correct the threshold at {missing[0]:g} Hz by '{self.name}'",
                f"the set has {known} Hz",
                "leave that threshold out, or name a set that has it",
            )
        at = (lines[f] for f in frequency_hz)
        return [b * nhl + a for (b, a), nhl in zip(at, nhl_db, strict=True)]


def correction_names() -> tuple[str, ...]:
    """Names of the sets that umbo ships, in alphabetical order: stimulus, then the correction at 0.5, 1, 2, 4 kHz."""
    return tuple(sorted(_EDITION.sub("", source) for source in refdata.available("nhl_correction")))


def correction_set(name: str) -> CorrectionSet:
    """Look a shipped set up by its name.

    Parameters
    ----------
    name : str
        One of :func:`correction_names`.

    Returns
    -------
    CorrectionSet
        A fixed set. None depends on level: no slopes and intercepts were found in the literature read.

    Raises
    ------
    InputError
        If no set has that name.

    References
    ----------
    Tables ``nhl_correction``; narrow-band chirps: Ferm et al. 2013, Ferm & Lightfoot 2015 (abstracts read).
    """
    found = [source for source in refdata.available("nhl_correction") if _EDITION.sub("", source) == name]
    if not found:
        raise InputError(
            f"correct nHL thresholds by '{name}'",
            f"no set of that name is known (there are: {', '.join(correction_names())})",
            "name one of these",
        )
    table = refdata.table("nhl_correction", source=found[0])
    hz, correction_db = table.series("correction_db")
    return CorrectionSet.fixed(
        hz.tolist(),
        correction_db.tolist(),
        name=name,
        version=table.edition.partition(" of ")[0],
        made_for=next(method for start, method in _MADE_FOR.items() if name.startswith(start)),
        source=table.brief("correction_db"),
    )


def estimate_by_set(
    frequency_hz: Sequence[float],
    nhl_db: Sequence[float],
    correction: CorrectionSet | None,
    *,
    method: ThresholdMethod | None,
    corrected_by_recorder: bool | None,
) -> list[float]:
    """Estimate hearing levels by a named set, after asking whether they may be estimated at all.

    Parameters
    ----------
    frequency_hz, nhl_db : sequence of float (n,)
        Frequencies and thresholds as recorded. [Hz], [dB nHL]
    correction : CorrectionSet or None
        The set that was named.
    method : ThresholdMethod or None
        How the thresholds were found; None where it is not stated.
    corrected_by_recorder : bool or None
        Whether the recorder corrected them already; None where it is not stated.

    Returns
    -------
    list of float (n,)
        Estimates. [dB eHL]

    Raises
    ------
    InputError
        If no set is named, or the recorder has corrected already: a second correction makes hearing look better.
    NotPossibleHereError
        For clicks, which belong to no single frequency.
    OutOfRangeError
        For a frequency the set does not have.
    """
    asked = "use thresholds on the nHL scale"
    if corrected_by_recorder:
        raise InputError(
            asked,
            "the recorder has corrected them already, and a second correction would make hearing look better",
            "declare the scale eHL and leave the correction out",
        )
    if correction is None:
        raise InputError(
            asked,
            "no correction set is named, and the numbers alone cannot tell whether a recorder has corrected them",
            'name one with correction = "NAME", or declare the scale eHL if they are corrected',
        )
    require_frequency_specific(method)
    return correction.estimate(frequency_hz, nhl_db)


def correction_finding(correction: CorrectionSet, method: ThresholdMethod | None) -> Finding | None:
    """Say that a set was made for another stimulus than the thresholds were recorded with.

    Parameters
    ----------
    correction : CorrectionSet
        The set in use.
    method : ThresholdMethod or None
        How the thresholds were found.

    Returns
    -------
    Finding or None
        A warning; None where the two agree or one is not stated.
    """
    if method is None or correction.made_for in (None, method):
        return None
    made_for = correction.made_for.display_name if correction.made_for else ""
    text = f"The thresholds are from {method.display_name}; the correction '{correction.name}' was made for {made_for}."
    action = (
        "Name the set that belongs to this stimulus and recorder; sets for chirps and tone pips differ by about 5 dB."
    )
    source = "Ferm et al. 2013, Ferm & Lightfoot 2015 (abstracts read)"
    return Finding("correction_of_other_stimulus", Severity.WARN, text, action, source)
