"""A chart, and a figure of several charts: the specification that is drawn, stored and exchanged."""

from __future__ import annotations

import re
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

from umbo.chart._axis import FrequencyAxis, LevelAxis
from umbo.chart._input_axis import InputAxis
from umbo.errors import InputError

if TYPE_CHECKING:
    from umbo.chart._layers import Band, Limit, Marks, Note, Series

__all__ = ["Chart", "Figure"]

_ID = re.compile(r"[a-z][a-z0-9-]*\Z")
_SCHEMA = 1


@dataclass(frozen=True, slots=True)
class Chart:
    """One pair of axes with everything on it.

    Parameters
    ----------
    id : str
        Lower-case letters, digits and hyphens; all element ids start with it, so keep it unique on a page.
    title : str
        One line that says what is seen.
    alt : str
        What the chart says, for a reader who does not see it.
    level : LevelAxis
        The vertical axis.
    frequency : FrequencyAxis or InputAxis
        The horizontal axis.
    series, marks, bands, limits, notes
        The layers, drawn from bands (at the back) to marks (in front).
    subtitle, caption : str
        Smaller text above and below.
    height_px : float
        Height of the plot itself. [px]
    coverage_k : float
        Uncertainties are drawn as this many standard uncertainties either way. [1]
    reference_db : float, optional
        A level drawn as a firmer grid line, such as 0 dB. [dB]

    Raises
    ------
    InputError
        If the id is not usable, title or alt text are empty, or a layer lies beyond the frequency axis.
    """

    id: str
    title: str
    alt: str
    level: LevelAxis
    frequency: FrequencyAxis | InputAxis = field(default_factory=FrequencyAxis)
    series: tuple[Series, ...] = ()
    marks: tuple[Marks, ...] = ()
    bands: tuple[Band, ...] = ()
    limits: tuple[Limit, ...] = ()
    notes: tuple[Note, ...] = ()
    subtitle: str = ""
    caption: str = ""
    height_px: float = 300.0
    coverage_k: float = 2.0
    reference_db: float | None = None

    def __post_init__(self) -> None:
        _check_head(self.id, self.title, self.alt)
        everything: tuple[Series | Marks | Band, ...] = (*self.points, *self.bands)
        for layer in everything:
            outside = [hz for hz in layer.frequency_hz if not self.frequency.covers(hz)]
            if outside:
                raise InputError(
                    f"draw {layer.label!r} on the chart {self.id!r}",
                    f"its point at {outside[0]:g} {self.frequency.unit} lies beyond the axis, {self.frequency.span}",
                    "widen the axis or leave the point out on purpose",
                )
        if not (self.height_px >= 60.0 and self.coverage_k > 0.0):
            raise InputError(
                f"draw the chart {self.id!r}",
                f"its height is {self.height_px:g} px and its coverage factor {self.coverage_k:g}",
                "give at least 60 px and a positive factor",
            )

    @property
    def points(self) -> tuple[Series | Marks, ...]:
        """Every layer that is made of points: the curves, then the marks."""
        return (*self.series, *self.marks)

    def to_dict(self) -> dict[str, Any]:
        """Write the specification as plain data that JSON can hold."""
        return {"schema": _SCHEMA, "kind": "chart", **asdict(self)}


@dataclass(frozen=True, slots=True)
class Figure:
    """Charts in rows, with one title and one key.

    Parameters
    ----------
    id : str
        As for `Chart`.
    rows : tuple of tuple of Chart
        The charts, row by row; the charts of one row share its width equally.
    title, alt : str
        As for `Chart`.
    subtitle, caption : str
        Smaller text above and below everything.

    Raises
    ------
    InputError
        If there is no chart, a row is empty, two charts have the same id, or a text is missing.
    """

    id: str
    rows: tuple[tuple[Chart, ...], ...]
    title: str
    alt: str
    subtitle: str = ""
    caption: str = ""

    def __post_init__(self) -> None:
        _check_head(self.id, self.title, self.alt)
        ids = [chart.id for row in self.rows for chart in row]
        if not self.rows or not all(self.rows) or len({*ids, self.id}) != len(ids) + 1:
            raise InputError(
                f"draw the figure {self.id!r}",
                f"its rows hold the charts {[[chart.id for chart in row] for row in self.rows]}",
                "give at least one chart per row, each with an id of its own",
            )

    @property
    def charts(self) -> tuple[Chart, ...]:
        """All charts, row by row."""
        return tuple(chart for row in self.rows for chart in row)

    def to_dict(self) -> dict[str, Any]:
        """Write the specification as plain data that JSON can hold."""
        return {"schema": _SCHEMA, "kind": "figure", **asdict(self)}


def _check_head(identity: str, title: str, alt: str) -> None:
    if not _ID.match(identity):
        raise InputError(
            "draw a chart",
            f"its id is {identity!r}",
            "use lower-case letters, digits and hyphens, a letter first",
        )
    if not (title.strip() and alt.strip()):
        raise InputError(
            f"draw the chart {identity!r}",
            "its title or its alternative text is empty",
            "say in words what the chart shows: not every reader sees it",
        )
