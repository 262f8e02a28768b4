"""Predicted levels at the eardrum: what the aid gives in the coupler, carried to this ear."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

import numpy as np

from umbo.core import (
    Component,
    CouplerKind,
    Coupling,
    Curve,
    Finding,
    Level,
    PointState,
    Severity,
    Source,
    Transfer,
)
from umbo.ear._source_spread import source_spread_db
from umbo.errors import CouplingMismatchError, NotPossibleHereError

__all__ = [
    "aided_level",
    "for_coupling",
    "for_source",
    "require_closed",
    "withdrawn_by_vent",
]

#: A foam-tip RECD used for a mould: the difference is systematic and correctable (Moodie et al. 2016, abstract read),
#: its values were not found; standard uncertainty assumed. [dB]
FOAM_TO_MOULD_U_DB = 2.0

#: Sound enters unattenuated at 250 and 500 Hz whatever the vent (Hoover, Stelmachowicz & Lewis 2000, abstract read);
#: the coupler route is withdrawn below the next audiometric frequency. [Hz]
VENT_BELOW_HZ = 750.0

_C = TypeVar("_C", bound=Curve)

#: Couplers into which the coupling under test opens directly: no plumbing correction is needed (ANSI S3.46 form).
_DIRECT = (CouplerKind.HA1, CouplerKind.CC04)


def for_source(recd: Transfer, source: Source, age_months: float | None) -> Transfer:
    """An RECD for use with another source than the one it was measured with.

    Parameters
    ----------
    recd : Transfer
        RECD.
    source : Source
        Source of the level it will be added to.
    age_months : float or None
        Age of the ear: a small ear loads a source more. [month]

    Returns
    -------
    Transfer
        The same values; if the sources differ, with one more component, see :func:`source_spread_db`.
    """
    kind = recd.start.detail
    if recd.tags.source is None or recd.tags.source == source or not isinstance(kind, CouplerKind):
        return recd
    component = Component(
        id=f"source_impedance:{recd.tags.ear}:{recd.start}",
        label="source impedance: insert earphone against hearing aid",
        contribution_db=source_spread_db(kind, recd.frequency_hz, age_months),
        across="full",
        evaluation="B",
        source="computed for three classes of sources; Munro & Toal 2005 for its size",
    )
    return recd.with_uncertainty(component)


def for_coupling(recd: Transfer, coupling: Coupling) -> tuple[Transfer, tuple[Finding, ...]]:
    """An RECD for use with another coupling than the one it was measured with (K of F5).

    Parameters
    ----------
    recd : Transfer
        RECD.
    coupling : Coupling
        Coupling of the level it will be added to.

    Returns
    -------
    (Transfer, tuple of Finding)
        The RECD relabelled, wider, and what to say about it; unchanged if the couplings agree.

    Raises
    ------
    CouplingMismatchError
        Where no rule allows it: only a foam-tip RECD re HA-1 or 0.4 cc may serve a mould.
    """
    mine = recd.tags.coupling
    if mine is None or mine == coupling:
        return recd, ()
    if not (mine is Coupling.FOAM_TIP and coupling is Coupling.MOULD and recd.start.detail in _DIRECT):
        raise CouplingMismatchError(
            f"use the {recd.tags.quantity} for a {coupling.replace('_', ' ')}",
            f"it was measured with a {mine.replace('_', ' ')} {recd.start.phrase}",
            f"measure the RECD with the {coupling.replace('_', ' ')}",
        )
    component = Component(
        id=f"foam_to_mould:{recd.tags.ear}",
        label="foam tip against mould",
        contribution_db=np.array([FOAM_TO_MOULD_U_DB]),
        across="full",
        evaluation="B",
        source="assumed; Moodie et al. 2016 (values not found)",
    )
    text = "The RECD of a foam tip is used for a mould: no correction is made, and the uncertainty is widened."
    action = "Measure the RECD with the mould when it is at hand."
    source = "ANSI S3.46-2013 form (scope read); Moodie et al. 2016 (abstract read)"
    finding = Finding("foam_recd_for_mould", Severity.INFO, text, action, source)
    wider = recd.with_uncertainty(component)
    return replace(wider, tags=replace(wider.tags, coupling=coupling)), (finding,)


def aided_level(coupler_level: Level, recd: Transfer, mle: Transfer | None) -> Level:
    r"""Level the aid makes at the eardrum.

    .. math:: L_{drum} = L_{coupler} + RECD + MLE \qquad (F5)
    .. math:: L_{drum,max} = L_{coupler,max} + RECD \qquad (F7)

    Parameters
    ----------
    coupler_level : Level
        Output of the aid in a coupler. [dB SPL]
    recd : Transfer
        From that coupler to the eardrum; another coupler's is refused by the planes. [dB]
    mle : Transfer or None
        Microphone-location effect for speech (F5); none for maximum output, which is limited (F7). [dB]

    Returns
    -------
    Level
        At the eardrum. [dB SPL]
    """
    level = coupler_level + recd  # (F7)
    return level if mle is None else level + mle  # (F5)


def require_closed(venting: str) -> None:
    """Refuse the coupler route for an open fitting.

    Parameters
    ----------
    venting : str
        "closed", "vented" or "open".

    Raises
    ------
    NotPossibleHereError
        If the fitting is open: direct sound and leakage are not in the coupler.
    """
    if venting == "open":
        raise NotPossibleHereError(
            "predict the level at the eardrum from a coupler",
            "the fitting is open, and an RECD holds only for a closed or nearly closed one",
            "measure the aided response in the ear",
        )


def withdrawn_by_vent(curve: _C, venting: str, *, corner_hz: float | None) -> _C:
    """Withdraw the coupler route at low frequencies of a vented fitting.

    Parameters
    ----------
    curve : Level or Transfer
        Predicted level at the eardrum, or the RECD that leads there. [dB SPL] or [dB]
    venting : str
        "closed", "vented" or "open".
    corner_hz : float or None
        Corner of the vent (F13); None where its dimensions are not known: 750 Hz then stands for every vent. [Hz]
    """
    if venting != "vented":
        return curve
    known = "" if corner_hz is None else f" below its corner of {corner_hz:.0f} Hz"
    reason = f"sound enters and leaves through the vent{known}; the coupler does not have it"
    end_hz = VENT_BELOW_HZ * 0.97 if corner_hz is None else corner_hz
    return curve.marked(PointState.WITHDRAWN, curve.frequency_hz < end_hz, reason)
