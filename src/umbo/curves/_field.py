"""What an aid was given: the level of the sound at its microphone, as played."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from umbo.calibration import Recording
from umbo.core import Component, FloatArray, Grid, Level, Plane, Tags
from umbo.curves._speech import PERCENTILES
from umbo.dsp import third_octave_frames
from umbo.errors import InputError

__all__ = ["SpeechInput", "field_level", "speech_input"]


def _component(box: str, u_db: float) -> Component:
    """The levelling of a box: one error for everything played in it."""
    if not (np.isfinite(u_db) and u_db >= 0):
        raise InputError(
            f"state the level in '{box}'",
            f"an uncertainty of {u_db} dB cannot be",
            "give the standard uncertainty in decibels, 0 or more",
        )
    return Component(
        f"input_level:{box}", f"level of the sound in '{box}'", np.array([u_db]), "full", "B", "levelling, as declared"
    )


def field_level(grid: Grid, level_db_spl: float, *, tags: Tags, box: str, u_db: float) -> Level:
    """Level of a levelled sweep or series of tones at the aid's microphone: the same at every frequency.

    Parameters
    ----------
    grid : Grid
        Frequencies.
    level_db_spl : float
        Level. [dB SPL]
    tags : Tags
        Those of the output it belongs to.
    box : str
        Name of the box or levelling: the identity of its error.
    u_db : float
        Standard uncertainty of the level. [dB]

    Raises
    ------
    InputError
        If the uncertainty cannot be.
    """
    return Level.given(
        grid,
        np.full(grid.size, level_db_spl),
        plane=Plane.aid_microphone(),
        tags=replace(tags, quantity="input level"),
        source=f"played in '{box}'",
        components=[_component(box, u_db)],
    )


@dataclass(frozen=True, slots=True, eq=False)
class SpeechInput:
    """Speech at the aid's microphone, in third-octave bands.

    Parameters
    ----------
    level : Level
        Long-term rms levels. [dB SPL]
    percentiles : mapping of int to Level
        Levels not exceeded in 30, 65 and 99 % of 125 ms frames. [dB SPL]
    """

    level: Level
    percentiles: Mapping[int, Level]


def speech_input(stimulus: Recording, level_db_spl: float, *, tags: Tags, box: str, u_db: float) -> SpeechInput:
    """Third-octave levels and percentiles of a speech stimulus played at a stated overall level.

    Parameters
    ----------
    stimulus : Recording
        One period as it was played.
    level_db_spl : float
        Its overall level. [dB SPL]
    tags : Tags
        Those of the output it belongs to.
    box : str
        Name of the box or levelling: the identity of its error.
    u_db : float
        Standard uncertainty of the level. [dB]

    Raises
    ------
    RecordingError
        If the stimulus is shorter than a frame.
    InputError
        If the uncertainty cannot be, or the stimulus is silent.
    """
    grid = Grid.third_octave()
    total = float(np.mean(stimulus.samples_fs**2))
    if total == 0:
        raise InputError(
            f"take the spectrum of the stimulus '{stimulus.name}'",
            f"it is silent and was declared with {level_db_spl:g} dB SPL",
            "name the file that was played",
        )
    frames = third_octave_frames(
        stimulus.samples_fs, stimulus.sampling_rate_hz, centre_hz=grid.frequency_hz, periodic=True
    )
    percentile = frames.percentile_power(tuple(PERCENTILES))

    def level(power: FloatArray, statistic_tags: Tags) -> Level:
        return Level.given(
            grid,
            level_db_spl + 10 * np.log10(np.maximum(power, 1e-15 * total) / total),
            plane=Plane.aid_microphone(),
            tags=statistic_tags,
            source=f"stimulus '{stimulus.name}' at {level_db_spl:g} dB SPL",
            components=[_component(box, u_db)],
        )

    own = replace(tags, quantity="input level")
    return SpeechInput(
        level(frames.mean_power, own),
        {
            p: level(percentile[i], replace(own, statistic=statistic))
            for i, (p, statistic) in enumerate(PERCENTILES.items())
        },
    )
