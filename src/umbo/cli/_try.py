"""``umbo try``."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING

from umbo.cli._fit_printing import WORDS
from umbo.cli._printing import console, dump, progress, table_of
from umbo.core import Ear
from umbo.errors import InputError
from umbo.interchange import open_case
from umbo.record import USABLE_STATES, TryAnswer, try_answer
from umbo.session import run, try_change

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["changes_of", "try_out"]


def try_out(case: Path, *, ear: str, changes: Sequence[str], input_db_spl: float | None, as_json: bool) -> int:
    """Predict what a change would do; 0 when it could be predicted, whatever it says."""
    wanted = changes_of(changes)
    if ear not in list(Ear):
        raise InputError(f"try a change on the ear '{ear}'", f"an ear is {' or '.join(Ear)}", "name one of these")
    with progress(as_json) as tell:
        folder = open_case(case)
        result = run(folder.plan, folder, progress=tell)
    answer = try_answer(result, try_change(result, Ear(ear), wanted, input_db_spl=input_db_spl))
    if as_json:
        dump(answer)
    else:
        _print(console(), answer)
    return 0


def changes_of(texts: Sequence[str]) -> dict[float, float]:
    """Changes as they are written, "2000=+3", by frequency. [Hz] to [dB]

    Raises
    ------
    InputError
        If one is not written like that, or names a frequency a second time.
    """
    out: dict[float, float] = {}
    for text in texts:
        asked = f"try the change '{''.join(c if c.isprintable() else '?' for c in text[:40])}'"
        frequency, _, size = text.partition("=")
        try:
            hz, db = float(frequency), float(size)
        except ValueError:
            raise InputError(asked, "it is not written as frequency=decibels", "write, for example, 2000=+3") from None
        if not (isfinite(hz) and isfinite(db) and hz > 0):
            raise InputError(asked, "it holds no two finite numbers, or no frequency", "write, for example, 2000=+3")
        if hz in out:
            raise InputError(asked, f"{hz:g} Hz has a change already", "give one change for each frequency")
        out[hz] = db
    if not out:
        raise InputError("try a change", "none is given", "add, for example, --change 2000=+3")
    return out


def _print(out: Console, answer: TryAnswer) -> None:
    predicted = answer.predicted
    out.print(
        f"Case {answer.case}, {answer.ear} ear, speech at {answer.input_db_spl:g} dB: predicted, not measured",
        markup=False,
        style="bold",
    )
    rows = [
        (
            f"{hz:.0f} Hz",
            f"{before:+.1f}",
            f"{change:+.1f}",
            f"{after:+.1f}",
            _room(room_before),
            _room(room_after),
            "" if state in USABLE_STATES else state.replace("_", " "),
        )
        for hz, before, change, after, room_before, room_after, state in zip(
            predicted.frequency_hz,
            answer.measured_deviation.level_db,
            predicted.change_db,
            predicted.deviation.level_db,
            answer.margin_before_db,
            answer.margin_after_db,
            predicted.deviation.state,
            strict=True,
        )
    ]
    heads = ("frequency", "deviation now", "change", "deviation after", "room now", "room after", "")
    out.print(table_of("dB; room: from the maximum output up to its limit", heads, rows))
    if predicted.rms_before_db is not None and predicted.rms_after_db is not None:
        before, after = predicted.rms_before_db, predicted.rms_after_db
        out.print(f"  rms deviation: now {before:.1f} dB, predicted {after:.1f} dB", markup=False)
    for judgement in predicted.judgements:
        name = judgement.criterion.replace("_", " ")
        out.print(f"  {name}: {WORDS[judgement.outcome]}. {judgement.sentence}", markup=False)
    for caution in predicted.cautions:
        out.print(f"  warning: {caution}", markup=False)
    out.print(f"  by '{answer.guidance.key}': {answer.guidance.title}; {answer.guidance.source}", markup=False)
    out.print("  Compression, feedback and the aid's own bands may answer otherwise: measure again.", markup=False)
    out.print(f"Caution: {answer.cautions[0]}", markup=False)


def _room(value_db: float | None) -> str:
    return "not known" if value_db is None else f"{value_db:+.1f}"
