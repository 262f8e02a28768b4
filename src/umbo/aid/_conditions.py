"""Under which conditions a number of the aid was taken: coupler, stimulus, level, settings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from umbo.core import Ear, Plane

__all__ = ["Conditions", "Feature", "InputRoute", "Settings", "StimulusKind", "Switch", "Volume"]


class Volume(StrEnum):
    """Where the gain control stands."""

    FULL_ON = "full_on"
    REFERENCE = "reference"
    AS_FITTED = "as_fitted"


class Feature(StrEnum):
    """What an aid may do besides amplifying."""

    COMPRESSION = "compression"
    EXPANSION = "expansion"
    NOISE_REDUCTION = "noise_reduction"
    DIRECTIONAL = "directional"
    FREQUENCY_LOWERING = "frequency_lowering"
    FEEDBACK_CANCELLER = "feedback_canceller"

    @property
    def phrase(self) -> str:
        """How a sentence says it."""
        return "directional microphone" if self is Feature.DIRECTIONAL else self.replace("_", " ")


class Switch(StrEnum):
    """State of a feature."""

    ON = "on"
    OFF = "off"
    UNKNOWN = "unknown"


class InputRoute(StrEnum):
    """How the sound gets into the aid."""

    ACOUSTIC = "acoustic"
    TELECOIL = "telecoil"
    REMOTE_MICROPHONE = "remote_microphone"


class StimulusKind(StrEnum):
    """What was played."""

    SWEEP = "exponential_sweep"
    TONES = "tones"
    LEVEL_STEPS = "level_steps"
    SPEECH = "speech"
    NOISE = "noise"
    SILENCE = "silence"

    @property
    def phrase(self) -> str:
        """How a sentence says it."""
        return {"exponential_sweep": "a sweep", "tones": "steady tones", "level_steps": "level steps"}.get(self, self)


@dataclass(frozen=True, slots=True)
class Settings:
    """How the aid was set.

    Parameters
    ----------
    name : str
        What the settings are called.
    volume : Volume
        Where the gain control stands.
    features : mapping of Feature to Switch
        State of the features; one that is not named is unknown.
    """

    name: str
    volume: Volume
    features: Mapping[Feature, Switch] = field(hash=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "features", MappingProxyType(dict(self.features)))

    def state(self, feature: Feature) -> Switch:
        """State of a feature."""
        return self.features.get(feature, Switch.UNKNOWN)

    def why_not(self, feature: Feature, wanted: Switch) -> str:
        """Say what speaks against a verdict that needs a feature in a state; empty where nothing does.

        Parameters
        ----------
        feature : Feature
            The feature.
        wanted : Switch
            The state it has to be in.
        """
        found = self.state(feature)
        if found is wanted:
            return ""
        if found is Switch.UNKNOWN:
            return f"whether the {feature.phrase} was {wanted} is not known"
        return f"the {feature.phrase} was {found}, and this test needs it {wanted}"

    def same_features(self, other: Settings) -> bool:
        """Whether both leave the gain control and every feature in the same place."""
        return self.volume is other.volume and all(self.state(f) is other.state(f) for f in Feature)


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """What a number of the aid holds for.

    Parameters
    ----------
    plane : Plane
        Coupler or ear simulator.
    ear : Ear or None
        Side the aid belongs to.
    stimulus : StimulusKind
        What was played.
    input_db_spl : float or None
        Level at the aid's microphone; none for silence, steps, and a magnetic input. [dB SPL]
    settings : Settings
        How the aid was set.
    route : InputRoute
        How the sound got into the aid.
    box : str
        Name of the box or levelling: the identity of the error of its level.
    input_u_db : float
        Standard uncertainty of the level of the sound. [dB]
    run : str
        Name of the run: "now", "earlier".
    """

    plane: Plane
    ear: Ear | None
    stimulus: StimulusKind
    input_db_spl: float | None
    settings: Settings
    route: InputRoute
    box: str
    input_u_db: float
    run: str = "now"

    @property
    def phrase(self) -> str:
        """One phrase for a report: what was played at which level, where it was measured, and how the aid was set."""
        level = "" if self.input_db_spl is None else f" at {self.input_db_spl:g} dB"
        through = "" if self.route is InputRoute.ACOUSTIC else f" through the {self.route.replace('_', ' ')}"
        return f"{self.stimulus.phrase}{level}{through}, {self.plane.phrase}, settings '{self.settings.name}'"

    def differences(self, other: Conditions) -> tuple[str, ...]:
        """Say in what two conditions differ, apart from run, ear and names; empty where they agree."""
        out = []
        if self.plane != other.plane:
            out.append(f"one was measured {self.plane.phrase}, the other {other.plane.phrase}")
        if self.stimulus is not other.stimulus:
            out.append(f"one was taken with {self.stimulus.phrase}, the other with {other.stimulus.phrase}")
        if self.input_db_spl != other.input_db_spl:
            out.append(f"the input was {self.input_db_spl} dB in one and {other.input_db_spl} dB in the other")
        if self.route is not other.route:
            out.append(f"the input was {self.route} in one and {other.route} in the other")
        if not self.settings.same_features(other.settings):
            out.append(f"the settings '{self.settings.name}' and '{other.settings.name}' differ")
        return tuple(out)
