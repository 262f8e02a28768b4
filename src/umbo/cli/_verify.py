"""``umbo verify``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from umbo.cli._audibility import print_audibility
from umbo.cli._earlier import read_earlier
from umbo.cli._fit_printing import WORDS, print_criteria, print_since, print_to_try
from umbo.cli._folders import make_folder, require_outside
from umbo.cli._printing import (
    GRIDS,
    console,
    dump,
    print_findings,
    progress,
    require_chart_ending,
    table_of,
    write_chart,
)
from umbo.errors import InputError
from umbo.interchange import open_case, write_bytes
from umbo.record import EarVerification, VerifyAnswer, verify_answer
from umbo.session import run

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["answer_case", "print_answer", "verify", "write_answer", "write_picture"]

#: File name of an answer.
_ANSWER = "result.json"


def verify(
    case: Path, *, out: Path | None, as_json: bool, grid: str, since: Path | None = None, plot: Path | None = None
) -> int:
    """Verify a case; 0 if every ear is verified, else 1."""
    if out is not None:
        require_outside(case, out)
        _require_kept(since, out)
    if plot is not None:
        require_chart_ending(plot)
    answer = answer_case(case, grid=grid, quiet=as_json, since=since)
    if out is not None:
        write_answer(answer, out)
    if plot is not None:
        write_picture(answer, plot)
    if as_json:
        dump(answer)
    else:
        print_answer(answer)
        if out is not None:
            console().print(f"Answer and report: {out / 'result.json'}, {out / 'report.pdf'}", markup=False)
    return 0 if answer.verified else 1


def _require_kept(since: Path | None, out: Path) -> None:
    """Refuse to write over the earlier answer."""
    if since is not None and (out / _ANSWER).resolve() == since.resolve():
        raise InputError(
            f"write the answer to '{out}'",
            "it would replace the earlier answer it is compared with",
            "name another folder with --out",
        )


def answer_case(case: Path, *, grid: str, quiet: bool, since: Path | None = None) -> VerifyAnswer:
    """Open a case, run its plan, and make the answer of it, compared with an earlier one where that is given."""
    earlier = None if since is None else read_earlier(since)
    with progress(quiet) as tell:
        folder = open_case(case)
        return verify_answer(run(folder.plan, folder, grid=GRIDS[grid](), progress=tell, earlier=earlier))


def write_answer(answer: VerifyAnswer, out: Path) -> None:
    """Write result.json and report.pdf; each appears whole or not at all."""
    from umbo.report import report_pdf  # noqa: PLC0415

    pdf = report_pdf(answer)
    make_folder(out)
    write_bytes(out / "report.pdf", pdf)
    write_bytes(out / _ANSWER, (answer.model_dump_json(by_alias=True, indent=1) + "\n").encode())


def write_picture(answer: VerifyAnswer, plot: Path) -> None:
    """Write the levels at the eardrum of every ear into one picture."""
    from umbo.report import VERIFY_WIDTH_PX, verify_figure  # noqa: PLC0415

    write_chart(plot, verify_figure(answer), width_px=VERIFY_WIDTH_PX)


def print_answer(answer: VerifyAnswer) -> None:
    """The answer for a person at a terminal."""
    out = console()
    age = "age not known" if answer.age_months is None else f"{answer.age_months:.0f} months"
    out.print(f"Case {answer.case}, client {answer.client}, {age}", markup=False, style="bold")
    for side, ear in answer.ears.items():
        _print_ear(out, side, ear)
    print_findings(out, answer.findings)
    print_since(out, answer.since)
    word = "verified" if answer.verified else "not verified"
    out.print(f"This fitting is {word}.", style="bold")
    out.print(f"Caution: {answer.cautions[0]}", markup=False)


def _print_ear(out: Console, side: str, ear: EarVerification) -> None:
    heads = ("RECD re", "source", "grade", "trusted to", "limit by", "tip to drum")
    rows = [
        (
            recd.coupler,
            recd.source,
            recd.grade,
            f"{recd.trusted_max_hz:.0f} Hz",
            recd.trusted_limit.replace("_", " "),
            "" if recd.tip_to_drum_mm is None else f"{recd.tip_to_drum_mm:.1f} ± {recd.tip_to_drum_u_mm:.1f} mm",
        )
        for recd in ear.recds
    ]
    out.print()
    if rows:
        out.print(table_of(f"{side} ear", heads, rows))
    else:
        out.print(f"{side} ear: no RECD was measured", style="bold", markup=False)
    print_criteria(out, ear)
    print_audibility(out, ear)
    out.print(f"  verdict: {WORDS[ear.verdict.outcome]}", style="bold", markup=False)
    for reason in ear.verdict.reasons:
        out.print(f"  - {reason}", markup=False)
    for action in ear.verdict.actions:
        out.print(f"      → {action}", markup=False)
    print_to_try(out, ear.to_try)
    print_findings(out, ear.findings)
