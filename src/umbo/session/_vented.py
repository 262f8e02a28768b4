"""What a vent of known dimensions does to a coupler's prediction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from umbo.core import Finding, Level, Plane, PointState, Severity, Statistic, Tags, Transfer
from umbo.curves import SpeechReading
from umbo.ear import (
    TwoPaths,
    direct_sound,
    ear_volume_m3,
    two_paths,
    vent_corner_hz,
    vent_effect,
    vent_transmission,
    withdrawn_by_vent,
)
from umbo.prescription import speech_in_field
from umbo.session._plan import EarPlan, StimulusPlan

__all__ = ["at_most", "carrier", "percentiles_with_vent", "with_direct_sound"]

#: From this rise of the rms level by direct sound, percentiles of the sum are not those of the aid alone (engineering
#: judgement). [dB]
_DIRECT_DB = 1.0


def carrier(recd: Transfer, ear: EarPlan, age_months: float | None) -> Transfer:
    """The RECD with the effect of a vent whose dimensions are known, withdrawn below the vent's corner."""
    if ear.venting != "vented":
        return recd
    if ear.vent is None:
        return withdrawn_by_vent(recd, ear.venting, corner_hz=None)
    through = recd + vent_effect(recd.grid, ear.vent, ear=ear.ear, age_months=age_months)
    corner_hz = vent_corner_hz(ear.vent, ear_volume_m3(age_months))
    return withdrawn_by_vent(through, ear.venting, corner_hz=corner_hz).named(f"{recd.tags.quantity}, with the vent")


def at_most(recd: Transfer, ear: EarPlan, age_months: float | None) -> Transfer:
    """The RECD for a maximum output: a vent's resonance is added, what a vent takes away is not counted on."""
    if ear.venting != "vented" or ear.vent is None:
        return recd
    most = vent_effect(recd.grid, ear.vent, ear=ear.ear, age_months=age_months, never_lowers=True)
    return (recd + most).named(f"{recd.tags.quantity}, with the vent")


def with_direct_sound(
    aided: Level, reading: SpeechReading, stimulus: StimulusPlan, ear: EarPlan, age_months: float | None
) -> tuple[Level, TwoPaths | None, tuple[Finding, ...]]:
    """Aided speech with the speech that comes in through the vent.

    Parameters
    ----------
    aided : Level
        The aid's sound at the eardrum, with the vent's effect. [dB SPL]
    reading : SpeechReading
        Knows the third-octave levels of the stimulus where its file was there.
    stimulus : StimulusPlan
        Its kind and level.
    ear : EarPlan
        Venting, and the vent's dimensions.
    age_months : float or None
        Age, for the ear's volume. [month]
    """
    if ear.venting != "vented" or ear.vent is None:
        return aided, None, _unknown(ear)
    field = _field(aided, reading, stimulus)
    if field is None:
        return aided, None, (_without_direct(stimulus.name),)
    transmission = vent_transmission(aided.grid, ear.vent, ear=ear.ear, age_months=age_months)
    direct = direct_sound(field, transmission)
    paths = two_paths(aided, direct, delay_s=ear.aid_delay_s, quantity="aid and direct sound")
    return paths.total, paths, ()


def percentiles_with_vent(percentiles: Mapping[int, Level], paths: TwoPaths | None) -> dict[int, Level]:
    """Percentiles of the aid's sound, taken back where direct sound is part of what is heard."""
    if paths is None:
        return dict(percentiles)
    raised = paths.total.level_db - paths.aided.level_db >= _DIRECT_DB
    reason = "direct sound through the vent adds; the percentiles of both together are not known"
    return {p: level.marked(PointState.WITHDRAWN, raised, reason) for p, level in percentiles.items()}


def _field(aided: Level, reading: SpeechReading, stimulus: StimulusPlan) -> Level | None:
    """The speech in the field: as the stimulus file has it, else the published long-term spectrum at its level."""
    tags = Tags(
        quantity="speech in the field",
        ear=aided.tags.ear,
        stimulus=aided.tags.stimulus,
        statistic=Statistic.RMS,
        coupling=None,
        source=None,
    )
    if reading.input_levels_db is not None:
        return Level.given(
            aided.grid,
            reading.input_levels_db,
            plane=Plane.free_field(),
            tags=tags,
            source=f"stimulus '{stimulus.name}' at its declared level",
        )
    if stimulus.kind != "speech" or reading.input_db_spl is None:
        return None
    published = speech_in_field(aided.frequency_hz, reading.input_db_spl, ear=aided.tags.ear)
    return replace(published, tags=tags)


def _unknown(ear: EarPlan) -> tuple[Finding, ...]:
    if ear.venting != "vented":
        return ()
    text = "The fitting is vented and the vent's dimensions are not given: nothing is predicted below 750 Hz."
    action = "Give vent_diameter_mm and vent_length_mm, or measure the aided response in the ear."
    source = "Hoover, Stelmachowicz & Lewis 2000 (abstract read); leak corner F13"
    return (Finding("vent_not_described", Severity.INFO, text, action, source),)


def _without_direct(name: str) -> Finding:
    text = f"What of '{name}' comes in through the vent is not known: its spectrum in the field is not given."
    action = "Give the file of the stimulus, or measure the aided response in the ear."
    return Finding("direct_sound_not_known", Severity.WARN, text, action, "engineering judgement, no source")
