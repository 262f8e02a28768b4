"""Printing what surrounds a verdict: by whose criteria, how sure, what to try, what has changed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.cli._printing import table_of
from umbo.record import USABLE_STATES
from umbo.verdict import Watched, share_text

if TYPE_CHECKING:
    from rich.console import Console

    from umbo.record import ChangeRecord, DrawsRecord, EarVerification, SinceRecord, ToTryRecord

__all__ = ["WORDS", "print_criteria", "print_since", "print_to_try"]

#: How an outcome is printed.
WORDS = {"pass": "pass", "fail": "FAIL", "cannot_tell": "cannot tell"}

#: What stands for the outcome of a criterion that can never fail a fitting: its numbers stand below.
_INFORMS = "informs only"


def print_criteria(out: Console, ear: EarVerification) -> None:
    """The table of criteria, whose they are, and what the share of draws means."""
    draws = ear.verdict.draws
    rows = [
        (
            j.criterion.replace("_", " "),
            WORDS[j.outcome] if not j.criterion.startswith("audible") else _INFORMS,
            "" if j.value_db is None else f"{j.value_db:.1f} dB",
            "" if j.pass_share is None else share_text(j.pass_share),
            j.guidance or "",
        )
        for j in ear.verdict.judgements
    ]
    out.print(table_of("criteria", ("criterion", "outcome", "value", "kept in", "by"), rows))
    if ear.guidance is not None and any(j.guidance for j in ear.verdict.judgements):
        out.print(f"  by '{ear.guidance.key}': {ear.guidance.title}; {ear.guidance.source}", markup=False)
    if draws is not None:
        out.print(f"  {draws.sentence}{_kept_note(ear, draws)}", markup=False)


def _kept_note(ear: EarVerification, draws: DrawsRecord) -> str:
    shown = any(j.pass_share is not None for j in ear.verdict.judgements)
    return f" Kept in: share of these draws (seed {draws.seed})." if shown else ""


def print_to_try(out: Console, tried: ToTryRecord | None) -> None:
    """Changes worth a try; nothing where there is nothing to say."""
    if tried is None or not tried.suggestions:
        return
    out.print(f"  To try, for speech at {tried.input_db_spl:g} dB:", markup=False)
    for suggestion in tried.suggestions:
        out.print(f"    · {suggestion.sentence}", markup=False)
    predicted = tried.predicted
    if predicted is not None and predicted.rms_before_db is not None and predicted.rms_after_db is not None:
        before, after = predicted.rms_before_db, predicted.rms_after_db
        out.print(f"    · Predicted rms deviation after all of it: {after:.1f} dB, now {before:.1f} dB.", markup=False)


def print_since(out: Console, since: SinceRecord | None) -> None:
    """What has changed since the earlier visit, at the frequency where it changed most."""
    if since is None:
        return
    rows = []
    for side, ear in since.ears.items():
        rows += [(side, Watched(change.watched).phrase, *_largest(change)) for change in ear.compared]
        rows += [(side, name, "not compared", "", "") for name in ear.not_compared]
    out.print()
    heads = ("ear", "", "largest change", "significant", "calls for action")
    out.print(table_of(f"since {since.measured} (case {since.case})", heads, rows))
    out.print(f"  {since.note}", markup=False)


def _largest(change: ChangeRecord) -> tuple[str, str, str]:
    usable = [i for i, word in enumerate(change.state) if word in USABLE_STATES]
    if not usable:
        return "no usable frequency", "", ""
    worst = max(usable, key=lambda i: abs(change.change_db[i]))
    size = f"{change.change_db[worst]:+.1f} dB (u {change.u_db[worst]:.1f} dB) at {change.frequency_hz[worst]:.0f} Hz"
    return size, _yes(any(change.significant)), _yes(any(change.calls_for_action))


def _yes(said: bool) -> str:
    return "yes" if said else "no"
