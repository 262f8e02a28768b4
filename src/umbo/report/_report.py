"""The printed report."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from typing import Any

from umbo.chart import hue, render_svg
from umbo.record import VerifyAnswer
from umbo.report._density import DENSITIES
from umbo.report._engine import compile_template, query_template
from umbo.report._family_page import family_page
from umbo.report._glyphs import legible_data
from umbo.report._record_figure import record_figure
from umbo.report._record_page import record_page

__all__ = ["report_pdf", "self_test_pdf"]

#: Text room of the record page. [pt]
_PAGE_PT = (842.0 - (11.0 + 13.0) * 72.0 / 25.4)
_WIDTH_PT = 182.0 * 72.0 / 25.4

#: One unit of a drawing on paper: the smallest letters, 11 units high, are 7 pt. [pt]
_PT_A_PX = 7.04 / 11.0
_AROUND_ONE_PX, _AROUND_TWO_PX, _TRIES = 220.0, 330.0, 3
_HEIGHT = re.compile(r'<svg[^>]* height="([0-9.]+)"')
_LEAST_GAP_PT, _LEAST_PLOTS_PX, _MOST_PLOTS_PX = 7.0, 60.0, 420.0


def report_pdf(answer: VerifyAnswer) -> bytes:
    """Print a record: one page for the record, one in plain words for the family.

    Parameters
    ----------
    answer : VerifyAnswer
        The record; nothing is computed that it does not hold.

    Returns
    -------
    bytes
        A tagged PDF (PDF/UA-1 and PDF/A-2a) of two A4 pages, the same for the same record.
    """
    record, room_pt = _fitting_page(answer)
    data = {
        "title": f"Hearing-aid verification, case {answer.case}",
        "software": answer.software,
        "footer": f"{answer.software} · case {answer.case} · client {answer.client}",
        "record": record,
        "family": family_page(answer),
    }
    data = legible_data(data)
    data["record"]["figure"] = _figure(answer, room_pt)
    return compile_template("report.typ", data, timestamp_s=_timestamp(answer.measured))


def _fitting_page(answer: VerifyAnswer) -> tuple[dict[str, Any], float]:
    """Choose the fullest page that leaves the figure its room; returns it with that room. [pt]"""
    pages = [legible_data(record_page(answer, density)) for density in DENSITIES]
    heights = query_template("room.typ", pages, "room")
    rooms = [_PAGE_PT - found["text"] - _LEAST_GAP_PT * found["gaps"] for found in heights]
    import sys; print([(round(h['text']),h['gaps']) for h in heights], [round(r) for r in rooms],file=sys.stderr)
    for page, room_pt, density in zip(pages, rooms, DENSITIES, strict=True):
        if room_pt >= density.least_figure_pt:
            return page, room_pt
    return pages[-1], rooms[-1]


def _figure(answer: VerifyAnswer, room_pt: float) -> dict[str, str] | None:
    """Draw the figure as high as its room allows; what stands around the plots is guessed first, then known."""
    room_px = room_pt / _PT_A_PX
    around_px = _AROUND_ONE_PX if len(answer.ears) == 1 else _AROUND_TWO_PX
    for _ in range(_TRIES):
        plots_px = min(max(room_px - around_px, _LEAST_PLOTS_PX), _MOST_PLOTS_PX)
        figure = record_figure(answer, plots_px)
        if figure is None:
            return None
        svg = render_svg(figure, width_px=_WIDTH_PT / _PT_A_PX, interactive=False)
        height_px = float(_HEIGHT.search(svg)[1])  # type: ignore[index]  # every drawing states its height
        if height_px <= room_px or plots_px == _LEAST_PLOTS_PX:
            break
        around_px += height_px - room_px + 1.0
    return {"svg": svg, "alt": figure.alt}


def _timestamp(measured: str | None) -> int:
    """Date the document by the measurement, else by the first day of 1970: never by a clock. [s]"""
    try:
        day = date.fromisoformat(measured or "")
    except ValueError:
        return 0
    return int(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp())
