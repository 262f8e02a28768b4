"""``umbo recd``."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from umbo.cli._printing import GRIDS, console, dump, print_findings, progress, table_of, write_chart
from umbo.interchange import open_case
from umbo.record import CouplerComparison, GradedRecd, recd_answer
from umbo.session import run_recds

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["print_recd", "recd"]

#: Rows of the tables, as far as the curve reaches. [Hz]
_SHOWN_HZ = (250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000, 10000, 12500, 16000)

#: A row shows the point nearest to its frequency, if it is this near (a twelfth-octave is 0.06 wide). [1]
_NEAR = 0.04


def recd(case: Path, *, as_json: bool, grid: str, plot: Path | None) -> int:
    """Answer the RECDs of a case."""
    with progress(as_json) as tell:
        folder = open_case(case)
        tell("reading the recordings")
        found = run_recds(folder.plan, folder, GRIDS[grid]())
    answer = recd_answer(folder.plan.case_id, found)
    if plot is not None:
        from umbo.report import recd_figure  # noqa: PLC0415

        write_chart(plot, recd_figure(answer))
    if as_json:
        dump(answer)
        return 0
    out = console()
    for side, records in answer.ears.items():
        if not records:
            out.print(f"{side} ear: no coupler and probe-tip reading belong together; no RECD.")
        for record in records:
            print_recd(out, side, record)
        for comparison in answer.comparisons.get(side, []):
            _print_comparison(out, side, comparison)
    return 0


def _shown(frequency_hz: Sequence[float]) -> Iterator[tuple[int, int]]:
    """Frequencies of the table that the curve has, each with its place."""
    for hz in _SHOWN_HZ:
        i = min(range(len(frequency_hz)), key=lambda k: abs(frequency_hz[k] - hz))
        if abs(frequency_hz[i] / hz - 1) <= _NEAR:
            yield hz, i


def _print_comparison(out: Console, side: str, pair: CouplerComparison) -> None:
    """One ear against two couplers: the ear curve, both couplers, their difference, both RECDs."""
    rows = []
    for hz, i in _shown(pair.frequency_hz):
        values = (
            pair.ear_curve_db[i],
            pair.first.coupler_curve_db[i],
            pair.second.coupler_curve_db[i],
            pair.second_minus_first_db[i],
            pair.first.recd_db[i],
            pair.second.recd_db[i],
        )
        rows.append((f"{hz}", *(f"{value:.1f}" for value in values)))
    one, other = pair.first.coupler, pair.second.coupler
    heads = ("Hz", "ear", one, other, f"{other} − {one}", f"RECD re {one}", f"RECD re {other}")
    out.print(table_of(f"{side} ear against {one} and {other}, dB", heads, rows))
    if pair.expected_difference_db is not None:
        more = f"{pair.expected_difference_db:.1f} dB more"
        out.print(f"  An ideal source would read {more} in the 0.4 cc coupler up to about 4 kHz.", markup=False)
    out.print()


def print_recd(out: Console, side: str, record: GradedRecd) -> None:
    """One RECD as a table with its grade and findings."""
    rows = []
    for hz, i in _shown(record.frequency_hz):
        rows.append((f"{hz}", f"{record.level_db[i]:.1f}", f"{record.u_db[i]:.2f}", record.state[i].replace("_", " ")))
    title = f"{side} ear, RECD re {record.coupler} ({record.source}, {record.coupling.replace('_', ' ')})"
    out.print(table_of(title, ("Hz", "RECD dB", "u dB", "state"), rows))
    limit = record.limits[0]
    out.print(f"  grade {record.grade}: {' '.join(record.grade_reasons)}", markup=False)
    out.print(f"  trusted to {record.trusted_max_hz:.0f} Hz: {limit.reason}", markup=False)
    print_findings(out, record.findings)
    out.print()
