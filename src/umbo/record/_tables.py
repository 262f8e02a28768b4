"""Which published tables an answer rests on: those its curves and sentences name, and those its rules come from."""

from __future__ import annotations

import re
from collections.abc import Iterator

from umbo.core import ADULT_EAR_MONTHS, Curve, Origin
from umbo.ear import UNAIDED_SOURCE
from umbo.prescription import METHODS
from umbo.refdata import table
from umbo.session import EarResult, Hearing, SessionResult

__all__ = ["used_tables"]

#: How a curve's sum, a cause of error or a finding names a table.
_NAMED = re.compile(r"table ([a-z0-9_]+)/([a-z0-9.\-]+[a-z0-9])")

Name = tuple[str, str]

_ADULT_EAR = "field_to_eardrum"

#: What RECDs, thresholds, the index, limits and comparisons are held against; their numbers stand in no sum.
_RECD = (("recd_adult_mean", "derived-iso-389-2-1994"), ("recd_plausibility_band", "engineering-judgement"))
_THRESHOLDS = (("threshold_checks", "engineering-judgement"), ("threshold_uncertainty", "engineering-judgement"))
_INDEX = (("sii_third_octave", "ansi-s3.5-1997"), ("map_eardrum", "bentler-pavlovic-1989"))
_OPEN_EAR = (("ltass", "byrne-1994"), (_ADULT_EAR, UNAIDED_SOURCE))
_RMS = (("fit_tolerances", "mccreery-2013"), ("fit_tolerances", "wiseman-2023"))
_CAUTION = ("fit_tolerances", "us-21-cfr-801-undated")
_AGE_LIMIT = ("recd_age_limit", "engineering-judgement")
_VOLUME = ("ear_volume", "engineering-judgement")
_COMPARED = ("fit_tolerances", "engineering-judgement")
_TWO_EARS = ("recd_facts", "munro-buttfield-2005")
_GROWING_EAR = (
    ("external_ear_resonance", "kruger-1987"),
    ("external_ear_resonance", "keefe-1994"),
    ("external_ear_resonance", "westwood-bamford-undated"),
    ("external_ear_resonance", "dempster-mackenzie-1990"),
)


def used_tables(result: SessionResult) -> list[str]:
    """Tables that took part in an answer, each once, with source and how it was obtained.

    Parameters
    ----------
    result : SessionResult
        A verification.

    Returns
    -------
    list of str
        "quantity/source: title, edition, ...", in alphabetical order.
    """
    names: set[Name] = set()
    for ear in result.ears.values():
        names |= set(_of_ear(ear))
    for finding in result.findings:
        names |= set(_named(finding.source))
    age = result.plan.client.age_months
    if age is not None and age < ADULT_EAR_MONTHS and any(quantity == _ADULT_EAR for quantity, _ in names):
        names |= set(_GROWING_EAR)
    if sum(bool(ear.recds) for ear in result.ears.values()) > 1:
        names |= {_TWO_EARS, _COMPARED}
    if result.earlier is not None:
        names.add(_COMPARED)
    tables = [table(quantity, source=source) for quantity, source in sorted(names)]
    return [f"{one.name}: {one.citation()}" for one in tables]


def _of_ear(ear: EarResult) -> Iterator[Name]:
    for text in _sources(ear):
        yield from _named(text)
    for is_used, tables in (
        (bool(ear.recds), _RECD),
        (ear.thresholds is not None or ear.discomfort is not None, _THRESHOLDS),
        (any(heard.aided is not None for heard in ear.heard), _INDEX),
        (any(heard.unaided is not None for heard in ear.heard), _OPEN_EAR),
        (ear.maximum is not None, (_CAUTION,)),
        (ear.recd_age is not None, (_AGE_LIMIT,)),
        (ear.plan.vent is not None, (_VOLUME,)),
    ):
        yield from tables if is_used else ()
    if any(speech.deviation is not None for speech in ear.speech):
        yield from (*ear.guidance.tables, *_RMS)
    if _is_prescribed(ear):
        yield from ((c.quantity, c.source) for c in METHODS[ear.plan.prescription].constants)


def _is_prescribed(ear: EarResult) -> bool:
    """Whether the speech targets come from an open prescription and not from a file."""
    imported = any(target.kind == "speech" for target in ear.plan.targets)
    return not imported and any(target.input_db_spl is not None for target in ear.targets)


def _sources(ear: EarResult) -> Iterator[str]:
    """Every text of an ear that may name a table."""
    seen: set[int] = set()
    for curve in _curves(ear):
        yield from _of_origin(curve.origin, seen)
        yield from (cause.source for cause in curve.uncertainty.components)
    yield from (finding.source for finding in ear.findings)
    for entry in (ear.plan.thresholds, ear.plan.discomfort):
        if entry is not None and entry.correction is not None:
            yield entry.correction.source
    if ear.discomfort is not None and ear.discomfort.is_predicted and ear.plan.discomfort_prediction is not None:
        yield ear.plan.discomfort_prediction.source


def _curves(ear: EarResult) -> Iterator[Curve]:
    yield from (target.level for target in ear.targets)
    for heard in (ear.thresholds, ear.discomfort):
        yield from _of_hearing(heard)
    yield from (speech.run.at_eardrum for speech in ear.speech)
    if ear.maximum is not None:
        yield ear.maximum.run.at_eardrum
        yield from () if ear.maximum.limit is None else (ear.maximum.limit,)


def _of_hearing(heard: Hearing | None) -> Iterator[Curve]:
    if heard is not None:
        yield heard.entered
        yield from () if heard.at_eardrum is None else (heard.at_eardrum,)


def _of_origin(origin: Origin, seen: set[int]) -> Iterator[str]:
    if id(origin) in seen:
        return
    seen.add(id(origin))
    yield origin.source
    for _, part in origin.parts:
        yield from _of_origin(part, seen)


def _named(text: str) -> Iterator[Name]:
    yield from ((quantity, source) for quantity, source in _NAMED.findall(text))
