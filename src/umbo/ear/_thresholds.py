"""Routes from the audiometer's dial to the eardrum.

Every route is a sum of transfers, so a reference coupler that does not match, or a transducer that is not known, cannot
slip through: the planes refuse it.
"""

from __future__ import annotations

import numpy as np

from umbo import refdata
from umbo.core import (
    Component,
    CouplerKind,
    Ear,
    FloatArray,
    Grid,
    Plane,
    PointState,
    States,
    Tags,
    Transducer,
    Transfer,
)
from umbo.errors import NotPossibleHereError

__all__ = ["average_redd", "convert_recd", "coupler_to_coupler", "field_to_eardrum", "retspl", "sound_field_threshold"]

_RETSPL_COLUMNS = {
    CouplerKind.HA1: ("ansi-s3.6-undated", "er3a_ha1_db_spl"),
    CouplerKind.HA2: ("iso-389-2-1994", "er3a_ha2_db_spl"),
    CouplerKind.OES: ("iso-389-2-1994", "er3a_oes_db_spl"),
}

#: Spread of eardrum level at one dial level: up to 40 dB over 1814 ears (Saunders & Morgan 2003, abstract read), read
#: as ±3.3 standard deviations of a normal distribution. [dB]
EAR_SPREAD_U_DB = 40 / 6.6

#: Spread of the individual unaided response around the standard's average (assumed). [dB]
UNAIDED_SPREAD_U_DB = 3.0


def _no_tags(quantity: str, ear: Ear | None) -> Tags:
    return Tags(quantity=quantity, ear=ear, stimulus=None, statistic=None, coupling=None, source=None)


def retspl(kind: CouplerKind, frequency_hz: FloatArray) -> Transfer:
    """Reference equivalent threshold level of an audiometric insert earphone: dial to coupler.

    Parameters
    ----------
    kind : CouplerKind
        HA-1, HA-2 or the occluded-ear simulator.
    frequency_hz : array (n,)
        Audiometric frequencies the standard tabulates. [Hz]

    Returns
    -------
    Transfer
        ``dial:insert`` to ``coupler:kind``; exact by convention, so without uncertainty. [dB]

    Raises
    ------
    NotPossibleHereError
        For a coupler without RETSPLs.
    OutOfRangeError
        For a frequency that is not tabulated.

    References
    ----------
    ISO 389-2:1994 / ANSI S3.6 as transcribed in the tables ``retspl_insert``.
    """
    if kind not in _RETSPL_COLUMNS:
        raise NotPossibleHereError(
            f"refer insert-earphone thresholds to the {kind.display_name}",
            "no standard tabulates RETSPLs for that coupler",
            "use the RETSPL and the RECD of HA-1, HA-2 or the occluded-ear simulator",
        )
    source, column = _RETSPL_COLUMNS[kind]
    table = refdata.table("retspl_insert", source=source)
    values = np.array([table.at(f, column) for f in frequency_hz])
    return Transfer.given(
        Grid.tones(frequency_hz),
        values,
        start=Plane.dial(Transducer.INSERT),
        end=Plane.coupler(kind),
        tags=_no_tags(f"RETSPL {kind.display_name}", None),
        source=table.brief(column),
    )


def coupler_to_coupler(start: CouplerKind, end: CouplerKind, frequency_hz: FloatArray) -> Transfer:
    r"""Level in one coupler minus level in another, for an audiometric insert earphone.

    .. math:: T_{A \to B}(f) = RETSPL_B(f) - RETSPL_A(f)

    Both are the level of the same earphone at the same threshold, so their difference is the couplers'.

    Parameters
    ----------
    start, end : CouplerKind
        HA-1, HA-2 or the occluded-ear simulator.
    frequency_hz : array (n,)
        Audiometric frequencies the standard tabulates. [Hz]

    Raises
    ------
    NotPossibleHereError
        If either has no RETSPLs: the 0.4 cc coupler and HA-4 have none.
    """
    return (-retspl(start, frequency_hz) + retspl(end, frequency_hz)).named(
        f"{start.display_name} to {end.display_name}"
    )


