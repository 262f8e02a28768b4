"""The aid measured in the ear: speech and maximum output at the probe tip, and runs with the aid muted or removed."""

from __future__ import annotations

from umbo.aid import MAXIMUM_INPUT_DB_SPL
from umbo.core import Finding, Grid, Level, Severity, Transfer
from umbo.curves import Reading
from umbo.ear import (
    insertion_loss,
    notch_of,
    openness,
    probe_position,
    real_ear_gain,
    reference_microphone_finding,
    unaided_response_finding,
)
from umbo.errors import CombinationError
from umbo.session._aided import AidedMaximum, AidedSpeech
from umbo.session._plan import AidState, EarPlan, ImportedCurve, Plan, Take
from umbo.session._readings import Readings
from umbo.session._routes import OnEar

__all__ = ["on_ear", "on_ear_findings", "on_ear_maximum", "on_ear_speech"]

_JUDGEMENT = "engineering judgement, no source"

#: Highest input of a loud sweep that is run in an ear (85 dB on the ear, from memory). [dB SPL]
_MOST_IN_EAR_DB_SPL = 85.0

#: Which openness speaks against which declared venting.
_AGAINST = {"closed": ("open", "partly open"), "vented": ("open",), "open": ("occluding",)}


def on_ear(readings: Readings, ear: EarPlan, plan: Plan) -> OnEar | None:
    """The way of measuring in the ear, where speech or a loud sweep of the aid was taken at the probe tip."""
    loud = _loud_sweeps(readings, ear, plan)
    spoken = readings.spoken(ear.ear, "probe_tip")
    grid = Grid.twelfth_octave()
    levels = [reading.on(grid).level for _, reading, _ in loud] + [reading.level for _, reading in spoken]
    if not levels:
        return None
    position = probe_position(ear.tip_to_drum_mm, notch_of(levels[0], None))
    return OnEar(ear, plan.client.age_months, position, position.findings)


def on_ear_speech(readings: Readings, ear: EarPlan, way: OnEar) -> tuple[AidedSpeech, ...]:
    """Every speech run of the aid at the probe tip, carried to the eardrum: the REAR."""
    out = []
    for take, reading in readings.spoken(ear.ear, "probe_tip"):
        if reading.input_db_spl is None:
            continue
        level = reading.level
        to_drum = way.to_eardrum(level.grid, level.plane)
        noise = None if reading.noise_db is None else reading.noise_db + to_drum.level_db
        out.append(
            AidedSpeech(
                name=take.name,
                input_db_spl=reading.input_db_spl,
                route=way,
                measured=level,
                at_eardrum=(level + to_drum).named(f"speech {reading.input_db_spl:g} dB"),
                percentiles={p: curve + to_drum for p, curve in reading.percentiles.items()},
                noise_at_eardrum_db=noise,
                to_eardrum=to_drum,
                mle=None,
                paths=None,
                findings=(*way.findings, *reading.findings),
            )
        )
    return tuple(out)


def on_ear_maximum(readings: Readings, ear: EarPlan, way: OnEar, plan: Plan, grid: Grid) -> tuple[AidedMaximum, ...]:
    """Every loud sweep of the aid at the probe tip, carried to the eardrum: the RESR, with the caution it needs."""
    out = []
    for take, reading, level_db_spl in _loud_sweeps(readings, ear, plan):
        level = reading.on(grid).level.named("maximum output")
        out.append(
            AidedMaximum(
                name=take.name,
                input_db_spl=level_db_spl,
                route=way,
                measured=level,
                at_eardrum=level + way.to_eardrum(grid, level.plane),
                harmonics=reading.harmonics(grid),
                findings=(*way.findings, *reading.findings, _loud(take.name, level_db_spl)),
            )
        )
    return tuple(out)


def _loud_sweeps(readings: Readings, ear: EarPlan, plan: Plan) -> list[tuple[Take | ImportedCurve, Reading, float]]:
    """Sweeps at the probe tip that are loud enough to show the maximum output, with their level. [dB SPL]."""
    played = [
        (take, reading, plan.stimuli[take.stimulus].level_db_spl)
        for take, reading in readings.of(ear.ear, "probe_tip", "aid")
    ]
    return [(take, r, level) for take, r, level in played if level is not None and level >= MAXIMUM_INPUT_DB_SPL]


