"""Several prescriptions side by side, for one ear and one input."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from umbo.core import Finding, PointState
from umbo.errors import NotPossibleHereError, UmboError
from umbo.prescription._conversions import aided_gain_of, insertion_gain_of
from umbo.prescription._ear_to_fit import EarToFit
from umbo.prescription._methods import METHODS, method
from umbo.prescription._speech_targets import speech_targets
from umbo.prescription._targets import Method, Target, speech_in_field

__all__ = ["ComparedMethod", "MethodComparison", "compare_methods"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedMethod:
    """One prescription in a comparison; every tuple has one entry per frequency of its own.

    Parameters
    ----------
    key : str
        Key of the prescription.
    method : Method
        Name, version, options and status of constants.
    why_not : str or None
        The sentence that says why it prescribes nothing here; then the tuples are empty.
    frequency_hz : tuple of float (n,)
        Where it prescribes. [Hz]
    aided_db_spl : tuple of float (n,)
        Wanted level of the speech at the eardrum (REAR). [dB SPL]
    u_db : tuple of float (n,)
        Standard uncertainty of that level, k = 1, without that of the method's own constants. [dB]
    aided_gain_db : tuple of float (n,)
        That level minus the speech in the field (REAG). [dB]
    insertion_gain_db : tuple of float (n,) or None
        Aided minus unaided gain (REIG); None for a child, or where the age is not known. [dB]
    from_median_db : tuple of float or None (n,)
        Aided level minus the median of all methods there; None where this point cannot be used. [dB]
    state : tuple of PointState (n,)
        Whether each point may be believed.
    findings : tuple of Finding
        What should be said about its use.
    """

    key: str
    method: Method
    why_not: str | None
    frequency_hz: tuple[float, ...] = ()
    aided_db_spl: tuple[float, ...] = ()
    u_db: tuple[float, ...] = ()
    aided_gain_db: tuple[float, ...] = ()
    insertion_gain_db: tuple[float, ...] | None = None
    from_median_db: tuple[float | None, ...] = ()
    state: tuple[PointState, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodComparison:
    """Prescriptions side by side, ready for a table or a chart.

    Parameters
    ----------
    input_db_spl : float
        Overall level of the speech in the field. [dB SPL]
    frequency_hz : tuple of float (n,)
        Every frequency at which at least one method prescribes something that can be used. [Hz]
    median_db_spl : tuple of float (n,)
        Median of the wanted levels there. [dB SPL]
    n_methods : tuple of int (n,)
        Number of methods in that median. [1]
    spread_db : tuple of float (n,)
        Highest minus lowest of them. [dB]
    methods : tuple of ComparedMethod
        Each method that was asked about, in that order; also those that prescribe nothing here.
    """

    input_db_spl: float
    frequency_hz: tuple[float, ...]
    median_db_spl: tuple[float, ...]
    n_methods: tuple[int, ...]
    spread_db: tuple[float, ...]
    methods: tuple[ComparedMethod, ...]

    @property
    def computed(self) -> tuple[ComparedMethod, ...]:
        """Methods that prescribe something."""
        return tuple(entry for entry in self.methods if entry.why_not is None)

    @property
    def refused(self) -> dict[str, str]:
        """Sentence of each method that prescribes nothing, by key."""
        return {entry.key: entry.why_not for entry in self.methods if entry.why_not is not None}


def compare_methods(hearing: EarToFit, keys: Sequence[str] | None = None, *, input_db_spl: float) -> MethodComparison:
    """All prescriptions side by side for one ear at one input.

    Parameters
    ----------
    hearing : EarToFit
        Thresholds, and what else the methods need.
    keys : sequence of str, optional
        Which; all open prescriptions if left out.
    input_db_spl : float
        Overall level of the speech in the field. [dB SPL]

    Returns
    -------
    MethodComparison
        The methods agree or they do not: the median is their middle, and no method is right because it is near it.

    Raises
    ------
    InputError
        If a key is not known. What a method refuses is no error: it stands in the comparison as its sentence.
    """
    chosen = tuple(METHODS) if keys is None else tuple(keys)
    targets: dict[str, Target] = {}
    refused: dict[str, str] = {}
    for key in chosen:
        method(key)
        try:
            (targets[key],) = speech_targets(key, hearing, (input_db_spl,))
        except UmboError as error:
            refused[key] = str(error)
    wanted = _usable(targets)
    medians = {hz: float(np.median(levels)) for hz, levels in wanted.items()}
    return MethodComparison(
        input_db_spl=float(input_db_spl),
        frequency_hz=tuple(wanted),
        median_db_spl=tuple(medians.values()),
        n_methods=tuple(len(levels) for levels in wanted.values()),
        spread_db=tuple(max(levels) - min(levels) for levels in wanted.values()),
        methods=tuple(
            _compared(key, targets[key], hearing, medians)
            if key in targets
            else ComparedMethod(key=key, method=method(key).method, why_not=refused[key])
            for key in chosen
        ),
    )


def _usable(targets: dict[str, Target]) -> dict[float, list[float]]:
    """Wanted levels that can be used, by frequency in ascending order."""
    found: dict[float, list[float]] = {}
    for target in targets.values():
        level = target.level
        for hz, value, usable in zip(level.frequency_hz, level.level_db, level.states.is_usable, strict=True):
            if usable:
                found.setdefault(float(hz), []).append(float(value))
    return dict(sorted(found.items()))


def _compared(key: str, target: Target, hearing: EarToFit, medians: dict[float, float]) -> ComparedMethod:
    level = target.level
    speech = speech_in_field(level.frequency_hz, target.input_db_spl or 0.0, ear=hearing.ear)
    gain = aided_gain_of(target, speech)
    try:
        insertion = insertion_gain_of(target, speech, hearing.reug, age_months=hearing.age_months)
    except NotPossibleHereError:
        insertion = None
    hz = tuple(level.frequency_hz.tolist())
    from_median = tuple(
        float(value) - medians[f] if usable else None
        for f, value, usable in zip(hz, level.level_db, level.states.is_usable, strict=True)
    )
    return ComparedMethod(
        key=key,
        method=target.method,
        why_not=None,
        frequency_hz=hz,
        aided_db_spl=tuple(level.level_db.tolist()),
        u_db=tuple(level.u_db.tolist()),
        aided_gain_db=tuple(gain.level_db.tolist()),
        insertion_gain_db=None if insertion is None else tuple(insertion.level_db.tolist()),
        from_median_db=from_median,
        state=tuple(level.states.at(i) for i in range(len(hz))),
        findings=target.findings,
    )
