"""What went wrong with a measurement: the answer, its evidence, and what to do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from umbo.core import Finding, FloatArray, Level, Severity, Transfer
from umbo.diagnosis._deciding import Deciding
from umbo.diagnosis._hypotheses import OK
from umbo.diagnosis._words import named, words_of

__all__ = ["Diagnosis", "Estimate", "Explanation"]

#: From this probability an explanation is called certain, and one below the second is not worth naming (engineering
#: judgement; what a stated probability is worth is measured by the benchmark). [1]
SURE, WORTH_NAMING = 0.9, 0.05

_SOURCE = "model of the measurement, fitted (computed)"


@dataclass(frozen=True, slots=True)
class Estimate:
    """One parameter of an explanation.

    Parameters
    ----------
    name : str
        What it is, as a phrase.
    value : float
        Most probable value. [see ``unit``]
    low, high : float
        Ends of the interval of one standard uncertainty either way. [see ``unit``]
    unit : str
        Unit of the three.
    """

    name: str
    value: float
    low: float
    high: float
    unit: str


@dataclass(frozen=True, slots=True, eq=False)
class Explanation:
    """One explanation with its fit, ready to be drawn beside the measurement.

    Parameters
    ----------
    name : str
        Causes joined by a plus sign, or "ok".
    probability : float
        Of this fit; what its causes are worth after small ones are counted as none stands in the diagnosis. [1]
    coupler_db, ear_db, drum_db : array (n,)
        What the coupler and the probe would read, and the level at the drum, on the diagnosis' frequencies. [dB SPL]
    estimates : tuple of Estimate
        Its parameters.
    """

    name: str
    probability: float
    coupler_db: FloatArray
    ear_db: FloatArray
    drum_db: FloatArray
    estimates: tuple[Estimate, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Diagnosis:
    """The answer for one measurement.

    Parameters
    ----------
    probability : mapping of str to float
        By explanation, most probable first, summing to one. [1]
    explanations : tuple of Explanation
        Fits worth drawing, most probable first.
    frequency_hz : array (n,)
        Frequencies of the evidence. [Hz]
    coupler_db, ear_db : array (n,)
        The measurement on them. [dB SPL]
    is_noise_limited : bool
        Whether noise leaves too little to tell; the probabilities then say nothing.
    deciding : Deciding or None
        The one extra measurement that would decide, where it is not decided.
    to_drum : Transfer
        From the probe tip to the eardrum, over all explanations, made as far as it is known. [dB]
    level_at_drum : Level
        The reading carried there. [dB SPL]
    """

    probability: Mapping[str, float]
    explanations: tuple[Explanation, ...]
    frequency_hz: FloatArray
    coupler_db: FloatArray
    ear_db: FloatArray
    is_noise_limited: bool
    deciding: Deciding | None
    to_drum: Transfer
    level_at_drum: Level

    @property
    def best(self) -> str:
        """Most probable explanation: causes joined by a plus sign, or "ok"."""
        return next(iter(self.probability))

    @property
    def causes(self) -> dict[str, float]:
        """Probability of each cause by itself, alone or with another. [1]"""
        out: dict[str, float] = {}
        for name, share in self.probability.items():
            for cause in name.split("+"):
                out[cause] = out.get(cause, 0.0) + share
        return dict(sorted(out.items(), key=lambda item: -item[1]))

    @property
    def is_sure(self) -> bool:
        """Whether one explanation is probable enough to be acted upon."""
        return not self.is_noise_limited and self.probability[self.best] >= SURE

    @property
    def sentence(self) -> str:
        """The answer in one sentence."""
        if self.is_noise_limited:
            return "Noise takes so much of the measurement that its shape says nothing."
        ranked = list(self.probability.items())
        (name, share), (other, rest) = ranked[0], ranked[1] if len(ranked) > 1 else ("", 0.0)
        if self.is_sure or rest < WORTH_NAMING:
            return f"The measurement is explained by {named(name)} (probability {_said(share)})."
        return f"Not sure between {named(name)} ({_said(share)}) and {named(other)} ({_said(rest)})."

    @property
    def action(self) -> str:
        """What to do next, as an instruction."""
        if self.is_noise_limited:
            return "Wait for quiet or raise the level, and measure again."
        if self.is_sure or self.deciding is None:
            return " ".join(words_of(cause).action for cause in self.best.split("+"))
        seen = self.deciding.difference_db
        size = "" if seen is None else f" (the two would differ by {seen:.0f} dB)"
        return f"To decide, {self.deciding.action}{size}."

    def finding(self) -> Finding:
        """The answer as a finding: informing when nothing is wrong, a warning otherwise."""
        code = "noise_limited" if self.is_noise_limited else f"diagnosis_{self.best.replace('+', '_and_')}"
        fine = self.best == OK and not self.is_noise_limited
        return Finding(code, Severity.INFO if fine else Severity.WARN, self.sentence, self.action, _SOURCE)


def _said(share: float) -> str:
    """A probability as it is said: never one, because a model cannot be that sure."""
    return "over 0.99" if share > 0.99 else f"{share:.2f}"
