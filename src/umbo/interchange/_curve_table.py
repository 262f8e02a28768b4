"""A curve as a plain table with a header that says what it is: what a CSV file holds."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from umbo.core import Curve, Difference, Level, PointState, Transfer

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["COLUMNS", "CurveTable", "curve_table"]

#: Columns of a curve file: the first two always, the others where there is something to say.
COLUMNS = ("frequency_hz", "level_db", "u_db", "noise_db", "state")


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveTable:
    """One curve as a file holds it.

    Parameters
    ----------
    frequency_hz : tuple of float
        Ascending. [Hz]
    level_db : tuple of float
        One per frequency. [dB]
    u_db : tuple of float, optional
        Standard uncertainty, k = 1. [dB]
    noise_db : tuple of float, optional
        Level of the noise in the same band. [dB]
    state : tuple of PointState, optional
        Whether each point may be believed.
    header : mapping
        What the curve is: ``plane`` and ``reference`` on writing, and what else is known.
    """

    frequency_hz: tuple[float, ...]
    level_db: tuple[float, ...]
    u_db: tuple[float, ...] | None = None
    noise_db: tuple[float, ...] | None = None
    state: tuple[PointState, ...] | None = None
    header: Mapping[str, str] = field(default_factory=dict)


def curve_table(curve: Curve, noise_db: tuple[float, ...] | None = None) -> CurveTable:
    """Table of a level, transfer or difference, with its states and a header that states plane and reference.

    Parameters
    ----------
    curve : Level, Transfer or Difference
        The curve.
    noise_db : tuple of float, optional
        Level of the noise, one per point. [dB]
    """
    return CurveTable(
        frequency_hz=tuple(curve.frequency_hz.tolist()),
        level_db=tuple(curve.level_db.tolist()),
        u_db=tuple(curve.u_db.tolist()),
        noise_db=noise_db,
        state=tuple(curve.state_at(f) for f in curve.frequency_hz.tolist()),
        header=_header(curve),
    )


def _header(curve: Curve) -> dict[str, str]:
    tags = curve.tags
    said = {
        "quantity": tags.quantity,
        **_place(curve),
        "bandwidth": str(curve.grid.bandwidth),
        "statistic": tags.statistic,
        "ear": tags.ear,
        "coupling": tags.coupling,
        "source": tags.source,
        "stimulus": tags.stimulus,
        "uncertainty": "standard uncertainty, k = 1",
    }
    return {key: str(value) for key, value in said.items() if value is not None}


def _place(curve: Curve) -> dict[str, str]:
    if isinstance(curve, Transfer):
        return {"plane": f"{curve.start} -> {curve.end}", "reference": f"the level at {curve.start}"}
    if isinstance(curve, Difference):
        return {"plane": str(curve.plane), "reference": "the other level at the same plane"}
    if isinstance(curve, Level):
        named = {"dB SPL": "20 µPa", "dB HL": "RETSPL of the transducer", "dB FS": "digital full scale"}
        return {"plane": str(curve.plane), "reference": named[curve.plane.unit], "unit": curve.plane.unit}
    return {}
