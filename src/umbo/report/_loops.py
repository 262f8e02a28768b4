"""The closing loop in a sentence an ear: what two couplers say of the same sound."""

from __future__ import annotations

from umbo.record import ClosingRecord, VerifyAnswer
from umbo.report._words import hertz, signed

__all__ = ["loop_sentences"]


def loop_sentences(answer: VerifyAnswer) -> list[str]:
    """Say for each ear and pair of couplers which quantities agree, and the worst that does not.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.
    """
    sentences = []
    for side, ear in answer.ears.items():
        for routes in dict.fromkeys(tuple(closing.routes) for closing in ear.closings):
            same = [closing for closing in ear.closings if tuple(closing.routes) == routes]
            sentences.append(f"{side.capitalize()} ear, {' and '.join(routes)}: {_agreement(same)}")
    return sentences


def _agreement(closings: list[ClosingRecord]) -> str:
    closed = [c.quantity for c in closings if c.closes]
    still_open = [c for c in closings if not c.closes]
    if not still_open:
        return f"agree within uncertainty for {_listed(closed)}."
    agree = f"agree for {_listed(closed)}; " if closed else ""
    worst = max((found for found in map(_largest, still_open) if found is not None), default=None)
    size = "" if worst is None else f", largest difference {signed(worst[1])} dB (u {worst[3]:.1f}) at {hertz(worst[2])}"
    return f"{agree}do not agree for {_listed([c.quantity for c in still_open])}{size}."


def _largest(closing: ClosingRecord) -> tuple[float, float, float, float] | None:
    rows = [
        (abs(error), error, hz, u)
        for hz, error, u, usable in zip(
            closing.frequency_hz, closing.error_db, closing.u_db, closing.usable, strict=True
        )
        if usable
    ]
    return max(rows, default=None)


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
