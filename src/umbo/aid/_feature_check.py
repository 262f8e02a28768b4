"""Feature checks: is it there, how much does it do, and in which state was the aid."""

from __future__ import annotations

from dataclasses import dataclass, replace

from umbo.aid._conditions import Conditions, Feature
from umbo.core import Difference, Outcome

__all__ = ["FeatureCheck"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FeatureCheck:
    """What a check of one feature found.

    Parameters
    ----------
    feature : Feature
        The feature.
    check : str
        Stable identifier of the check: "noise_reduction", "speech_kept", "directional", ...
    value, u : float or None
        What was found and its standard uncertainty; none where no number could be read. [``unit``]
    unit : str
        Unit of the value.
    outcome : Outcome
        What can be said; cannot tell where the state of the features is not what the check needs, or is not known.
    sentence, action, source : str
        Why, what to do next (empty for a pass), and whose limit it is.
    bands : Difference or None
        The same by band.
    conditions : tuple of Conditions
        How the runs were taken.
    """

    feature: Feature
    check: str
    value: float | None
    u: float | None
    unit: str
    outcome: Outcome
    sentence: str
    action: str
    source: str
    bands: Difference | None
    conditions: tuple[Conditions, ...]

    def with_doubt(self, doubt: str) -> FeatureCheck:
        """The same check without a verdict, where something speaks against one; no action where it passes.

        Parameters
        ----------
        doubt : str
            What speaks against a verdict; empty where nothing does.
        """
        if doubt:
            action = "State or set the features as the check needs them, and measure again."
            sentence = f"{self.sentence.removesuffix('.')}; no verdict: {doubt}."
            return replace(self, outcome=Outcome.CANNOT_TELL, sentence=sentence, action=action)
        return replace(self, action="") if self.outcome is Outcome.PASS else self
