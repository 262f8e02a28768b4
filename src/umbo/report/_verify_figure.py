"""The picture of a verification: every ear on one axis, and below it speech of each input level by itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice

from umbo.chart import Chart, Figure, LevelAxis, Texts, Tone, speech_panel
from umbo.errors import InputError
from umbo.record import EarVerification, SpeechRun, VerifyAnswer
from umbo.report._audible_words import audibility_words
from umbo.report._eardrum_figure import aided_speech, eardrum_chart, noise_of
from umbo.report._record_figure import eardrum_column
from umbo.report._traces import thresholds_of

__all__ = ["VERIFY_WIDTH_PX", "verify_figure"]

#: Width at which three panels stand side by side, or two ears have room for their names. [px]
VERIFY_WIDTH_PX = 860.0

_SIDE_BY_SIDE = 3
_MAIN_PX, _COLUMN_PX, _PANEL_PX = 380.0, 330.0, 160.0
_INDEX = "index with its interval of 95 %: ANSI S3.5-1997, a measure of audibility, no percentage of words"


def verify_figure(answer: VerifyAnswer) -> Figure:
    """Draw a verification: one panel an ear with everything at its eardrum, and one a speech level with percentiles.

    Two ears stand side by side; their panels of one input level stand in one row.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.

    Returns
    -------
    Figure
        The specification, to be drawn `VERIFY_WIDTH_PX` wide.

    Raises
    ------
    InputError
        If nothing is known at the eardrum of any ear.
    """
    drawn: dict[str, EarVerification] = {
        side: ear for side, ear in answer.ears.items() if eardrum_chart(side, ear) is not None
    }
    if not drawn:
        raise InputError(
            f"draw the levels at the eardrum of the case '{answer.case}'",
            "no thresholds, speech or maximum output of it are known there",
            "look at the reasons that umbo verify gives",
        )
    rows = _both_ears(drawn) if len(drawn) > 1 else _one_ear(*next(iter(drawn.items())))
    alt = " ".join(chart.alt for row in rows for chart in row)
    title = f"Levels at the eardrum, case {answer.case}"
    outcome = "verified" if answer.verified else "not verified"
    subtitle = f"client {answer.client}; {outcome}; {_INDEX}"
    return Figure("verify", tuple(rows), title=title, alt=alt, subtitle=subtitle)


def _both_ears(ears: dict[str, EarVerification]) -> list[tuple[Chart, ...]]:
    mains = [chart for side, ear in ears.items() if (chart := eardrum_column(side, ear, _COLUMN_PX)) is not None]
    axis, shades = _panel_axis(ears), {side: _shade(main) for side, main in zip(ears, mains, strict=True)}
    levels = sorted({run.input_db_spl for ear in ears.values() for run in ear.speech})
    rows: list[tuple[Chart, ...]] = [tuple(mains)]
    for level in levels:
        row = [
            panel
            for side, ear in ears.items()
            for run in ear.speech
            if run.input_db_spl == level and (panel := _panel(side, ear, run, axis, shades[side])) is not None
        ]
        rows += _chunks(row, len(ears))
    return rows


def _one_ear(side: str, ear: EarVerification) -> list[tuple[Chart, ...]]:
    main = eardrum_chart(side, ear, height_px=_MAIN_PX)
    if main is None:
        return []
    if len(ear.speech) < 2:
        said = [main.subtitle, *(audibility_words(run.audibility) for run in ear.speech)]
        return [(replace(main, subtitle="; ".join(words for words in said if words)),)]
    main = replace(main, bands=tuple(band for band in main.bands if band.input_level_db is None))
    axis = _panel_axis({side: ear})
    runs = sorted(ear.speech, key=lambda run: run.input_db_spl)
    panels = [panel for run in runs if (panel := _panel(side, ear, run, axis, _shade(main))) is not None]
    return [(main,), *_chunks(panels, _SIDE_BY_SIDE)]


def _chunks(panels: Sequence[Chart], size: int) -> Iterator[tuple[Chart, ...]]:
    left = iter(panels)
    while row := tuple(islice(left, size)):
        yield row


def _shade(main: Chart) -> str:
    """What the grey ground of an ear is called: the same in all its panels, so that the key explains it once."""
    return next((band.label for band in main.bands if band.tone is Tone.NEUTRAL), "")


def _panel(side: str, ear: EarVerification, run: SpeechRun, level: LevelAxis, shade: str) -> Chart | None:
    speech = aided_speech(run, ear, with_band=True)
    if speech is None:
        return None
    number = ear.speech.index(run)
    chart = speech_panel(
        f"verify-{side}-{number}",
        "right" if side == "right" else "left",
        speech,
        level,
        Texts(subtitle=audibility_words(run.audibility)),
        thresholds=thresholds_of(ear.thresholds),
        noise=noise_of(run),
        height_px=_PANEL_PX,
    )
    bands = (replace(band, label=shade) if band.tone is Tone.NEUTRAL and shade else band for band in chart.bands)
    limits = (replace(limit, label="trusted") for limit in chart.limits)
    return replace(chart, bands=tuple(bands), limits=tuple(limits))


def _panel_axis(ears: dict[str, EarVerification]) -> LevelAxis:
    """One axis for all panels, from 0 dB SPL to what the loudest needs; less than the maximum output does."""
    highest = [80.0]
    for ear in ears.values():
        at = None if ear.thresholds is None else ear.thresholds.at_eardrum
        highest += [] if at is None else at.level_db
        for run in ear.speech:
            highest += run.at_eardrum.level_db
            highest += run.percentiles["99"].level_db if "99" in run.percentiles else []
    return LevelAxis.around([0.0, max(highest) + 4.0], "dB SPL", "dB SPL", step_db=20.0)
