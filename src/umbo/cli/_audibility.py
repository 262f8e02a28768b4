"""Printing what of speech is audible in one ear."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.cli._printing import table_of

if TYPE_CHECKING:
    from rich.console import Console

    from umbo.record import AudibilityRecord, EarVerification, IndexRecord

__all__ = ["print_audibility"]

_TITLE = "audibility: speech intelligibility index (95 %), no percentage of words"
_HEADS = ("speech", "index", "unaided", "audible to")


def print_audibility(out: Console, ear: EarVerification) -> None:
    """One row for each level of speech, then each reason for what is missing.

    Parameters
    ----------
    out : Console
        Where to print.
    ear : EarVerification
        The record.
    """
    found = [(run.input_db_spl, run.audibility) for run in ear.speech if run.audibility is not None]
    if not found:
        return
    if any(audible.index is not None or audible.bandwidth is not None for _, audible in found):
        rows = [_row(level, audible) for level, audible in found]
        out.print(table_of(_TITLE, _HEADS, rows))
    reasons = [
        audible.why_not[part] for _, audible in found for part in ("index", "bandwidth") if part in audible.why_not
    ]
    for reason in dict.fromkeys(reasons):
        out.print(f"  audibility: {reason}", markup=False)


def _row(input_db_spl: float, found: AudibilityRecord) -> tuple[str, str, str, str]:
    return (
        f"{input_db_spl:g} dB",
        _brief(found.index),
        "-" if found.unaided is None else f"{found.unaided.sii:.2f}",
        "-" if found.bandwidth is None else found.bandwidth.brief,
    )


def _brief(index: IndexRecord | None) -> str:
    return "-" if index is None else index.brief