def _loud(name: str, level_db_spl: float) -> Finding:
    text = f"'{name}' is a loud sweep of {level_db_spl:g} dB SPL through the aid into the ear."
    action = (
        "Warn the client before such a sweep, stop at any sign of distress, and never run one without need: where the "
        "fitting is closed, measure the maximum in the coupler instead."
    )
    severity = Severity.INFO
    if level_db_spl > _MOST_IN_EAR_DB_SPL:
        severity = Severity.WARN
        action += f" {_MOST_IN_EAR_DB_SPL:g} dB SPL is the most that is played into an ear."
    return Finding("loud_sweep_in_ear", severity, text, action, "common practice; 85 dB in the ear from memory")


def on_ear_findings(readings: Readings, ear: EarPlan, plan: Plan) -> tuple[Finding, ...]:
    """What runs with the aid muted or removed say: the unaided peak, how open the fitting is, sound at the reference.

    Parameters
    ----------
    readings : Readings
        Every reading.
    ear : EarPlan
        Which ear, and the venting that was declared.
    plan : Plan
        Stimuli and age.
    """
    unaided, occluded = _gain(readings, ear, "removed"), _gain(readings, ear, "muted")
    found = [
        None if unaided is None else unaided_response_finding(unaided, plan.client.age_months),
        None if unaided is None or occluded is None else _loss_finding(occluded, unaided, ear),
        *_reference_findings(readings, ear),
    ]
    return tuple(finding for finding in found if finding is not None)


def _levels(readings: Readings, ear: EarPlan, place: str, state: AidState) -> list[tuple[str, Level]]:
    """Levels at a place with the aid in a state, with their stimulus: sweeps on twelfth-octaves, speech on thirds."""
    grid = Grid.twelfth_octave()
    swept = [(t.stimulus, r.on(grid).level) for t, r in readings.of(ear.ear, place, "aid", state)]
    return swept + [(t.stimulus, r.level) for t, r in readings.spoken(ear.ear, place, state)]


def _gain(readings: Readings, ear: EarPlan, state: AidState) -> Transfer | None:
    """REUG or REOG, where the same stimulus was measured in the field too, the reference microphone first."""
    for stimulus, level in _levels(readings, ear, "probe_tip", state):
        for place in ("reference_microphone", "free_field"):
            fields = [f for name, f in _levels(readings, ear, place, state) if name == stimulus]
            try:
                if fields:
                    return real_ear_gain(level, fields[0], "REUG" if state == "removed" else "REOG")
            except CombinationError:
                continue
    return None


def _loss_finding(occluded: Transfer, unaided: Transfer, ear: EarPlan) -> Finding | None:
    found = openness(insertion_loss(occluded, unaided))
    if found is None:
        return None
    text = (
        f"With the aid muted the ear loses {found.loss_db:.1f} dB (u {found.u_db:.1f} dB) of its own gain at "
        f"{found.at_hz:.0f} Hz: the fitting is {found.word}"
    )
    if found.word not in _AGAINST[ear.venting]:
        return Finding(
            "insertion_loss", Severity.INFO, f"{text}.", "Nothing to do.", _JUDGEMENT, found.at_hz, found.at_hz
        )
    action = "Declare the venting as it is, or check for a leak at the mould or dome and measure again."
    text = f"{text}, and it is declared {ear.venting}."
    return Finding("venting_contradicted", Severity.WARN, text, action, _JUDGEMENT, found.at_hz, found.at_hz)


def _reference_findings(readings: Readings, ear: EarPlan) -> list[Finding]:
    """Runs at the reference microphone with the aid on and muted; what cannot be told without them, for an open ear."""
    place = "reference_microphone"
    on, muted = (_levels(readings, ear, place, state) for state in ("on", "muted"))
    pairs = [(a, b) for name, a in on for other, b in muted if name == other]
    if pairs:
        found = (reference_microphone_finding(a, b) for a, b in pairs if a.grid.same_frequencies(b.grid))
        return [finding for finding in found if finding is not None]
    if ear.venting != "open" or not _levels(readings, ear, "probe_tip", "on"):
        return []
    text = (
        "Whether amplified sound reached the reference microphone is outside what these recordings tell: an open "
        "fitting needs an equalisation that was stored with the aid muted."
    )
    action = "Record the reference microphone with the aid on and muted, or note that stored equalisation was used."
    return [Finding("equalisation_not_told", Severity.INFO, text, action, "common practice, from memory")]
