"""From what a session found audible to plain records."""

from __future__ import annotations

from typing import Literal, cast

from umbo.audibility import SOUND_GROUPS, Audibility, AudibleBandwidth, Draws, Reach, SpokenWords
from umbo.record._audible import (
    AudibilityRecord,
    BandwidthRecord,
    ExtendedRecord,
    IndexRecord,
    ReachRecord,
    WordsRecord,
)
from umbo.record._plain import rounded
from umbo.session import HEARD_DRAWS, HeardSpeech

__all__ = ["audibility_record"]

_HZ_DECIMALS = 1
Told = Literal["well", "partly", "not", "not_measured"]
Known = Literal["known", "at_most", "not_known"]
Relation = Literal["equal", "at_least", "at_most", "nowhere", "not_known"]


def audibility_record(heard: HeardSpeech) -> AudibilityRecord:
    """What is audible of one run as a record.

    Parameters
    ----------
    heard : HeardSpeech
        What the session found.
    """
    return AudibilityRecord(
        index=_index(heard.aided, noise=heard.has_noise, trusted_max_hz=heard.trusted_max_hz),
        unaided=_index(heard.unaided, noise=False, trusted_max_hz=None),
        bandwidth=_bandwidth(heard.bandwidth, HEARD_DRAWS),
        words=_words(heard.words),
        why_not=dict(heard.why_not),
    )


def _index(found: Audibility | None, *, noise: bool, trusted_max_hz: float | None) -> IndexRecord | None:
    if found is None:
        return None
    known: list[Known] = [
        "known" if is_known else "at_most" if is_bound else "not_known"
        for is_known, is_bound in zip(found.is_known, found.is_bound, strict=True)
    ]
    return IndexRecord(
        sii=round(found.sii, 4),
        u_sii=round(found.u_sii, 4),
        interval=_pair(found.interval),
        bounds=_pair(found.bounds),
        method=found.method.phrase,
        frequency_hz=rounded(found.frequency_hz, _HZ_DECIMALS),
        importance=rounded(found.importance),
        audibility=rounded(found.audibility),
        audibility_most=rounded(found.audibility_most),
        known=known,
        unknown_hz=rounded(found.unknown_hz, _HZ_DECIMALS),
        noise_included=noise,
        trusted_max_hz=_hertz(trusted_max_hz),
        draws=found.draws.n,
        seed=found.draws.seed,
        sentence=found.sentence,
    )


def _pair(ends: tuple[float, float]) -> tuple[float, float]:
    return round(ends[0], 4), round(ends[1], 4)


def _bandwidth(found: AudibleBandwidth | None, draws: Draws) -> BandwidthRecord | None:
    if found is None:
        return None
    return BandwidthRecord(
        peaks=None if found.peaks is None else _reach(found.peaks),
        average=_reach(found.average),
        extended=[
            ExtendedRecord(
                frequency_hz=round(band.frequency_hz, _HZ_DECIMALS),
                margin_db=round(band.margin_db, 4),
                u_db=round(band.u_db, 4),
                heard=band.heard.value,
            )
            for band in found.extended
        ],
        extended_sentence=found.extended_sentence,
        draws=draws.n,
        seed=draws.seed,
    )


def _reach(found: Reach) -> ReachRecord:
    low, high = found.interval_hz
    return ReachRecord(
        relation=cast("Relation", found.relation),
        at_least_hz=_hertz(found.at_least_hz),
        at_most_hz=_hertz(found.at_most_hz),
        interval_hz=(_hertz(low), _hertz(high)),
        known_to_hz=_hertz(found.known_to_hz),
        sentence=found.phrase,
    )


def _hertz(value: float | None) -> float | None:
    return None if value is None else round(value, _HZ_DECIMALS)


def _words(found: SpokenWords | None) -> WordsRecord | None:
    if found is None:
        return None
    groups: dict[str, Told] = {group.name: told.value for group, told in zip(SOUND_GROUPS, found.groups, strict=True)}
    return WordsRecord(groups=groups, sentence=found.sentence)
