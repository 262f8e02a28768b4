"""What a result means for one ear, in one or two plain sentences, and what happens next."""

from __future__ import annotations

from typing import Any

from umbo.core import COVERAGE_FACTOR
from umbo.record import EarVerification, JudgementRecord, VerifyAnswer
from umbo.report._family_words import PLAIN_FINDINGS, Voice
from umbo.report._reach import Reach, loudness_word, pitches_of

__all__ = ["ear_story", "is_lowered", "loud_sentences"]

_WORDS = {"pass": "As it should be", "cannot_tell": "Not certain yet", "fail": "Needs a change"}
_REACHED: dict[Reach, str] = {
    "heard": "loud enough to hear at {}",
    "partly": "only partly loud enough at {}",
    "not_heard": "too soft to hear at {}",
    "unknown": "not known at {}",
}
_MOST_NOTICED = 2

_PITCH_NAMES = ("low", "middle", "high")
#: Where low and high pitch begin for a family (common practice, no source). [Hz]
_LOW_BELOW_HZ, _HIGH_FROM_HZ = 750.0, 3000.0

#: Levels of soft, ordinary and loud speech; of two runs that would begin alike the nearer one is told
#: (common practice, no source). [dB SPL]
_USUAL_DB = (55.0, 65.0, 75.0)
_SPEAKS = "When someone speaks "
#: Sentences that stand on every page: loud speech is told where there is room; the picture shows it too.
_MOST_LINES = 2
_LOWERED = (
    "this aid moves high sounds to a lower pitch, so we cannot say here which sounds of speech can be heard. Please "
    "ask us."
)


def ear_story(side: str, ear: EarVerification, voice: Voice) -> dict[str, Any]:
    """Tell the result of one ear.

    Parameters
    ----------
    side : {"right", "left"}
        Which ear.
    ear : EarVerification
        The record.
    voice : Voice
        Whom the page speaks to.

    Returns
    -------
    dict
        ``name``, ``kind``, ``word``, ``text``, ``reach`` (lines), ``more`` (lines where there is room) and ``next``.
    """
    has_aid = bool(ear.speech) or ear.maximum_output is not None
    kind = ear.verdict.outcome if has_aid else "cannot_tell"
    text, following = _by_outcome(ear, voice) if has_aid else _without_aid(ear)
    heard = _heard_lines(ear)
    lines = heard or _reach_lines(ear)
    return {
        "name": f"{side.capitalize()} ear",
        "kind": kind,
        "word": _WORDS[kind] if has_aid else "No aid measured",
        "text": text,
        "reach": lines[:_MOST_LINES] if heard else lines,
        "more": lines[_MOST_LINES:] if heard else [],
        "next": following,
    }


def loud_sentences(answer: VerifyAnswer, voice: Voice) -> list[str]:
    """Say whether the loudest sound of each aid is safe, and what to do whatever was measured.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.
    voice : Voice
        Whom the page speaks to.
    """
    sides: dict[str, list[str]] = {}
    for side, ear in answer.ears.items():
        if ear.speech or ear.maximum_output is not None:
            sides.setdefault(_loud(ear), []).append(side)
    lines = [f"{_sides(found)}: {sentence}" for sentence, found in sides.items()]
    if voice.is_child:
        sign = (
            "If your child blinks, startles, cries or pulls out the aid when it is loud, take the aid out and tell us."
        )
    else:
        sign = "If a sound hurts or is too loud, take the aid out or turn it down, and tell us."
    return [*lines, sign]


def _sides(sides: list[str]) -> str:
    return "Both ears" if len(sides) == 2 else f"{sides[0].capitalize()} ear"


def _loud(ear: EarVerification) -> str:
    judged = next((j for j in ear.verdict.judgements if j.criterion == "maximum_output"), None)
    if ear.maximum_output is None or judged is None:
        return "how loud the aid can get was not measured. Please ask before it is turned up."
    if judged.outcome == "pass":
        below = "the loudest sound the aid can make stayed below what would be uncomfortable"
        if any(point.deviation_db + COVERAGE_FACTOR * point.u_db > 0.0 for point in judged.points):
            return f"{below}, but by no more than we can measure. Tell us if a sound is too loud."
        return f"{below}."
    if judged.outcome == "fail":
        return (
            "at its loudest the aid goes above what should be comfortable. It has to be turned down by us and measured "
            "again; until then, ask us whether and how to wear it."
        )
    return (
        "we could not tell at every pitch whether the aid’s loudest sound stays below what would be uncomfortable. "
        "Until that is measured again, do not turn the aid up beyond its setting."
    )


def _by_outcome(ear: EarVerification, voice: Voice) -> tuple[str, str]:
    if ear.verdict.outcome == "pass":
        text = "The aid gives speech the loudness planned for this ear, and its loud sounds stay within the limit."
        return text, "Nothing has to be changed. We check again at the time written below."
    if ear.verdict.outcome == "fail":
        how = _misses(ear)
        text = f"The aid does not yet sound as planned{f': {how}' if how else ''}."
        return text, "This can be changed: the aid is adjusted, and then measured again."
    where, noticed = _unclear(ear), _noticed(ear)
    part = f"Part of the measurement{f' ({_where(where)})' if where else ''} was not clear enough"
    text = f"{part} to say whether the aid is set as planned.{f' We noticed: {noticed}.' if noticed else ''}"
    return (
        text,
        f"We measure that part again. It does not mean that something is wrong with {voice.whose} ear or the aid.",
    )


