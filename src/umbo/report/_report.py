"""The printed report."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from umbo.chart import RECD, Chart, LevelAxis, Series, render_svg
from umbo.record import VerifyAnswer
from umbo.report._density import DENSITIES, shortened
from umbo.report._drawing import PT_A_PX, drawn
from umbo.report._engine import compile_template, query_template
from umbo.report._family_page import family_page
from umbo.report._glyphs import legible_data
from umbo.report._record_figure import recds_chart, record_figure
from umbo.report._record_page import record_page

__all__ = ["report_pdf", "self_test_pdf"]

_TOP_MM, _BOTTOM_MM = 10.0, 12.0
_FOOT_LETTERS = 30

#: Text room of a page. [pt]
_PAGE_PT = 842.0 - (_TOP_MM + _BOTTOM_MM) * 72.0 / 25.4
_WIDTH_PT, _SMALL_WIDTH_PT = 182.0 * 72.0 / 25.4, 226.0

#: Guess of what stands around the plots of the figure. [px]
_AROUND_PX, _TRIES = 170.0, 3
_LEAST_GAP_PT, _LEAST_PLOTS_PX, _MOST_PLOTS_PX, _SMALL_PLOT_PX = 6.0, 100.0, 420.0, 92.0


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
    small = drawn(recds_chart(answer, _SMALL_PLOT_PX), _SMALL_WIDTH_PT)
    record, room_pt = _fitting_page(answer, small)
    case, client = (shortened(text, _FOOT_LETTERS) for text in (answer.case, answer.client))
    data: dict[str, Any] = {
        "title": f"Hearing-aid verification, case {case}",
        "software": answer.software,
        "footer": f"{answer.software} · case {case} · client {client}",
        "record": record,
        "family": family_page(answer),
    }
    data = legible_data(data)
    data["record"]["figure"] = _figure(answer, room_pt)
    return compile_template("report.typ", data, timestamp_s=timestamp_s(answer.measured))


def _fitting_page(answer: VerifyAnswer, small: dict[str, Any] | None) -> tuple[dict[str, Any], float]:
    """Choose the fullest page that leaves the figure its room; returns it with that room. [pt]"""
    pages = [legible_data(record_page(answer, density)) | {"small_figure": small} for density in DENSITIES]
    heights = query_template("room.typ", pages, "room")
    rooms = [_PAGE_PT - found["text"] - _LEAST_GAP_PT * found["gaps"] for found in heights]
    for page, room_pt, density in zip(pages, rooms, DENSITIES, strict=True):
        if room_pt >= density.least_figure_pt:
            return page, room_pt
    return pages[-1], rooms[-1]


def _figure(answer: VerifyAnswer, room_pt: float) -> dict[str, Any] | None:
    """Draw the figure as high as its room allows; what stands around the plots is guessed first, then known."""
    around_px = _AROUND_PX
    for _ in range(_TRIES):
        plots_px = min(max(room_pt / PT_A_PX - around_px, _LEAST_PLOTS_PX), _MOST_PLOTS_PX)
        figure = drawn(record_figure(answer, plots_px), _WIDTH_PT)
        if figure is None or figure["height_pt"] <= room_pt or plots_px == _LEAST_PLOTS_PX:
            break
        around_px += (figure["height_pt"] - room_pt) / PT_A_PX + 1.0
    return figure


def timestamp_s(measured: str | None) -> int:
    """Date the document by the measurement, else by the first day of 1970: never by a clock. [s]"""
    try:
        day = date.fromisoformat(measured or "")
    except ValueError:
        return 0
    return int(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp())


def self_test_pdf() -> bytes:
    """Print a tiny page, to show that the typesetter, its fonts and a drawing work here.

    Returns
    -------
    bytes
        A tagged PDF of one small page.
    """
    line = Series("a line", RECD, (250.0, 1000.0, 4000.0), (0.0, 5.0, 10.0))
    chart = Chart("self-test", "Self-test", "A line that rises.", LevelAxis(-5.0, 15.0, "dB", "dB"), series=(line,))
    data = legible_data({"text": "umbo self-test: letters, an accent (é), a sign (≥) and a drawing."})
    return compile_template("self_test.typ", data | {"svg": render_svg(chart, interactive=False), "alt": chart.alt})
