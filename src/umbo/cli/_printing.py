"""What the commands share in printing: JSON, tables and findings."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from umbo.core import Grid
from umbo.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable

    from rich.console import Console

    from umbo.chart import Chart, Figure
    from umbo.record import FindingRecord, Part

__all__ = ["GRIDS", "console", "dump", "print_findings", "progress", "require_chart_ending", "table_of", "write_chart"]

GRIDS = {"twelfth": Grid.twelfth_octave, "third": Grid.third_octave, "audiometric": Grid.audiometric}

_WEIGHT = {"info": "note", "warn": "warning", "stop": "stop"}


def dump(answer: Part) -> None:
    """Print an answer as JSON."""
    sys.stdout.write(answer.model_dump_json(by_alias=True, indent=1))
    sys.stdout.write("\n")


def console() -> Console:
    """Console on standard output that never wraps numbers into nonsense when piped."""
    from rich.console import Console  # noqa: PLC0415

    return Console(highlight=False, soft_wrap=False, width=None if sys.stdout.isatty() else 110)


def table_of(title: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> object:
    """A plain table; columns of numbers are set right, columns of words left."""
    from rich import box  # noqa: PLC0415
    from rich.console import Group  # noqa: PLC0415
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    table = Table(box=box.SIMPLE_HEAD)
    for i, head in enumerate(heads):
        is_number = all(not row[i] or row[i][0] in "-+−.0123456789" for row in rows)
        table.add_column(head, justify="right" if is_number else "left")
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))  # a name in brackets is no markup
    return Group(Text(title, style="bold"), table) if title else table


def print_findings(out: Console, findings: Sequence[FindingRecord]) -> None:
    """Findings with their next action, worst first."""
    for finding in findings:
        out.print(f"  {_WEIGHT[finding.severity]}: {finding.text}", markup=False)
        out.print(f"      → {finding.action}", markup=False)


@contextmanager
def progress(quiet: bool) -> Iterator[Callable[[str], None]]:
    """A progress line on standard error for long work; nothing when piped or quiet."""
    if quiet or not sys.stderr.isatty():
        yield lambda _phrase: None
        return
    from rich.console import Console  # noqa: PLC0415
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn  # noqa: PLC0415

    columns = (SpinnerColumn(), TextColumn("{task.description}"), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("starting")
        yield lambda phrase: bar.update(task, description=phrase)


def require_chart_ending(path: Path) -> str:
    """The ending of a chart's name, before any long work.

    Raises
    ------
    InputError
        If it is neither .svg nor .png.
    """
    ending = path.suffix.lower()
    if ending not in (".svg", ".png"):
        raise InputError(
            f"write the chart '{path.name}'",
            f"its ending '{ending}' is neither .svg nor .png",
            "name one of these",
        )
    return ending


def write_chart(path: Path, chart: Chart | Figure, *, width_px: float = 720.0) -> None:
    """Write a chart as SVG or PNG, by the ending of its name.

    Raises
    ------
    InputError
        For another ending, or a folder that does not take it.
    """
    from umbo.chart import render_png, render_svg  # noqa: PLC0415
    from umbo.interchange import write_bytes  # noqa: PLC0415

    if require_chart_ending(path) == ".svg":
        write_bytes(path, render_svg(chart, width_px=width_px).encode())
    else:
        write_bytes(path, render_png(chart, width_px=width_px))
