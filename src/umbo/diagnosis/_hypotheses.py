"""The explanations of a measurement that are compared: nothing wrong, one cause, two causes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from umbo import refdata
from umbo.core import CouplerKind
from umbo.diagnosis._parameters import Parameter

__all__ = ["CAUSES", "OK", "Hypothesis", "hypotheses"]

#: Name of the explanation without a cause.
OK = "ok"

#: Parameters that a cause sets free, beside those that are free in every measurement.
CAUSES: dict[str, tuple[Parameter, ...]] = {
    "leak": (Parameter.LEAK_HEIGHT_M,),
    "shallow_probe": (Parameter.PROBE_TO_DRUM_M,),
    "blocked_probe": (Parameter.ATTENUATION_DB, Parameter.CORNER_HZ),
    "probe_in_bore": (Parameter.BORE_DEPTH_M,),
    "open_middle_ear": (Parameter.HOLE_RADIUS_M,),
    "wrong_coupler": (),
    "wrong_adaptor": (),
    "wrong_age": (),
    "effusion": (Parameter.EFFUSION_M3,),
    "coupler_leak": (Parameter.COUPLER_LEAK_HEIGHT_M,),
    "uncalibrated_tube": (Parameter.PROBE_TUBE_LENGTH_M, Parameter.ATTENUATION_DB),
    "source_drift": (Parameter.DRIFT_DB,),
}

#: Free in every measurement.
_ALWAYS = (
    Parameter.CANAL_LENGTH_M,
    Parameter.CANAL_RADIUS_M,
    Parameter.DRUM_RADIUS_RATIO,
    Parameter.TIP_RADIUS_RATIO,
    Parameter.DRUM_SCALE_DB,
    Parameter.DRUM_MIX,
    Parameter.PROBE_TO_DRUM_M,
)

#: Below this age the canal wall gives way (assumed, as in the virtual bench). [month]
SOFT_WALL_MONTHS = 24.0

#: From this age an ear counts as adult (Dempster & Mackenzie 1990, abstract read). [month]
ADULT_MONTHS = 84.0

#: Age taken for an infant declared an adult (assumed). [month]
_INFANT_MONTHS = 6.0

#: Which coupler was used where the label names another of other volume, and of other adaptor.
_OTHER_VOLUME = {
    CouplerKind.HA1: CouplerKind.CC04,
    CouplerKind.HA2: CouplerKind.CC04,
    CouplerKind.HA4: CouplerKind.CC04,
    CouplerKind.CC04: CouplerKind.HA1,
}
_OTHER_ADAPTOR = {CouplerKind.HA1: CouplerKind.HA2, CouplerKind.HA2: CouplerKind.HA1}


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One explanation.

    Parameters
    ----------
    causes : tuple of str
        What went wrong, out of :data:`CAUSES`; empty if nothing.
    kind : CouplerKind
        The coupler that was used.
    age_months : float
        Age of the ear that was measured. [month]
    free : tuple of Parameter
        What a fit may move.
    weight : float
        How often it is met, scaled so that all on offer sum to one. [1]
    """

    causes: tuple[str, ...]
    kind: CouplerKind
    age_months: float
    free: tuple[Parameter, ...]
    weight: float

    @property
    def name(self) -> str:
        """The causes joined by a plus sign, or "ok"."""
        return "+".join(self.causes) or OK


@lru_cache(maxsize=32)
def hypotheses(declared: CouplerKind, age_months: float, of_source: tuple[Parameter, ...]) -> tuple[Hypothesis, ...]:
    """Explanations on offer for a measurement.

    Parameters
    ----------
    declared : CouplerKind
        Coupler the label names.
    age_months : float
        Declared age. [month]
    of_source : tuple of Parameter
        What is not known of the source.

    Returns
    -------
    tuple of Hypothesis
        Nothing wrong first; an explanation that cannot be (no other adaptor, no other age) is left out.
    """
    table = refdata.table("diagnosis_weight", source="engineering-judgement")
    out = []
    for name, weight in zip(table.text("explanation"), table.column("weight"), strict=True):
        causes = () if name == OK else tuple(name.split("+"))
        kind = _kind(causes, declared)
        if kind is not None:
            age = _other_age(age_months) if "wrong_age" in causes else age_months
            out.append(Hypothesis(causes, kind, age, _free(causes, age, of_source), float(weight)))
    total = sum(one.weight for one in out)
    return tuple(Hypothesis(one.causes, one.kind, one.age_months, one.free, one.weight / total) for one in out)


def _kind(causes: tuple[str, ...], declared: CouplerKind) -> CouplerKind | None:
    if "wrong_coupler" in causes:
        return _OTHER_VOLUME.get(declared)
    if "wrong_adaptor" in causes:
        return _OTHER_ADAPTOR.get(declared)
    return declared


def _other_age(age_months: float) -> float:
    """An adult for a child, an infant for an adult. [month]"""
    return _INFANT_MONTHS if age_months >= ADULT_MONTHS else ADULT_MONTHS


def _free(causes: tuple[str, ...], age_months: float, of_source: tuple[Parameter, ...]) -> tuple[Parameter, ...]:
    wall = (Parameter.WALL_MODULUS_PA,) if age_months < SOFT_WALL_MONTHS else ()
    own = tuple(parameter for cause in causes for parameter in CAUSES[cause])
    always = tuple(p for p in _ALWAYS if not ("probe_in_bore" in causes and p is Parameter.PROBE_TO_DRUM_M))
    return tuple(dict.fromkeys((*always, *wall, *of_source, *own)))


def infant_share(age_months: float) -> float:
    """Share of the infant drum's admittance, from 1 at one month to 0 at seven years over the logarithm (assumed)."""
    return float(np.clip(1 - np.log(max(age_months, 1.0)) / np.log(ADULT_MONTHS), 0.0, 1.0))
