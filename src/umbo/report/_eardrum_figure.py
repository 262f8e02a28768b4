"""The eardrum view of one ear: everything on one axis, taken from the record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from umbo.chart import (
    EARDRUM_LEVEL,
    MAXIMUM_OUTPUT,
    TARGET,
    AidedSound,
    AidedSpeech,
    Chart,
    LevelAxis,
    Series,
    Texts,
    Trace,
    Trust,
    eardrum_view,
    trust_of,
)
from umbo.record import AidedRun, EarVerification, GradedRecd, SpeechRun, TargetRecord
from umbo.report._traces import curve_trace, known_trace, thresholds_of
from umbo.report._words import coupler_name

__all__ = ["aided_speech", "eardrum_chart", "noise_of"]

#: Speech is bounded by these shares of its 125 ms frames. [%]
_EDGES = ("30", "99")

#: The band is drawn for the run nearest to average speech (common practice, no source), so that bands do not cover each
#: other. [dB SPL]
_BAND_AT_DB = 65.0
_WORST_LAST = (Trust.FULL, Trust.CAUTION, Trust.NONE)


def eardrum_chart(side: str, ear: EarVerification, *, identity: str = "", height_px: float = 420.0) -> Chart | None:
    """Draw thresholds, speech, targets, maximum output and noise of one ear.

    Parameters
    ----------
    side : {"right", "left"}
        Which ear.
    ear : EarVerification
        Its record.
    identity : str
        Id of the chart; empty for "eardrum-right" or "eardrum-left".
    height_px : float
        Height of the plot. [px]

    Returns
    -------
    Chart or None
        The specification; None if nothing is known at the eardrum.
    """
    thresholds, sound = thresholds_of(ear.thresholds), _sound(ear)
    name = identity or f"eardrum-{side}"
    texts = Texts(title=f"{side.capitalize()} ear: levels at the eardrum", subtitle=_subtitle(ear))
    if thresholds is not None:
        return eardrum_view(
            name,
            "right" if side == "right" else "left",
            thresholds,
            sound,
            texts,
            discomfort=thresholds_of(ear.discomfort),
            height_px=height_px,
        )
    series = _series(sound)
    if not series:
        return None
    highest = max([120.0, *(db for one in series for db in one.level_db)])
    levels = ", ".join(one.label for one in series)
    return Chart(
        id=name,
        title=texts.title,
        subtitle=texts.subtitle,
        alt=f"Levels at the eardrum of the {side} ear against frequency, no thresholds: {levels}.",
        level=LevelAxis.around([0.0, highest + 4.0], "dB SPL at the eardrum", "dB SPL", 20.0),
        series=series,
        height_px=height_px,
    )


def _sound(ear: EarVerification) -> AidedSound:
    banded = min(ear.speech, key=lambda run: abs(run.input_db_spl - _BAND_AT_DB), default=None)
    speech = [aided_speech(run, ear, with_band=run is banded) for run in _softest_first(ear.speech)]
    return AidedSound(
        speech=[one for one in speech if one is not None],
        maximum_output=_maximum(ear.maximum_output, ear.recds),
        maximum_target=_limit(ear),
        noise=_noise(ear),
        maximum_input_db=90.0 if ear.maximum_output is None else ear.maximum_output.input_db_spl,
    )


def aided_speech(run: SpeechRun, ear: EarVerification, *, with_band: bool) -> AidedSpeech | None:
    """Take speech of one input level from the record; None if no point lies on the axis.

    Parameters
    ----------
    run : SpeechRun
        The run.
    ear : EarVerification
        Its ear, for targets and trusted limits.
    with_band : bool
        Whether the percentiles are wanted.
    """
    level = curve_trace(run.at_eardrum, f"speech {run.input_db_spl:g} dB", _route(run.coupler, ear.recds))
    if level is None:
        return None
    target = next((t for t in ear.targets if t.input_db_spl == run.input_db_spl), None)
    edges = [run.percentiles.get(edge) for edge in _EDGES] if with_band else [None, None]
    low, high = (
        None if edge is None or edge.frequency_hz != run.at_eardrum.frequency_hz else curve_trace(edge, "percentile")
        for edge in edges
    )
    aided = AidedSpeech(
        run.input_db_spl,
        level,
        None if target is None else curve_trace(target.at_eardrum, f"target {run.input_db_spl:g} dB"),
    )
    if low is None or high is None:
        return aided
    state = [max(pair, key=_distrust) for pair in zip(low.state, high.state, strict=True)]
    return replace(aided, soft_db=low.level_db, peak_db=high.level_db, edge_state=state)


def _distrust(state: str) -> int:
    return _WORST_LAST.index(trust_of(state))


def _maximum(run: AidedRun | None, recds: Sequence[GradedRecd]) -> Trace | None:
    if run is None:
        return None
    return curve_trace(run.at_eardrum, "maximum output", _route(run.coupler, recds))


def _limit(ear: EarVerification) -> Trace | None:
    """An imported limit; discomfort levels are drawn as the ceiling instead."""
    found: TargetRecord | None = next((t for t in ear.targets if t.input_db_spl is None), None)
    return None if found is None else curve_trace(found.at_eardrum, "limit")


def _noise(ear: EarVerification) -> Trace | None:
    found = (noise_of(run) for run in _softest_first(ear.speech))
    return next((noise for noise in found if noise is not None), None)


def noise_of(run: SpeechRun) -> Trace | None:
    """Take the noise of a run, at the eardrum; None where it is not known."""
    return known_trace(run.at_eardrum.frequency_hz, run.noise_at_eardrum_db, "noise")


def _route(coupler: str | None, recds: Sequence[GradedRecd]) -> GradedRecd | None:
    """The RECD of the coupler a run was measured in, whose limit ends the curve; none for a run in the ear."""
    return next((recd for recd in recds if recd.coupler == coupler), None)


def _softest_first(speech: Sequence[SpeechRun]) -> list[SpeechRun]:
    return sorted(speech, key=lambda run: run.input_db_spl)


def _subtitle(ear: EarVerification) -> str:
    couplers = dict.fromkeys(run.coupler for run in ear.speech)
    by = " and ".join(coupler_name(coupler) for coupler in couplers if coupler is not None)
    said = ["measured in the ear"] if None in couplers else []
    return " and ".join([*said, f"predicted from the {by}"] if by else said)


def _series(sound: AidedSound) -> tuple[Series, ...]:
    found = [one.level.series(EARDRUM_LEVEL, input_level_db=one.input_level_db) for one in sound.speech]
    found += [
        one.target.series(TARGET, input_level_db=one.input_level_db) for one in sound.speech if one.target is not None
    ]
    if sound.maximum_output is not None:
        found.append(sound.maximum_output.series(MAXIMUM_OUTPUT, input_level_db=sound.maximum_input_db))
    if sound.maximum_target is not None:
        found.append(sound.maximum_target.series(TARGET, input_level_db=sound.maximum_input_db))
    return tuple(found)
