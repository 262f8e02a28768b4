"""What is said of each cause, and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass

from umbo.diagnosis._hypotheses import OK

__all__ = ["Words", "named", "words_of"]


@dataclass(frozen=True, slots=True)
class Words:
    """How one cause is put into words.

    Parameters
    ----------
    name : str
        As a phrase: "a leak past the ear tip".
    action : str
        What to do next, as an instruction.
    """

    name: str
    action: str


_WORDS = {
    OK: Words("nothing wrong", "Use the measurement."),
    "leak": Words("a leak past the ear tip", "Reseat the tip or mould, seal it, and measure the ear again."),
    "shallow_probe": Words(
        "a probe too far from the eardrum", "Advance the tube by 3 to 5 mm under otoscopy and measure the ear again."
    ),
    "blocked_probe": Words(
        "a blocked, crimped or wall-touching probe tube",
        "Change the probe tube, calibrate the new one and measure the ear again.",
    ),
    "probe_in_bore": Words(
        "a probe that ends in the sound bore of the tip",
        "Lead the tube past the tip, 2 to 4 mm beyond its end in an infant, and measure the ear again.",
    ),
    "open_middle_ear": Words(
        "an open grommet or a perforation",
        "Look at the drum and take a tympanogram; the RECD holds only for this state.",
    ),
    "wrong_coupler": Words(
        "a 2 cc coupler taken for the 0.4 cc or the reverse", "Check which coupler was used and correct the label."
    ),
    "wrong_adaptor": Words("HA-1 and HA-2 taken for each other", "Check which adaptor was on the coupler."),
    "wrong_age": Words("an ear of another age than declared", "Check the client and the date of birth."),
    "effusion": Words("fluid in the middle ear", "Take a tympanogram; measure again when the middle ear has changed."),
    "coupler_leak": Words("a leak at the coupler", "Seal the coupler's joints and measure the coupler again."),
    "uncalibrated_tube": Words(
        "a probe tube without its calibration", "Calibrate the probe tube and measure the ear again."
    ),
    "source_drift": Words(
        "a source whose level changed between coupler and ear",
        "Check source, tube and battery, and measure coupler and ear again one after the other.",
    ),
}


def words_of(cause: str) -> Words:
    """Words of one cause, or of "ok"."""
    return _WORDS[cause]


def named(explanation: str) -> str:
    """An explanation as a phrase, its causes joined by "and"."""
    return " and ".join(_WORDS[cause].name for cause in explanation.split("+"))
