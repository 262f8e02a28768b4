"""``umbo response``."""

from __future__ import annotations

from pathlib import Path

from umbo.cli._printing import GRIDS, console, dump, print_findings, table_of, write_chart
from umbo.errors import InputError, NotPossibleHereError
from umbo.interchange import open_case
from umbo.record import ResponseRecord, response_answer
from umbo.session import read_take

__all__ = ["response"]


def response(case: Path, *, recording: str, as_json: bool, grid: str, plot: Path | None) -> int:
    """Answer one recording as a curve."""
    folder = open_case(case)
    take = next((t for t in folder.plan.takes if t.name == recording), None)
    if take is None:
        names = ", ".join(f"'{t.name}'" for t in folder.plan.takes) or "none"
        raise InputError(f"show the recording '{recording}'", f"the case names {names}", "name one of these")
    reading = read_take(take, folder.plan, folder)
    if reading is None:
        kind = folder.plan.stimuli[take.stimulus].kind
        raise NotPossibleHereError(
            f"show the recording '{recording}' as a curve",
            f"its stimulus is of the kind '{kind}', which gives no response curve",
            "use a sweep, speech or noise recording",
        )
    answer = response_answer(folder.plan.case_id, take, reading, GRIDS[grid]())
    if plot is not None:
        from umbo.report import response_figure  # noqa: PLC0415

        write_chart(plot, response_figure(answer))
    if as_json:
        dump(answer)
    else:
        _print(answer.response)
    return 0


def _print(record: ResponseRecord) -> None:
    out = console()
    orders = [order for order in ("2", "3") if order in record.harmonics]
    shares = sorted(record.percentiles, key=int)
    rows = []
    step = max(1, len(record.frequency_hz) // 28)
    for i in range(0, len(record.frequency_hz), step):
        noise = record.noise_db[i]
        row = [
            f"{record.frequency_hz[i]:.0f}",
            f"{record.level_db[i]:.1f}",
            f"{record.u_db[i]:.2f}",
            "" if noise is None else f"{noise:.1f}",
        ]
        for order in orders:
            share = record.harmonics[order].percent[i]
            row.append("" if share is None else f"{share:.2f}")
        row += [f"{record.percentiles[p][i]:.1f}" for p in shares]
        rows.append((*row, record.state[i].replace("_", " ")))
    heads = (
        "Hz",
        record.unit,
        "u dB",
        "noise",
        *(f"H{o} %" for o in orders),
        *(f"{p} %" for p in shares),
        "state",
    )
    title = f"{record.recording}: {record.quantity}, {record.plane}, {record.ear} ear"
    out.print(table_of(title, heads, rows))
    print_findings(out, record.findings)
