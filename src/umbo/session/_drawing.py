"""How sure a verdict is: one ear's comparisons drawn together."""

from __future__ import annotations

from collections.abc import Sequence

from umbo.core import Finding, Severity
from umbo.errors import InputError
from umbo.session._result import JudgedMaximum, JudgedSpeech
from umbo.verdict import Guidance, Judgement, SpeechToDraw, VerdictDraws, draw_verdicts, with_shares

__all__ = ["DRAWS", "DRAW_SEED", "drawn"]

#: Number of draws: settles a share to about one per cent (standard error at 50 %) in some milliseconds an ear. [1]
DRAWS = 2_000

#: The same plan gives the same draws; the number itself means nothing. [1]
DRAW_SEED = 1


def drawn(
    judgements: Sequence[Judgement],
    speech: Sequence[JudgedSpeech],
    maximum: JudgedMaximum | None,
    guidance: Guidance,
) -> tuple[tuple[Judgement, ...], VerdictDraws | None, tuple[Finding, ...]]:
    """Draw every comparison of one ear from its uncertainty.

    Parameters
    ----------
    judgements : sequence of Judgement
        Every criterion.
    speech : sequence of JudgedSpeech
        Runs; those without a target are left out.
    maximum : JudgedMaximum or None
        Maximum output; without a limit it is left out.
    guidance : Guidance
        Whose criteria.

    Returns
    -------
    judgements : tuple of Judgement
        With the share of draws that keeps each.
    draws : VerdictDraws or None
        None where nothing was compared, or where it could not be drawn.
    findings : tuple of Finding
        Why it could not be drawn.
    """
    compared = [SpeechToDraw(f"{s.run.input_db_spl:g}", s.deviation) for s in speech if s.deviation is not None]
    excess = None if maximum is None else maximum.excess
    if not compared and excess is None:
        return tuple(judgements), None, ()
    try:
        draws = draw_verdicts(compared, excess, guidance=guidance, seed=DRAW_SEED, n=DRAWS)
    except InputError as error:
        text = f"How often each criterion is kept was not drawn: {error.disagrees}."
        action = f"{error.do[0].upper()}{error.do[1:]}; the judgements stand without it."
        return tuple(judgements), None, (Finding("not_drawn", Severity.INFO, text, action, "JCGM 101:2008"),)
    return with_shares(judgements, draws), draws, ()
