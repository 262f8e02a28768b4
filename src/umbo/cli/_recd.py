"""``umbo recd``."""

from __future__ import annotations

from pathlib import Path

from umbo.cli._printing import GRIDS, console, dump, print_findings, progress, table_of, write_chart
from umbo.interchange import open_case
from umbo.record import GradedRecd, recd_answer
from umbo.session import run_recds

__all__ = ["print_recd", "recd"]

_SHOWN_HZ = (250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000, 10000, 12500, 16000)


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
    return 0


def print_recd(out: object, side: str, record: GradedRecd) -> None:
    """One RECD as a table with its grade and findings."""
    from rich.console import Console  # noqa: PLC0415

    if not isinstance(out, Console):
        raise TypeError
    rows = []
    for hz in _SHOWN_HZ:
        i = min(range(len(record.frequency_hz)), key=lambda k: abs(record.frequency_hz[k] - hz))
        if abs(record.frequency_hz[i] / hz - 1) > 0.04:
            continue
        rows.append((f"{hz}", f"{record.level_db[i]:.1f}", f"{record.u_db[i]:.2f}", record.state[i].replace("_", " ")))
    title = f"{side} ear, RECD re {record.coupler} ({record.source}, {record.coupling.replace('_', ' ')})"
    out.print(table_of(title, ("Hz", "RECD dB", "u dB", "state"), rows))
    limit = record.limits[0]
    out.print(f"  grade {record.grade}: {' '.join(record.grade_reasons)}", markup=False)
    out.print(f"  trusted to {record.trusted_max_hz:.0f} Hz: {limit.reason}", markup=False)
    print_findings(out, record.findings)
    out.print()
