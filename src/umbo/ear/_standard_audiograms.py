"""Standard audiograms as ready examples."""

from __future__ import annotations

import re

import numpy as np

from umbo import refdata
from umbo.core import Coupling, Ear, Grid, Level, Plane, Statistic, Tags, Transducer
from umbo.errors import InputError

__all__ = ["standard_audiogram", "standard_audiogram_names"]

_COLUMN = re.compile(r"threshold_(\d+)_hz_db_hl")


def standard_audiogram_names() -> tuple[str, ...]:
    """Names of the standard audiograms: N1 to N7 flat and moderately sloping, S1 to S3 steeply sloping."""
    return refdata.table("standard_audiograms", source="bisgaard-2010").text("name")


def standard_audiogram(name: str, *, ear: Ear, transducer: Transducer = Transducer.INSERT) -> Level:
    """Hearing thresholds of a standard audiogram on the dial, for examples, teaching and tests.

    Parameters
    ----------
    name : str
        One of :func:`standard_audiogram_names`, for example "N3".
    ear : Ear
        Side it will stand for.
    transducer : Transducer
        Dial it stands on; the set states none, and an insert earphone with foam tip is taken when this is left out.

    Returns
    -------
    Level
        At 250, 375, 500, 750 Hz, 1, 1.5, 2, 3, 4 and 6 kHz, without uncertainty: exact by convention. [dB HL]

    Raises
    ------
    InputError
        If there is no audiogram of that name.

    References
    ----------
    Bisgaard, Vlaming & Dahlquist 2010 as transcribed in the table ``standard_audiograms`` (2 sources), for the
    procedure of IEC 60118-15.

    Examples
    --------
    >>> standard_audiogram("N3", ear=Ear.RIGHT).value_at(1000)
    40.0
    """
    table = refdata.table("standard_audiograms", source="bisgaard-2010")
    names = table.text("name")
    if name not in names:
        raise InputError(
            f"take the standard audiogram '{name}'", f"there are {', '.join(names)}", "name one of these, as written"
        )
    columns = {float(match[1]): c.name for c in table.sidecar.columns if (match := _COLUMN.fullmatch(c.name))}
    is_insert = transducer is Transducer.INSERT
    tags = Tags(
        quantity="threshold",
        ear=ear,
        stimulus=None,
        statistic=Statistic.THRESHOLD,
        coupling=Coupling.FOAM_TIP if is_insert else None,
        source=None,
    )
    return Level.given(
        Grid.tones(np.array(list(columns))),
        [table.at(name, column) for column in columns.values()],
        plane=Plane.dial(transducer),
        tags=tags,
        source=f"standard audiogram {name}, {table.brief(columns[1000.0])}",
    )
