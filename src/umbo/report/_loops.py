"""The closing loop in a sentence an ear: what two couplers say of the same sound."""

from __future__ import annotations

from umbo.core import CouplerKind
from umbo.record import ClosingRecord, VerifyAnswer
from umbo.report._words import coupler_short, hertz, signed

__all__ = ["loop_sentences"]

_SHORT = {kind.display_name: coupler_short(kind) for kind in CouplerKind}


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
            names = " with ".join(_SHORT.get(route, route) for route in routes)
            sentences.append(f"{side.capitalize()} ear, {names}: {_agreement(same)}")
    return sentences


def _agreement(closings: list[ClosingRecord]) -> str:
    closed = [c.quantity for c in closings if c.closes]
    still_open = [c for c in closings if not c.closes]
    parts = [f"{_listed(closed)} agree within uncertainty"] if closed else []
    if still_open:
        worst = max((found for found in map(_largest, still_open) if found is not None), default=None)
        size = "" if worst is None else f" (worst {signed(worst[1])} dB, u {worst[3]:.1f} dB, at {hertz(worst[2])})"
        parts.append(f"{_listed([c.quantity for c in still_open])} do not{size}")
    return f"{'; '.join(parts)}."


def _largest(closing: ClosingRecord) -> tuple[float, float, float, float] | None:
    """Give the usable point furthest outside its uncertainty: ratio, error, frequency, uncertainty."""
    rows = [
        (abs(error) / max(u, 1e-9), error, hz, u)
        for hz, error, u, usable in zip(
            closing.frequency_hz, closing.error_db, closing.u_db, closing.usable, strict=True
        )
        if usable
    ]
    return max(rows, default=None)


def _listed(words: list[str]) -> str:
    """List quantities, those of speech together: "speech 55, 65 dB and maximum output"."""
    levels = [word.removeprefix("speech ").removesuffix(" dB") for word in words if word.startswith("speech ")]
    others = [word for word in words if not word.startswith("speech ")]
    speech = [f"speech {', '.join(levels)} dB"] if levels else []
    return " and ".join((*speech, *others))
