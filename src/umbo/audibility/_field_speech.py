"""Standard speech of ANSI S3.5-1997 as a level in the free field."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo import refdata
from umbo.audibility._procedures import Effort, Procedure, bands, speech_spectrum_level
from umbo.core import Bandwidth, Grid, Level, Plane, Statistic, Tags

if TYPE_CHECKING:
    from umbo.core import Ear

__all__ = ["standard_speech"]


def standard_speech(effort: Effort, *, distance_m: float, ear: Ear | None) -> Level:
    """Third-octave levels of standard speech in the free field; a field-to-eardrum transfer makes it unaided speech.

    Parameters
    ----------
    effort : Effort
        Vocal effort.
    distance_m : float
        From the talker's lips to the listener, 0.1 to 100. [m]
    ear : Ear or None
        Side it will stand for.

    Returns
    -------
    Level
        In the free field, 160 Hz to 8 kHz, without uncertainty: exact by convention. [dB SPL]

    Raises
    ------
    OutOfRangeError
        If the distance lies outside its range.
    """
    band = bands(Procedure.THIRD_OCTAVE)
    spectrum_db = speech_spectrum_level(Procedure.THIRD_OCTAVE, effort, distance_m=distance_m)
    table = refdata.table(Procedure.THIRD_OCTAVE.table_name, source="ansi-s3.5-1997")
    return Level.given(
        Grid(band.frequency_hz, Bandwidth.THIRD_OCTAVE),
        spectrum_db + band.width_db,
        plane=Plane.free_field(),
        tags=Tags(
            quantity=f"standard speech, {effort} effort, {distance_m:g} m",
            ear=ear,
            stimulus=f"standard speech, {effort} effort, {distance_m:g} m",
            statistic=Statistic.RMS,
            coupling=None,
            source=None,
        ),
        source=table.brief("speech_normal_spectrum_level_db"),
    )
