"""Microphone-location effect: what the head does to the sound at the worn aid's microphone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.core import Component, Finding, Grid, Plane, Severity, Tags, Transfer

if TYPE_CHECKING:
    from umbo.core import Ear, FloatArray

__all__ = ["microphone_location_effect", "unknown_microphone_location_effect"]

#: Standard uncertainty of an effect given for a style of aid: heads and places differ (assumed). [dB]
GIVEN_MLE_U_DB = 1.0

#: Standard uncertainty when no effect is known: it is 0.5 to 3 dB behind the ear (assumed). [dB]
UNKNOWN_MLE_U_DB = 2.0


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

    Returns
    -------
    Transfer
        From the eardrum to the eardrum: added where the level has arrived, whatever coupler it came from. [dB]

    Notes
    -----
    Added at the output, as F5 does: exact for a linear aid; a compressive one passes on less of it.
    """
    u = np.array([GIVEN_MLE_U_DB])
    component = Component(
        f"mle:{ear}", "microphone-location effect", u, "full", "B", "heads and places differ, assumed"
    )
    own, drum = Grid(frequency_hz, grid.bandwidth), Plane.eardrum()
    given = Transfer.given(own, level_db, start=drum, end=drum, tags=_tags(ear), source=source, components=[component])
    return given.on(grid, method="log_frequency", outside="hold")


def unknown_microphone_location_effect(grid: Grid, *, ear: Ear) -> tuple[Transfer, Finding]:
    """No microphone-location effect is known: 0 dB with its spread, and the finding that says so.

    Parameters
    ----------
    grid : Grid
        Where it is wanted.
    ear : Ear
        Side.
    """
    drum = Plane.eardrum()
    u = np.array([UNKNOWN_MLE_U_DB])
    component = Component(f"mle:{ear}", "microphone-location effect not known", u, "full", "B", "assumed")
    transfer = Transfer.given(
        grid,
        np.zeros(grid.size),
        start=drum,
        end=drum,
        tags=_tags(ear),
        source="not known, taken as 0 dB",
        components=[component],
    )
    text = (
        "No microphone-location effect was given: taken as 0 dB with a standard uncertainty of "
        f"{UNKNOWN_MLE_U_DB:g} dB."
    )
    action = "Give the effect for this aid's style and place of the microphone."
    return transfer, Finding("mle_not_known", Severity.INFO, text, action, "assumed")


def _tags(ear: Ear) -> Tags:
    return Tags(
        quantity="microphone-location effect", ear=ear, stimulus=None, statistic=None, coupling=None, source=None
    )
