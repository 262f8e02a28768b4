"""From judgements, draws and predictions to plain records."""

from __future__ import annotations

from collections.abc import Sequence

from umbo.record._answers import VerdictRecord
from umbo.record._fit import (
    BoundRecord,
    DrawnRecord,
    DrawsRecord,
    GuidanceRecord,
    JudgementRecord,
    PointRecord,
    PredictedRecord,
    RmsRecord,
    SuggestionRecord,
    ToTryRecord,
)
from umbo.record._from_curve import curve_record
from umbo.record._plain import HZ_DECIMALS, rounded
from umbo.session import ToTry
from umbo.verdict import DrawnCriterion, Guidance, Judgement, Verdict, VerdictDraws, WhatIf

__all__ = ["guidance_record", "judgement_records", "predicted_record", "rms_record", "to_try_record", "verdict_record"]

#: Decimals of a share: far below its standard error.
_SHARE_DECIMALS = 6


#: Kinds of criteria that a guidance has.
_OF_GUIDANCE = ("match", "rms", "slope")


def verdict_record(verdict: Verdict, draws: VerdictDraws | None, guidance: Guidance) -> VerdictRecord:
    """A verdict as a record, with the draws that say how sure it is."""
    whole = None if draws is None else draws.whole
    return VerdictRecord(
        outcome=verdict.outcome.value,
        verified=verdict.is_verified,
        reasons=list(verdict.reasons),
        actions=list(verdict.actions),
        judgements=judgement_records(verdict.judgements, guidance),
        pass_share=None if whole is None or not whole.is_complete else round(whole.share, _SHARE_DECIMALS),
        draws=None if draws is None else _draws_record(draws),
    )


def judgement_records(judgements: Sequence[Judgement], guidance: Guidance) -> list[JudgementRecord]:
    """Judgements as records; those of speech against its target by the guidance they were made by."""
    return [
        JudgementRecord(
            criterion=j.criterion,
            outcome=j.outcome.value,
            sentence=j.sentence,
            action=j.action,
            source=j.source,
            guidance=guidance.key if j.criterion.partition("_")[0] in _OF_GUIDANCE else None,
            unit="dB/octave" if j.criterion.startswith("slope") else "dB",
            value_db=_optional(j.value_db),
            u_db=_optional(j.u_db),
            points=[
                PointRecord(
                    frequency_hz=round(p.frequency_hz, 3),
                    deviation_db=round(p.deviation_db, 4),
                    u_db=round(p.u_db, 4),
                    tolerance_db=p.tolerance_db,
                    outcome=p.outcome.value,
                    reason=p.reason,
                )
                for p in j.points
            ],
            bounds=_bound_records(j),
            pass_share=None if j.pass_share is None else round(j.pass_share, _SHARE_DECIMALS),
        )
        for j in judgements
    ]


def rms_record(rms: Judgement) -> RmsRecord:
    """An rms deviation against every published bound."""
    return RmsRecord(value_db=_optional(rms.value_db), u_db=_optional(rms.u_db), bounds=_bound_records(rms))


def guidance_record(guidance: Guidance) -> GuidanceRecord:
    """By whose criteria speech was judged."""
    return GuidanceRecord(key=guidance.key, title=guidance.title, whom=guidance.whom, source=guidance.attribution)


def to_try_record(tried: ToTry | None, guidance: Guidance) -> ToTryRecord | None:
    """Changes worth a try, as a record."""
    if tried is None:
        return None
    return ToTryRecord(
        input_db_spl=tried.input_db_spl,
        suggestions=[
            SuggestionRecord(
                frequency_hz=[round(hz, HZ_DECIMALS) for hz in s.frequency_hz],
                change_db=s.change_db,
                sentence=s.sentence,
                limit=s.limit,
            )
            for s in tried.suggestions
        ],
        predicted=None if tried.predicted is None else predicted_record(tried.predicted, guidance),
    )


def predicted_record(predicted: WhatIf, guidance: Guidance) -> PredictedRecord:
    """What a change would lead to, as a record."""
    return PredictedRecord(
        frequency_hz=rounded(predicted.deviation.frequency_hz, HZ_DECIMALS),
        change_db=rounded(predicted.change_db),
        deviation=curve_record(predicted.deviation),
        rms_before_db=_optional(predicted.rms_before_db),
        rms_after_db=_optional(predicted.rms_after_db),
        judgements=judgement_records(predicted.judgements, guidance),
        cautions=list(predicted.cautions),
    )


def _bound_records(judgement: Judgement) -> list[BoundRecord]:
    return [
        BoundRecord(bound_db=bound.bound_db, outcome=bound.outcome.value, source=bound.source)
        for bound in judgement.bounds
    ]


def _draws_record(draws: VerdictDraws) -> DrawsRecord:
    return DrawsRecord(
        n=draws.n,
        seed=draws.seed,
        criteria=[_drawn_record(one) for one in draws.criteria],
        whole=_drawn_record(draws.whole),
        sentence=draws.whole.sentence,
    )


def _drawn_record(drawn: DrawnCriterion) -> DrawnRecord:
    return DrawnRecord(
        criterion=drawn.criterion,
        pass_share=round(drawn.share, _SHARE_DECIMALS),
        standard_error=round(drawn.standard_error, _SHARE_DECIMALS),
        complete=drawn.is_complete,
    )


def _optional(value_db: float | None) -> float | None:
    return None if value_db is None else round(value_db, 4)
