"""Predicted levels at the eardrum: what the aid gives in the coupler, carried to this ear."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from umbo.core import (
    Component,
    CouplerKind,
    Coupling,
    Ear,
    Finding,
    FloatArray,
    Grid,
    Level,
    Plane,
    PointState,
    Severity,
    Source,
    Tags,
    Transfer,
)
from umbo.ear._source_spread import source_spread_db
from umbo.errors import CouplingMismatchError, NotPossibleHereError

__all__ = [
    "UNKNOWN_MLE_U_DB",
    "aided_level",
    "for_coupling",
    "for_source",
    "microphone_location_effect",
    "require_closed",
    "unknown_microphone_location_effect",
    "withdrawn_by_vent",
]

#: Standard uncertainty when no microphone-location effect is known (assumed; JOB S1 uses 0.5 to 3 dB). [dB]
UNKNOWN_MLE_U_DB = 2.0

#: A foam-tip RECD used for a mould: the difference is systematic and correctable (Moodie et al. 2016, abstract read), its
#: values were not found; standard uncertainty assumed. [dB]
FOAM_TO_MOULD_U_DB = 2.0

#: Sound enters unattenuated at 250 and 500 Hz whatever the vent (Hoover, Stelmachowicz & Lewis 2000); the coupler route is
#: withdrawn below the next audiometric frequency. [Hz]
VENT_BELOW_HZ = 750.0

#: Couplers into which the coupling under test opens directly, so that no plumbing correction is needed (ANSI S3.46 form).
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
    text = "The RECD was measured with a foam tip and is used for a mould; no correction is made, the uncertainty is widened."
    finding = Finding(
        "foam_recd_for_mould",
        Severity.INFO,
        text,
        "Measure the RECD with the mould when it is at hand.",
        "ANSI S3.46-2013 form; Moodie et al. 2016",
    )
    wider = recd.with_uncertainty(component)
    return replace(wider, tags=replace(wider.tags, coupling=coupling)), (finding,)


def microphone_location_effect(
    frequency_hz: FloatArray, level_db: FloatArray, grid: Grid, *, ear: Ear, source: str
) -> Transfer:
    """Change of the worn aid's input against the field, carried through the aid to the eardrum (MLE of F5).

    Parameters
    ----------
    frequency_hz, level_db : array (n,)
        Free field to the worn aid's microphone. [Hz], [dB]
    grid : Grid
        Where it is wanted: between its points interpolated, beyond its ends held, and marked so.
    ear : Ear
        Side.
    source : str
        Where it comes from.

    Notes
    -----
    Added at the output, as F5 does: exact for a linear aid; a compressive one passes on less of it.
    """
    tags = Tags(
        quantity="microphone-location effect", ear=ear, stimulus=None, statistic=None, coupling=None, source=None
    )
    drum = Plane.eardrum()
    component = Component(
        f"mle:{ear}", "microphone-location effect", np.array([1.0]), "full", "B", "spread of heads and places, assumed"
    )
    own = Grid(frequency_hz, grid.bandwidth)
    given = Transfer.given(own, level_db, start=drum, end=drum, tags=tags, source=source, components=[component])
    return given.on(grid, method="log_frequency", outside="hold")


def unknown_microphone_location_effect(grid: Grid, *, ear: Ear) -> tuple[Transfer, Finding]:
    """No microphone-location effect is known: 0 dB with its spread, and the finding that says so."""
    drum = Plane.eardrum()
    tags = Tags(
        quantity="microphone-location effect", ear=ear, stimulus=None, statistic=None, coupling=None, source=None
    )
    u = np.array([UNKNOWN_MLE_U_DB])
    component = Component(f"mle:{ear}", "microphone-location effect not known", u, "full", "B", "assumed")
    transfer = Transfer.given(
        grid,
        np.zeros(grid.size),
        start=drum,
        end=drum,
        tags=tags,
        source="not known, taken as 0 dB",
        components=[component],
    )
    text = f"No microphone-location effect was given: taken as 0 dB with a standard uncertainty of {UNKNOWN_MLE_U_DB:g} dB."
    action = "Give the effect for this aid's style and place of the microphone."
    return transfer, Finding("mle_not_known", Severity.INFO, text, action, "assumed")


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


def withdrawn_by_vent(level: Level, venting: str) -> Level:
    """Withdraw the coupler route at low frequencies of a vented fitting."""
    if venting != "vented":
        return level
    reason = "sound enters and leaves through the vent; the coupler does not have it"
    return level.marked(PointState.WITHDRAWN, level.frequency_hz < VENT_BELOW_HZ * 0.97, reason)