def _without_aid(ear: EarVerification) -> tuple[str, str]:
    if not ear.recds:
        return "Nothing that can be shown here was measured at this ear.", "Please ask what is planned for this ear."
    text = (
        "We measured how this ear changes sound. No hearing aid was measured at this ear, so nothing is said about one."
    )
    return text, "The measurement helps to set an aid to this ear."


def _noticed(ear: EarVerification) -> str:
    codes = [finding.code for finding in ear.findings if finding.severity != "info"]
    found = list(dict.fromkeys(PLAIN_FINDINGS[code] for code in codes if code in PLAIN_FINDINGS))
    return "; ".join(found[:_MOST_NOTICED])


def _unclear(ear: EarVerification) -> list[str]:
    """Ranges of pitch in which something could not be told."""
    points = [point for judgement in ear.verdict.judgements for point in judgement.points]
    found = {_pitch_of(point.frequency_hz) for point in points if point.outcome == "cannot_tell"}
    return [pitch for pitch in _PITCH_NAMES if pitch in found]


def _misses(ear: EarVerification) -> str:
    """Say what lies off its target or limit: "soft and everyday speech is too soft at high pitch"."""
    speech: dict[str, list[str]] = {}
    loudest: list[str] = []
    for judgement in ear.verdict.judgements:
        kind, _, level = judgement.criterion.partition("_")
        if judgement.outcome == "fail" and kind == "match" and level.replace(".", "", 1).isdigit():
            for miss in _off_target(judgement):
                speech.setdefault(miss, []).append(loudness_word(float(level)))
        elif judgement.outcome == "fail" and judgement.criterion == "maximum_output":
            loudest += _off_target(judgement)
    said = [f"{_together(words)} speech {miss}" for miss, words in speech.items()]
    return "; ".join([*said, *(f"the loudest sound {miss}" for miss in loudest)])


def _off_target(judgement: JudgementRecord) -> list[str]:
    """Name the ways and pitches in which points fail: "too soft at low and middle pitch"."""
    ways: dict[str, list[str]] = {}
    for point in judgement.points:
        if point.outcome == "fail":
            ways.setdefault("too soft" if point.deviation_db < 0.0 else "too loud", []).append(
                _pitch_of(point.frequency_hz)
            )
    return [f"is {way} at {_where([p for p in _PITCH_NAMES if p in pitches])}" for way, pitches in ways.items()]


def _pitch_of(frequency_hz: float) -> str:
    if frequency_hz < _LOW_BELOW_HZ:
        return "low"
    return "high" if frequency_hz >= _HIGH_FROM_HZ else "middle"


def is_lowered(ear: EarVerification) -> bool:
    """Whether speech was measured through an aid that moves high sounds to a lower pitch."""
    return bool(ear.speech) and any(finding.code == "frequency_lowering" for finding in ear.findings)


def _heard_lines(ear: EarVerification) -> list[dict[str, str]]:
    """Say in the record's own words which sounds of speech can be heard; levels that are alike together."""
    if is_lowered(ear):
        return [{"name": "Sounds of speech", "text": _LOWERED}]
    told: dict[str, tuple[float, str]] = {}
    for run in ear.speech:
        if run.audibility is not None and run.audibility.words is not None:
            opening, _, rest = run.audibility.words.sentence.partition(", ")
            far = min(abs(run.input_db_spl - usual) for usual in _USUAL_DB)
            if opening not in told or far < told[opening][0]:
                told[opening] = (far, rest)
    alike: dict[str, list[str]] = {}
    for opening, (_, text) in told.items():
        alike.setdefault(text, []).append(opening.removeprefix(_SPEAKS))
    return [{"name": f"{_SPEAKS}{_or(voices)}", "text": text} for text, voices in alike.items()]


def _or(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


def _reach_lines(ear: EarVerification) -> list[dict[str, str]]:
    """Say at which pitch soft, everyday and loud speech is loud enough to hear; levels that are alike together."""
    pitches = pitches_of(ear)
    alike: dict[str, list[str]] = {}
    for level in sorted({bar.input_db_spl for pitch in pitches for bar in pitch.bars}):
        groups: dict[Reach, list[str]] = {}
        for pitch in pitches:
            for bar in pitch.bars:
                if bar.input_db_spl == level:
                    groups.setdefault(bar.reach, []).append(pitch.name)
        words = "; ".join(_REACHED[reach].format(_where(groups[reach])) for reach in _REACHED if reach in groups)
        alike.setdefault(f"{words}.", []).append(loudness_word(level))
    return [{"name": f"{_together(names).capitalize()} speech", "text": words} for words, names in alike.items()]


def _together(names: list[str]) -> str:
    unique = list(dict.fromkeys(names))
    return unique[0] if len(unique) == 1 else f"{', '.join(unique[:-1])} and {unique[-1]}"


def _where(pitches: list[str]) -> str:
    return "low, middle and high pitch" if len(pitches) == 3 else f"{_listed(pitches)} pitch"


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
