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
from umbo.ear._reference_thresholds import joined_rows
from umbo.errors import NotPossibleHereError

__all__ = [
    "average_redd",
    "convert_recd",
    "coupler_to_coupler",
    "measured_redd",
    "retspl",
    "sound_field_threshold",
]

_RETSPL_PARTS = {
    CouplerKind.HA1: (("retspl_insert", "ansi-s3.6-undated", "er3a_ha1_db_spl"),),
    CouplerKind.HA2: (("retspl_insert", "iso-389-2-1994", "er3a_ha2_db_spl"),),
    CouplerKind.OES: (
        ("retspl_insert", "iso-389-2-1994", "er3a_oes_db_spl"),
        ("retspl_insert", "iso-389-5-2006", "er2_oes_db_spl"),
    ),
}

#: Spread of eardrum level at one dial level: up to 40 dB over 1814 ears (Saunders & Morgan 2003, abstract read), read
#: as ±3.3 standard deviations of a normal distribution. [dB]
EAR_SPREAD_U_DB = 40 / 6.6


def _no_tags(quantity: str, ear: Ear | None) -> Tags:
    return Tags(quantity=quantity, ear=ear, stimulus=None, statistic=None, coupling=None, source=None)


def retspl(kind: CouplerKind, frequency_hz: FloatArray) -> Transfer:
    """Reference equivalent threshold level of an audiometric insert earphone: dial to coupler.

    Parameters
    ----------
    kind : CouplerKind
        HA-1, HA-2 or the occluded-ear simulator.
    frequency_hz : array (n,)
        Audiometric frequencies the standard tabulates: to 8 kHz in HA-1 and HA-2, to 16 kHz in the ear simulator. [Hz]

    Returns
    -------
    Transfer
        ``dial:insert`` to ``coupler:kind``; exact by convention, so without uncertainty. [dB]

    Raises
    ------
    NotPossibleHereError
        For a coupler without RETSPLs.
    OutOfRangeError
        For a frequency that is not tabulated; beyond the end the sentence names the highest that is.

    Notes
    -----
    In the ear simulator the values above 8 kHz belong to an earphone for extended high frequencies, those up to 8 kHz
    to the conventional one; at 8 kHz, where both have a value, they differ by 3.5 dB.

    References
    ----------
    ISO 389-2:1994 / ANSI S3.6 and, above 8 kHz, ISO 389-5:2006, as transcribed in the tables ``retspl_insert``.
    """
    if kind not in _RETSPL_PARTS:
        raise NotPossibleHereError(
            f"refer insert-earphone thresholds to the {kind.display_name}",
            "no standard tabulates RETSPLs for that coupler",
            "use the RETSPL and the RECD of HA-1, HA-2 or the occluded-ear simulator",
        )
    what = f"the RETSPL of insert earphones in the {kind.display_name}"
    values, source = joined_rows(what, _RETSPL_PARTS[kind], frequency_hz)
    return Transfer.given(
        Grid.tones(frequency_hz),
        values,
        start=Plane.dial(Transducer.INSERT),
        end=Plane.coupler(kind),
        tags=_no_tags(f"RETSPL {kind.display_name}", None),
        source=source,
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


def measured_redd(transducer: Transducer, frequency_hz: FloatArray, redd_db: FloatArray, *, ear: Ear) -> Transfer:
    r"""Real-ear-to-dial difference of this ear with this earphone, measured with a probe and entered as numbers.

    .. math:: REDD(f) = L_{eardrum}(f) - L_{dial}(f) \qquad (F3)

    Parameters
    ----------
    transducer : Transducer
        Supra-aural or circumaural earphone the thresholds were taken with.
    frequency_hz, redd_db : array (n,)
        Frequencies and differences. [Hz], [dB]
    ear : Ear
        Side.

    Returns
    -------
    Transfer
        ``dial:transducer`` to the eardrum. [dB]

    References
    ----------
    Uncertainty: eardrum levels from a real-ear difference and from a direct probe differ rarely by more than 3 dB
    (Munro & Davis 2003, abstract read), read as k = 2.
    """
    table = refdata.table("threshold_uncertainty", source="engineering-judgement")
    retest = Component(
        id=f"measured_redd:{transducer}:{ear}",
        label="retest of the real-ear-to-dial difference",
        contribution_db=np.array([table.at("measured_redd", "value")]),
        across="full",
        evaluation="B",
        source=f"Munro & Davis 2003 ({table.status_at('measured_redd', 'value')})",
    )
    return Transfer.given(
        Grid.tones(frequency_hz),
        redd_db,
        start=Plane.dial(transducer),
        end=Plane.eardrum(),
        tags=_no_tags("measured REDD", ear),
        source="entered, measured in this ear",
        components=[retest],
    )


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
