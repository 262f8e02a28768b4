"""The printed report of the aids by themselves."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from umbo.chart import Figure
from umbo.record import AidAnswer
from umbo.report._aid_figure import aid_charts
from umbo.report._aid_page import aid_case, aid_page
from umbo.report._density import shortened
from umbo.report._drawing import drawn
from umbo.report._engine import compile_template
from umbo.report._glyphs import legible_data
from umbo.report._report import timestamp_s

__all__ = ["aid_report_pdf"]

_WIDTH_PT = 182.0 * 72.0 / 25.4
_PLOT_PX = 96.0
_PANELS_A_ROW = 2
_LETTERS = 30


def aid_report_pdf(answer: AidAnswer) -> bytes:
    """Print an answer about aids: data sheet, curves, features and remarks, a page for each aid.

    Parameters
    ----------
    answer : AidAnswer
        The answer; nothing is computed that it does not hold.

    Returns
    -------
    bytes
        A tagged PDF (PDF/UA-1 and PDF/A-2a) of A4 pages, the same for the same answer.
    """
    case, client = (shortened(text, _LETTERS) for text in (answer.case, answer.client))
    pages: list[dict[str, Any]] = []
    for side, aids in answer.ears.items():
        now = [aid for aid in aids if aid.run == "now"]
        if now:
            page: dict[str, Any] = legible_data(aid_page(answer, side, now))
            pages.append(page | {"figure": _figure(answer, side)})
    data = legible_data(
        {
            "title": f"Hearing aids by themselves, case {case}",
            "software": answer.software,
            "footer": f"{answer.software} · case {case} · client {client}",
            **aid_case(answer),
        }
    )
    return compile_template("aid.typ", data | {"pages": pages}, timestamp_s=timestamp_s(answer.measured))


def _figure(answer: AidAnswer, side: str) -> dict[str, Any] | None:
    charts = [replace(chart, title=_short(chart.title)) for chart in aid_charts(answer, side, _PLOT_PX)]
    if not charts:
        return None
    rows = tuple(tuple(charts[i : i + _PANELS_A_ROW]) for i in range(0, len(charts), _PANELS_A_ROW))
    alt = " ".join(chart.alt for chart in charts)
    return drawn(Figure(f"aid-{side}", rows, title=f"{side.capitalize()} aid", alt=alt), _WIDTH_PT)


def _short(title: str) -> str:
    """The title without what the page says: whose aid it is."""
    head, _, rest = title.partition(": ")
    coupler = head.partition(", ")[2]
    return f"{rest[:1].upper()}{rest[1:]}, {coupler}" if rest else title
