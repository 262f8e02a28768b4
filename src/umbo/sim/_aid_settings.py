"""How an aid is set for a test: its volume, and which features work."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Literal

from umbo.sim._aid import VirtualAid

__all__ = ["AidSettings", "Volume", "settings_of"]


class Volume(StrEnum):
    """Where the volume control stands."""

    FULL_ON = "full_on"
    REFERENCE = "reference"
    AS_FITTED = "as_fitted"


_State = Literal["on", "off"]


@dataclass(frozen=True, slots=True, kw_only=True)
class AidSettings:
    """Volume and features of an aid in a test, as a case file states them.

    Attributes
    ----------
    name : str
        Name of the settings.
    volume : Volume
        Where the volume control stands.
    compression, expansion, noise_reduction, directional, frequency_lowering, feedback_canceller : bool
        Which features work, where the aid has them.
    """

    name: str
    volume: Volume
    compression: bool = False
    expansion: bool = False
    noise_reduction: bool = False
    directional: bool = False
    frequency_lowering: bool = False
    feedback_canceller: bool = False

    def states(self) -> dict[str, _State]:
        """State of each feature, in the words of a case file."""
        return {name: "on" if getattr(self, name) else "off" for name in _FEATURES}

    def applied(self, aid: VirtualAid, volume_db: float) -> VirtualAid:
        """The aid with these settings.

        Parameters
        ----------
        aid : VirtualAid
            The aid with everything it has.
        volume_db : float
            What the volume control takes away where it stands. [dB]

        Returns
        -------
        VirtualAid
            With the features that do not work taken out; without compression its ratios are 1.
        """
        return replace(
            aid,
            volume_db=volume_db,
            ratio=aid.ratio if self.compression else (1.0,) * len(aid.ratio),
            expansion=aid.expansion if self.expansion else None,
            noise_reduction=aid.noise_reduction if self.noise_reduction else None,
            feedback_canceller=aid.feedback_canceller if self.feedback_canceller else None,
            lowering=aid.lowering if self.frequency_lowering else None,
            directional=self.directional,
        )


_FEATURES = (
    "compression",
    "expansion",
    "noise_reduction",
    "directional",
    "frequency_lowering",
    "feedback_canceller",
)

_FITTED = AidSettings(name="fitted", volume=Volume.AS_FITTED, compression=True, expansion=True)

_ALL = (
    AidSettings(name="full_on", volume=Volume.FULL_ON),
    AidSettings(name="reference", volume=Volume.REFERENCE),
    AidSettings(name="dynamic", volume=Volume.REFERENCE, compression=True),
    AidSettings(name="expansion", volume=Volume.REFERENCE, compression=True, expansion=True),
    _FITTED,
    replace(_FITTED, name="fitted_noise_reduction", noise_reduction=True),
    replace(_FITTED, name="fitted_directional", directional=True),
    replace(_FITTED, name="fitted_lowering", frequency_lowering=True),
)


def settings_of(name: str) -> AidSettings:
    """Settings of the bench by their name: full_on, reference, dynamic, expansion, fitted and its variants."""
    return next(entry for entry in _ALL if entry.name == name)
