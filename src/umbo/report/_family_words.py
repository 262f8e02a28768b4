"""Words of the family page: plain, kind, without blame, and no number that could be taken for a share of hearing."""

from __future__ import annotations

from dataclasses import dataclass

from umbo.core import CHILD_MONTHS
from umbo.verdict import recd_lifetime

__all__ = ["CHECKS_CHILD", "CHECKS_GROWN", "PLAIN_FINDINGS", "Voice", "interval_words", "voice_for"]


@dataclass(frozen=True, slots=True)
class Voice:
    """How the page speaks of the one who wears the aids.

    Attributes
    ----------
    who, whose : str
        "your child", "your child's"; "you", "your".
    is_child : bool
        Whether the reader is the family of a child.
    """

    who: str
    whose: str
    is_child: bool


def voice_for(age_months: float | None) -> Voice:
    """Choose the voice by age. [months]"""
    if age_months is None:
        return Voice("the wearer", "the wearer’s", is_child=False)
    if age_months < CHILD_MONTHS:
        return Voice("your child", "your child’s", is_child=True)
    return Voice("you", "your", is_child=False)


#: Findings that a family can be told about in a sentence.
PLAIN_FINDINGS = {
    "shallow_probe": "the thin measuring tube did not lie deep enough in the ear canal for the high pitches",
    "probe_distance_bounded": "we know only roughly how deep the thin measuring tube lay in the ear canal",
    "blocked_probe": "the thin measuring tube seems to have been blocked",
    "leak": "some sound leaked out past the ear tip while we measured",
    "coupler_leak": "a seal of the measuring device was not tight",
    "wrong_coupler": "two parts of the measurement do not belong together",
    "adaptor_mixed_up": "two parts of the measurement may not belong together",
    "middle_ear_space": "the space behind the eardrum may have changed the measurement",
    "loop_open": "two ways of measuring the same sound did not agree closely enough",
    "outlier": "there was noise or movement during a part of the measurement",
    "insertions_differ": "two measurements of the same ear differed more than they should",
    "average_recd": "we had to use average values instead of a measurement of this ear",
    "not_saturated": "the loudest sound of the aid may not have been reached while we measured it",
    "open_fitting": "the aid leaves the ear open, and this way of measuring does not work for open ears",
    "recd_too_old": "the measurement of this ear is older than it should be, because ears grow",
    "recd_older_than_mould": "this ear was measured before the new earmould was made",
    "middle_ear_changed": "the ear is in another state than at the visit before",
    "falling_high_frequencies": "the measurement of this ear gets too weak at high pitches",
}

#: Daily care; common practice, no single source.
CHECKS_CHILD = (
    (
        "Listen to each aid yourself with a listening tube: say “a, ee, oo, m, sh, s”. It should sound clear and not "
        "cut out."
    ),
    "Check the battery or the charge. Keep batteries out of reach: a swallowed battery is an emergency.",
    "Look at the earmould and the tube: wipe off wax, blow out drops of water.",
    (
        "Whistling often means that the earmould does not sit well or has become too small: put it in again; "
        "if it stays, ask us."
    ),
    (
        "The aim is to wear the aids whenever your child is awake. Starting with short, good times is fine; "
        "tell us if it is hard."
    ),
)
CHECKS_GROWN = (
    "Say a few words to yourself with the aid in: it should sound clear, the same as yesterday, and not cut out.",
    "Check the battery or the charge. Keep batteries away from small children: a swallowed battery is an emergency.",
    "Look at the mould or tip: wipe off wax, dry it.",
    "Whistling often means that the mould or tip does not sit well: put it in again; if it stays, ask us.",
    "The aim is to wear the aids through the day. If that is hard, tell us what makes it hard.",
)


def interval_words(age_months: float | None) -> str:
    """Say when to measure the ear again: when its RECD has grown old (engineering judgement). [months]"""
    if age_months is None:
        return "at a time that depends on age: please ask"
    return f"in about {recd_lifetime(age_months)}"
