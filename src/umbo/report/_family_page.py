"""The page for the family: the record in plain words."""

from __future__ import annotations

from typing import Any

from umbo.chart import hue
from umbo.record import EarVerification, VerifyAnswer
from umbo.report._density import shortened
from umbo.report._family_outcome import ear_story, is_lowered, loud_sentences
from umbo.report._family_picture import family_picture, picture_words
from umbo.report._family_words import CHECKS_CHILD, CHECKS_GROWN, Voice, interval_words, voice_for
from umbo.report._reach import loudness_word, pitches_of

__all__ = ["family_page"]

_HOW = (
    "Each bar is speech as it arrives at the eardrum through the aid. What stands above the grey ground is loud enough "
    "to hear; an empty part is hidden in the ground. Low pitch: a drum, “oo”, “m”. Middle pitch: most of speech. "
    "High pitch: birdsong, “s”, “f”."
)
_LOWERED = "Where the aid moves high sounds to a lower pitch, the bars do not tell where “s” and “f” are heard."
_LOUDEST_INPUT_DB = 90.0
_CODE_LETTERS = 60


def family_page(answer: VerifyAnswer) -> dict[str, Any]:
    """Make the family page.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.

    Returns
    -------
    dict
        Plain data for the template.
    """
    voice = voice_for(answer.age_months)
    has_aid = any(_has_aid(ear) for ear in answer.ears.values())
    return {
        "greeting": _greeting(answer, voice),
        "why": _why(voice, has_aid=has_aid),
        "pictures": _pictures(answer),
        "key": _key(answer),
        "how": f"{_HOW} {_LOWERED}" if any(is_lowered(ear) for ear in answer.ears.values()) else _HOW,
        "ears": [ear_story(side, ear, voice) for side, ear in answer.ears.items()],
        "loud": loud_sentences(answer, voice) if has_aid else [],
        "checks": list(CHECKS_CHILD if voice.is_child else CHECKS_GROWN) if has_aid else [],
        "back": _back(answer, voice, has_aid=has_aid),
        "care": _care(answer),
    }


def _has_aid(ear: EarVerification) -> bool:
    return bool(ear.speech) or ear.maximum_output is not None


def _greeting(answer: VerifyAnswer, voice: Voice) -> str:
    whom = "the family of" if voice.is_child else "the person with"
    when = f", measured on {answer.measured}" if answer.measured else ""
    return f"For {whom} client code {shortened(answer.client, _CODE_LETTERS)}{when}."


def _why(voice: Voice, *, has_aid: bool) -> str:
    """Say what was measured and why, without a word of the trade."""
    first = (
        "Every ear canal is shaped differently, and a child’s is small and grows."
        if voice.is_child
        else "Every ear canal is shaped differently."
    )
    ear = f"The same sound is louder in a smaller ear. So we measured how loud sounds become in {voice.whose} own ears."
    aid = (
        "Then we played speech to the hearing aids and compared what arrives at the eardrum with the softest sounds "
        f"{voice.who} can hear and with what would be too loud."
    )
    return f"{first} {ear}{f' {aid}' if has_aid else ''}"


def _pictures(answer: VerifyAnswer) -> list[dict[str, Any]]:
    found = []
    for side, ear in answer.ears.items():
        pitches = pitches_of(ear)
        if any(pitch.bars for pitch in pitches):
            svg, alt = family_picture(pitches, f"family-{side}"), picture_words(side, pitches)
            found.append({"title": f"{side.capitalize()} ear", "svg": svg, "alt": alt})
    return found


def _key(answer: VerifyAnswer) -> dict[str, Any]:
    """Explain only what the pictures show."""
    pitches = [pitch for ear in answer.ears.values() for pitch in pitches_of(ear)]
    levels = sorted({bar.input_db_spl for pitch in pitches for bar in pitch.bars})
    return {
        "levels": [{"word": loudness_word(level), "colour": hue(level)} for level in levels],
        "dark": hue(_LOUDEST_INPUT_DB),
        "loudest": any(pitch.loudest_db is not None for pitch in pitches),
        "ceiling": any(pitch.ceiling_db is not None for pitch in pitches),
        "unknown": any(bar.reach == "unknown" for pitch in pitches for bar in pitch.bars),
    }


def _back(answer: VerifyAnswer, voice: Voice, *, has_aid: bool) -> list[str]:
    lines = []
    if has_aid and not answer.verified:
        lines.append("Soon: to finish what is open on this page. Please make an appointment if you have none.")
    grows = " The ear grows, and the sound in it changes." if voice.is_child else ""
    lines.append(f"To measure the ear again: {interval_words(answer.age_months)}.{grows}")
    if voice.is_child:
        lines.append("With every new earmould.")
    lines.append("Sooner, if an ear is infected or runs, or if hearing or an aid seems to change.")
    lines.append("These times are common practice; your clinic may choose others.")
    return lines


def _care(answer: VerifyAnswer) -> str:
    return (
        "Please see a doctor soon if hearing gets worse suddenly or on one side only, or if an ear hurts or runs. "
        "What arrives at the eardrum is worked out from measurements and can be off by a few steps of loudness. "
        "This page explains a measurement; it does not replace the advice of your clinic. "
        + (answer.cautions[0] if answer.cautions else "")
    )