def convert_recd(recd: Transfer, to: CouplerKind, frequency_hz: FloatArray) -> Transfer:
    """An RECD re another coupler, through the RETSPLs of the insert earphone it was measured with.

    Parameters
    ----------
    recd : Transfer
        RECD measured with an audiometric insert earphone.
    to : CouplerKind
        Wanted coupler.
    frequency_hz : array (n,)
        Audiometric frequencies the standard tabulates. [Hz]

    Returns
    -------
    Transfer
        On those frequencies. [dB]

    Raises
    ------
    NotPossibleHereError
        If the source was no insert earphone, or a coupler has no RETSPLs.
    """
    kind = recd.start.detail
    asked = f"convert the {recd.tags.quantity} to the {to.display_name}"
    if recd.tags.source != "insert":
        raise NotPossibleHereError(
            asked,
            f"it was measured with the source '{recd.tags.source}', and the RETSPL difference holds only for an "
            "audiometric insert earphone's source impedance",
            "measure the ear with that coupler",
        )
    if not isinstance(kind, CouplerKind):
        raise NotPossibleHereError(asked, f"it does not start in a coupler but {recd.start.phrase}", "use an RECD")
    bridge = coupler_to_coupler(to, kind, frequency_hz)
    here = recd.on(bridge.grid, method="log_frequency", outside="refuse")
    return (bridge + here).named(f"RECD re {to.display_name}, converted")


def average_redd(transducer: Transducer, frequency_hz: FloatArray, *, ear: Ear) -> Transfer:
    """Average real-ear-to-dial difference: minimum audible pressure at the eardrum at 0 dB HL.

    Parameters
    ----------
    transducer : Transducer
        Supra-aural or circumaural earphone.
    frequency_hz : array (n,)
        Frequencies; those between tabulated ones are interpolated and marked. [Hz]
    ear : Ear
        Side it will stand for.

    Returns
    -------
    Transfer
        ``dial:transducer`` to the eardrum, with the spread of people as uncertainty. [dB]

    Notes
    -----
    Assumes that 0 dB HL means the average threshold whatever the transducer, so that one eardrum level serves all.

    References
    ----------
    Bentler & Pavlovic 1989 method (table ``redd_average``); spread from Saunders & Morgan 2003.
    """
    spread = Component(
        id=f"average_redd:{ear}",
        label="this ear and earphone placement against the average",
        contribution_db=np.array([EAR_SPREAD_U_DB]),
        across="full",
        evaluation="B",
        source="Saunders & Morgan 2003 (range, abstract read)",
    )
    return _tabulated(
        "redd_average", "derived-bentler-pavlovic-1989", "eardrum_at_0_db_hl_db_spl", frequency_hz,
        start=Plane.dial(transducer), end=Plane.eardrum(), quantity="average REDD", ear=ear, components=(spread,),
    )  # fmt: skip


def sound_field_threshold(frequency_hz: FloatArray) -> Transfer:
    """Free-field threshold, frontal incidence, both ears: dial to free field (ISO 389-7).

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies. [Hz]
    """
    return _tabulated(
        "sound_field_threshold", "iso-389-7-2005", "free_field_binaural_0deg_db_spl", frequency_hz,
        start=Plane.dial(Transducer.SOUND_FIELD), end=Plane.free_field(), quantity="MAF", ear=None, components=(),
    )  # fmt: skip


def field_to_eardrum(frequency_hz: FloatArray, *, ear: Ear | None) -> Transfer:
    """Average adult real-ear unaided gain, frontal incidence (ANSI S3.5-1997 Table 3): free field to eardrum.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies. [Hz]
    ear : Ear or None
        Side it will stand for.
    """
    spread = Component(
        id=f"reug:{ear}",
        label="this ear's unaided gain against the average",
        contribution_db=np.array([UNAIDED_SPREAD_U_DB]),
        across="full",
        evaluation="B",
        source="assumed",
    )
    return _tabulated(
        "field_to_eardrum", "ansi-s3.5-1997", "ansi_s3p5_free_field_to_eardrum_db", frequency_hz,
        start=Plane.free_field(), end=Plane.eardrum(), quantity="average REUG", ear=ear, components=(spread,),
    )  # fmt: skip


def _tabulated(  # noqa: PLR0913  (a transfer's tags and its table)
    name: str,
    source: str,
    column: str,
    frequency_hz: FloatArray,
    *,
    start: Plane,
    end: Plane,
    quantity: str,
    ear: Ear | None,
    components: tuple[Component, ...],
) -> Transfer:
    table = refdata.table(name, source=source)
    read = refdata.interpolate(table, column, frequency_hz)
    values = read.require_inside()
    citation = table.brief(column)
    reason = f"between tabulated frequencies of table {table.name}"
    states = States.ok(frequency_hz.size).marked(PointState.INTERPOLATED, read.interpolated, reason)
    return Transfer.given(
        Grid.tones(frequency_hz),
        values,
        start=start,
        end=end,
        tags=_no_tags(quantity, ear),
        source=citation,
        components=components,
        states=states,
    )
