"""Sounds so loud that they ask for special care, and what to say before any loud sound."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.core import COVERAGE_FACTOR, Finding, Severity
from umbo.verdict._wording import run_words

if TYPE_CHECKING:
    from umbo.core import Level

__all__ = ["LOUD_SOUND_CAUTIONS", "caution_findings", "caution_level_db"]

#: What to mind before and during a loud sweep (common practice, no source).
LOUD_SOUND_CAUTIONS = (
    "Before each loud sound, look into the ear and say that it will be loud and short.",
    "Never play a loud sweep into a baby's or a child's ear to find the limit: measure it in the coupler.",
    "Begin below the expected limit, raise in small steps, and stop at once at any sign of discomfort or pain.",
    "Keep a hand on the stop key, and let nobody else wear or listen to the aid meanwhile.",
)


def caution_level_db() -> float:
    """Maximum output above which special care is asked for (21 CFR 801, from memory). [dB SPL]"""
    return refdata.table("fit_tolerances", source="us-21-cfr-801-undated").at("caution_output", "value")


def caution_findings(*outputs: Level) -> tuple[Finding, ...]:
    """Say where a maximum output passes, or may pass, the level that asks for special care.

    The level is meant for the output in a coupler; at the eardrum, where it is usually higher, passing it is said too
    (engineering judgement). It is no limit: an output below it may well exceed what this ear can bear.

    Parameters
    ----------
    *outputs : Level
        Maximum output in the coupler, at the eardrum, or both. [dB SPL]

    Returns
    -------
    tuple of Finding
        For each output one if it passes the level, or reaches it within twice its uncertainty; points that cannot be
        used say nothing.
    """
    found = (_caution(output) for output in outputs)
    return tuple(finding for finding in found if finding is not None)


def _caution(output: Level) -> Finding | None:
    bound = caution_level_db()
    usable = output.states.is_usable
    above = usable & (output.level_db > bound)
    near = usable & (output.level_db + COVERAGE_FACTOR * output.u_db >= bound)
    if not near.any():
        return None
    where = above if above.any() else near
    worst = int(np.argmax(np.where(where, output.level_db, -np.inf)))
    hz = output.frequency_hz[where]
    stretches = run_words(output.frequency_hz.tolist(), where.tolist())
    size = f"{output.level_db[worst]:.1f} dB SPL (u {output.u_db[worst]:.1f} dB) at {output.frequency_hz[worst]:.0f} Hz"
    verb = "exceeds" if above.any() else "reaches, within twice its uncertainty,"
    text = (
        f"The maximum output {output.plane.phrase} {verb} {bound:g} dB SPL at {stretches}: {size}. Above "
        "that level an aid is to be chosen and fitted with special care, as it may damage the hearing that is left."
    )
    code, severity = ("output_above_caution", Severity.WARN) if above.any() else ("output_near_caution", Severity.INFO)
    return Finding(code, severity, text, _ACTION, _SOURCE, float(hz[0]), float(hz[-1]))


_ACTION = (
    "Make sure that so much output is needed and that this ear bears it; keep it below the discomfort limit, lock the "
    "volume, and watch the thresholds."
)
_SOURCE = "21 CFR 801, labelling of hearing aids (from memory)"
