"""What of speech is audible in this ear, with the aid and without it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeVar

import numpy as np

from umbo.audibility import (
    HIGHEST_INDEX_HZ,
    Audibility,
    AudibleBandwidth,
    Draws,
    SpokenWords,
    audibility,
    audible_bandwidth,
    heard_sounds,
)
from umbo.core import Bandwidth, Grid, Level, Statistic, Transfer, lies_within
from umbo.ear import UNAIDED_SOURCE, unaided_gain
from umbo.errors import UmboError
from umbo.prescription import speech_in_field
from umbo.session._aided import AidedSpeech
from umbo.session._hearing import Hearing
from umbo.session._plan import Client, EarPlan
from umbo.session._readings import Readings
from umbo.session._routes import Route

__all__ = ["HEARD_DRAWS", "HeardPart", "HeardSpeech", "heard_speech"]

#: Draws of every interval of audibility in a session: its ends are then known to a few per cent of its width. [1]
HEARD_DRAWS = Draws(n=1000, seed=1997)

HeardPart = Literal["index", "unaided", "bandwidth", "words"]
_PARTS: tuple[HeardPart, ...] = ("index", "unaided", "bandwidth", "words")

_T = TypeVar("_T")

_NO_THRESHOLDS = "No thresholds are known for this ear, and what is audible is a matter of thresholds."
_LOWERED: dict[HeardPart, str] = {
    "unaided": "Left out: with frequency lowering there is no aided index to compare it with.",
    "bandwidth": "With frequency lowering it would say where lowered sounds arrive, not which sounds are audible: "
    "measure with the lowering off.",
    "words": "With frequency lowering the bands do not tell which sounds of speech arrive in them.",
}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class HeardSpeech:
    """What of the speech of one run is audible.

    Parameters
    ----------
    run : AidedSpeech
        The run.
    aided : Audibility or None
        Speech intelligibility index of the run at the eardrum, in the noise of its recording where that is known.
    unaided : Audibility or None
        The same of average speech at this input level in the open ear, in quiet.
    bandwidth : AudibleBandwidth or None
        Up to which frequency the run is audible, and what the bands above 8 kHz add.
    words : SpokenWords or None
        What can be heard, in words without numbers.
    why_not : mapping of {"index", "unaided", "bandwidth", "words"} to str
        For each of the four that is None, the sentence that says why.
    has_noise : bool
        Whether the noise of the recording is part of the index.
    trusted_max_hz : float or None
        Bands above this limit of the route count as not known; None where the states of the points say all. [Hz]
    """

    run: AidedSpeech
    aided: Audibility | None
    unaided: Audibility | None
    bandwidth: AudibleBandwidth | None
    words: SpokenWords | None
    why_not: Mapping[HeardPart, str]
    has_noise: bool
    trusted_max_hz: float | None


def heard_speech(
    runs: Sequence[AidedSpeech], thresholds: Hearing | None, ear: EarPlan, client: Client, readings: Readings
) -> tuple[HeardSpeech, ...]:
    """Find what is audible of every speech run of an ear.

    Parameters
    ----------
    runs : sequence of AidedSpeech
        Runs by the way in use.
    thresholds : Hearing or None
        Thresholds of the ear.
    ear : EarPlan
        Whether frequency lowering is declared.
    client : Client
        Age, for the unaided ear.
    readings : Readings
        How many repeats each run was averaged over.

    Returns
    -------
    tuple of HeardSpeech
        One for each run, in their order.
    """
    if not runs:
        return ()
    if thresholds is None or thresholds.at_eardrum is None:
        why: dict[HeardPart, str] = dict.fromkeys(_PARTS, _without(thresholds))
        return tuple(_nothing(run, why) for run in runs)
    open_ear = _open_ear(ear, client)
    return tuple(_heard(run, thresholds, thresholds.at_eardrum, open_ear, _repeats(run, ear, readings)) for run in runs)


def _nothing(run: AidedSpeech, why: Mapping[HeardPart, str]) -> HeardSpeech:
    return HeardSpeech(
        run=run,
        aided=None,
        unaided=None,
        bandwidth=None,
        words=None,
        why_not=why,
        has_noise=False,
        trusted_max_hz=_limit_hz(run),
    )


def _without(thresholds: Hearing | None) -> str:
    if thresholds is None or thresholds.why_not is None:
        return _NO_THRESHOLDS
    return f"The thresholds are not known at the eardrum: {thresholds.why_not}"


def _heard(run: AidedSpeech, thresholds: Hearing, limit: Level, open_ear: Transfer, repeats: int) -> HeardSpeech:
    why: dict[HeardPart, str] = {}
    is_lowered, trusted_hz, noise = run.route.ear.frequency_lowering, _limit_hz(run), _noise(run, repeats)

    def index(speech: Level, trusted_max_hz: float | None, disturbing: Level | None) -> Audibility:
        return audibility(
            speech,
            limit,
            no_response=thresholds.no_response,
            is_lowering_on=is_lowered,
            trusted_max_hz=trusted_max_hz,
            noise=disturbing,
            draws=HEARD_DRAWS,
        )

    def bandwidth() -> AudibleBandwidth:
        return audible_bandwidth(
            run.percentiles.get(99),
            run.at_eardrum,
            limit,
            no_response=thresholds.no_response,
            trusted_max_hz=trusted_hz,
            draws=HEARD_DRAWS,
        )

    aided = _tried("index", why, lambda: index(run.at_eardrum, trusted_hz, noise))
    if is_lowered:
        return _nothing(run, why | _LOWERED)
    if aided is None:
        why["words"] = why["index"]
    return HeardSpeech(
        run=run,
        aided=aided,
        unaided=_tried("unaided", why, lambda: index(_unaided(run, open_ear), None, None)),
        bandwidth=_tried("bandwidth", why, bandwidth),
        words=None if aided is None else heard_sounds({run.input_db_spl: aided})[0],
        why_not=why,
        has_noise=aided is not None and noise is not None,
        trusted_max_hz=trusted_hz,
    )


def _tried(part: HeardPart, why: dict[HeardPart, str], compute: Callable[[], _T]) -> _T | None:
    """What comes out; else None, and the reason under its name."""
    try:
        return compute()
    except UmboError as error:
        why[part] = f"{error.disagrees[0].upper()}{error.disagrees[1:]}; {error.do}."
        return None


def _limit_hz(run: AidedSpeech) -> float | None:
    """Trusted limit of a measured RECD; by the other ways the states of the points carry every limit. [Hz]."""
    measured = run.route.measured if isinstance(run.route, Route) else None
    return None if measured is None else measured.trust.max_hz


def _repeats(run: AidedSpeech, ear: EarPlan, readings: Readings) -> int:
    return next((r.repeats for t, r in readings.speech if t.name == run.name and t.ear == ear.ear), 1)


def _noise(run: AidedSpeech, repeats: int) -> Level | None:
    r"""Noise as one passage of the speech has it, carried to the eardrum as the speech is.

    .. math:: N_1 = N_n + 10 \lg n \qquad (1)

    The reading's noise is that of the average of n repeats; a listener hears one.
    """
    if run.noise_at_eardrum_db is None:
        return None
    of_average_db = run.noise_at_eardrum_db - run.to_eardrum.level_db
    where_measured = Level.given(
        run.measured.grid,
        of_average_db + 10 * np.log10(max(repeats, 1)),  # Eq. (1)
        plane=run.measured.plane,
        tags=replace(run.measured.tags, quantity=f"noise of '{run.name}'"),
        source=f"difference of the repeats of '{run.name}'",
    )
    return where_measured + run.to_eardrum


def _open_ear(ear: EarPlan, client: Client) -> Transfer:
    """Average unaided gain of this age in third-octave bands, up to the highest band of the index."""
    hz = Grid.third_octave().frequency_hz
    hz = hz[lies_within(hz, 0.0, HIGHEST_INDEX_HZ)]  # beyond it the index has no band
    gain = unaided_gain(hz, client.age_months, ear=ear.ear, field="free", source=UNAIDED_SOURCE)
    return gain.on(Grid(hz, Bandwidth.THIRD_OCTAVE), method="log_frequency", outside="refuse")


def _unaided(run: AidedSpeech, open_ear: Transfer) -> Level:
    """Average speech at the level of the run in the field, and through the open ear."""
    ear = open_ear.tags.ear
    field = speech_in_field(open_ear.frequency_hz, run.input_db_spl, ear=ear)
    name = f"unaided speech {run.input_db_spl:g} dB"
    return replace(field, tags=replace(field.tags, statistic=Statistic.RMS)).named(name) + open_ear
