"""What stands under the table of criteria: how often each is kept, what to try, what has changed."""

from __future__ import annotations

from umbo.record import USABLE_STATES, ChangeRecord, DrawsRecord, EarVerification, JudgementRecord, VerifyAnswer
from umbo.report._words import hertz, signed, spaced
from umbo.verdict import Watched, share_text

__all__ = ["kept_line", "since_line", "to_try_lines"]


def kept_line(answer: VerifyAnswer) -> str:
    """Say for every ear in which share of draws each criterion is kept; empty where nothing was drawn.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.
    """
    drawn = {side: ear.verdict.draws for side, ear in answer.ears.items() if ear.verdict.draws is not None}
    if not drawn:
        return ""
    numbers = " and ".join(dict.fromkeys(str(draws.n) for draws in drawn.values()))
    ears = " ".join(_kept(side, answer.ears[side], draws) for side, draws in drawn.items())
    return f"Kept in this share of {numbers} draws consistent with the stated uncertainty. {ears}"


def _kept(side: str, ear: EarVerification, draws: DrawsRecord) -> str:
    groups: dict[str, list[str]] = {}
    for judgement in ear.verdict.judgements:
        if judgement.pass_share is not None:
            group, name = _group(judgement)
            groups.setdefault(group, []).append(f"{name}{share_text(judgement.pass_share)}")
    each = [f"{group} {', '.join(shares)}" for group, shares in groups.items()]
    whole = f"all together {'' if draws.whole.complete else 'at most '}{share_text(draws.whole.pass_share)}"
    return f"{side.capitalize()} ear: {'; '.join([*each, whole])}."


def _group(judgement: JudgementRecord) -> tuple[str, str]:
    """Give what a criterion is about, and its name among others about the same."""
    kind, _, level = judgement.criterion.partition("_")
    if kind in ("match", "rms", "slope"):
        return f"speech {level} dB", f"{kind} "
    return spaced(judgement.criterion), ""


def to_try_lines(answer: VerifyAnswer) -> list[str]:
    """Say which changes are worth a try, and why none is suggested where one is asked for.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.
    """
    lines = []
    for side, ear in answer.ears.items():
        if ear.to_try is not None:
            head = f"{side.capitalize()} ear, speech at {ear.to_try.input_db_spl:g} dB"
            lines += [f"{head}: {one.sentence}" for one in ear.to_try.suggestions]
    return lines


def since_line(answer: VerifyAnswer) -> str:
    """Say where each quantity has changed most since the earlier visit; empty where there was none.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.
    """
    since = answer.since
    if since is None:
        return ""
    ears = [
        f"{side} ear: {', '.join(_change(change) for change in ear.compared) or 'nothing could be compared'}"
        for side, ear in since.ears.items()
    ]
    return f"Largest changes since {since.measured} (case {since.case}): {'; '.join(ears)}."


def _change(change: ChangeRecord) -> str:
    name = Watched(change.watched).phrase
    usable = [i for i, word in enumerate(change.state) if word in USABLE_STATES]
    if not usable:
        return f"{name} not known"
    worst = max(usable, key=lambda i: abs(change.change_db[i]))
    mark = " (significant)" if change.significant[worst] else ""
    return f"{name} {signed(change.change_db[worst])} dB at {hertz(change.frequency_hz[worst])}{mark}"
