"""The real-ear-to-coupler difference and what is made with it."""

from __future__ import annotations

import numpy as np

from umbo.core import Component, CouplerKind, Coupling, Ear, Grid, Level, Plane, Source, Tags, Transfer
from umbo.ear._expected import adult_recd_row

__all__ = ["adult_average_recd", "measured_recd", "recd_name"]

#: 95 % prediction range of an age regression, foam or immittance tip: ±4.4 dB; earmould ±5.4 dB (Bagatto et al. 2002,
#: abstract read), read as k = 2; the floor of any average's uncertainty. [dB]
AVERAGE_U_DB = {Coupling.FOAM_TIP: 2.2, Coupling.MOULD: 2.7}


def recd_name(kind: CouplerKind) -> str:
    """What an RECD is called in sums and charts."""
    return f"RECD re {kind.display_name}"


def measured_recd(ear_level: Level, coupler_level: Level) -> Transfer:
    r"""RECD from an ear reading and a coupler reading of the same source, coupling and stimulus.

    .. math:: RECD(f) = L_{ear}(f) - L_{coupler}(f)

    The algebra refuses readings of different sources, couplings, stimuli, ears or grids, and carries states and
    uncertainty: a microphone used on both sides cancels.

    Parameters
    ----------
    ear_level : Level
        At the probe tip or eardrum. [dB SPL]
    coupler_level : Level
        In the coupler. [dB SPL]

    Returns
    -------
    Transfer
        From the coupler to the ear plane. [dB]

    References
    ----------
    IEC 61669:2015 and ANSI S3.46-2013 (definitions; scopes read).
    """
    transfer = ear_level - coupler_level
    kind = coupler_level.plane.detail
    return transfer.named(recd_name(kind) if isinstance(kind, CouplerKind) else "ear minus reference")


def adult_average_recd(kind: CouplerKind, grid: Grid, *, ear: Ear, coupling: Coupling) -> Transfer:
    """Average adult RECD from standards alone, with the spread of people around an average.

    Parameters
    ----------
    kind : CouplerKind
        Coupler of the RECD.
    grid : Grid
        Frequencies.
    ear : Ear
        Side it will stand for.
    coupling : Coupling
        Coupling it will stand for; a mould carries the larger spread.

    Returns
    -------
    Transfer
        From the coupler to the eardrum. [dB]
    """
    u = AVERAGE_U_DB.get(coupling, AVERAGE_U_DB[Coupling.MOULD])
    component = Component(
        id=f"average_recd:{ear}",
        label="this ear against the average",
        contribution_db=np.array([u]),
        across="full",
        evaluation="B",
        source="Bagatto et al. 2002 (prediction range, abstract read)",
    )
    tags = Tags(
        quantity=f"adult average {recd_name(kind)}",
        ear=ear,
        stimulus=None,
        statistic=None,
        coupling=coupling,
        source=Source.INSERT,
    )
    return Transfer.given(
        grid,
        adult_recd_row(kind, grid.frequency_hz),
        start=Plane.coupler(kind),
        end=Plane.eardrum(),
        tags=tags,
        source="ISO 389-2 RETSPL differences (HA-1 from memory)",
        components=[component],
    )
