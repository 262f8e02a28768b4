"""An RECD reduced to what the rules about its shape look at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from umbo.core import BoolArray, CouplerKind, FloatArray, Grid, PlaneKind, Transfer, lies_within
from umbo.ear._expected import adult_recd_row

if TYPE_CHECKING:
    from umbo.ear._expected import PlausibleRange

__all__ = ["Shape", "row_difference_db", "shape_of"]


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """An RECD against the middle of its plausible range, on twelfth-octaves.

    Parameters
    ----------
    kind : CouplerKind
        Coupler of the RECD.
    frequency_hz, recd_db, off_db : array (n,)
        Frequencies, RECD, and RECD minus the middle of its plausible range. [Hz], [dB], [dB]
    range : PlausibleRange
        The range, on these frequencies.
    usable : array (n,), bool
        Points a rule may rest on.
    middle_ear : str
        Declared state of the middle ear.
    """

    kind: CouplerKind
    frequency_hz: FloatArray
    recd_db: FloatArray
    off_db: FloatArray
    range: PlausibleRange
    usable: BoolArray
    middle_ear: str

    def mean(self, low_hz: float, high_hz: float, values: FloatArray | None = None) -> float | None:
        """Mean of ``off_db`` (or other values) over a stretch; None if less than three quarters of it is usable.

        Parameters
        ----------
        low_hz, high_hz : float
            The stretch. [Hz]
        values : array (n,), optional
            What to average instead. [dB]
        """
        inside = (self.frequency_hz >= low_hz) & (self.frequency_hz <= high_hz)
        take = inside & self.usable
        if not inside.any() or take.sum() < 0.75 * inside.sum():
            return None
        return float((self.off_db if values is None else values)[take].mean())

    @property
    def lowest(self) -> float | None:
        """Around 135 Hz: a leak falls on, a middle-ear space does not. None where it was not measured. [dB]"""
        return self.mean(120, 150)

    @property
    def low(self) -> float | None:
        """Around 250 Hz. [dB]"""
        return self.mean(220, 290)

    @property
    def mid(self) -> float | None:
        """Around 500 Hz. [dB]"""
        return self.mean(440, 570)

    @property
    def high(self) -> float | None:
        """Reference for the low frequencies: the higher of the means around 1 and 2 kHz. [dB]

        Re HA-2 and HA-4 only 1 kHz counts: above it the RECD depends on the source by 8 to 16 dB.
        """
        known = [self.mean(700, 1200)]
        if self.kind not in (CouplerKind.HA2, CouplerKind.HA4):
            known.append(self.mean(1400, 2600))
        return max((value for value in known if value is not None), default=None)


def shape_of(recd: Transfer, plausible: PlausibleRange, middle_ear: str) -> Shape | None:
    """Bring an RECD and its range onto twelfth-octaves inside the RECD's own frequencies.

    Interpolated points count like measured ones: the rules look at means over stretches.

    Parameters
    ----------
    recd : Transfer
        RECD on any grid of at least two frequencies.
    plausible : PlausibleRange
        Its range, on the same frequencies.
    middle_ear : str
        Declared state of the middle ear.

    Returns
    -------
    Shape or None
        None if the transfer does not start in a coupler, or no twelfth-octave lies inside it.
    """
    kind = recd.start.detail
    hz = Grid.twelfth_octave().frequency_hz
    inside = lies_within(hz, *recd.frequency_hz[[0, -1]])
    if recd.start.kind is not PlaneKind.COUPLER or not isinstance(kind, CouplerKind) or not inside.any():
        return None
    here = recd.on(Grid(hz[inside], recd.grid.bandwidth), method="log_frequency", outside="hold")
    there = plausible.on(recd.frequency_hz, here.frequency_hz)
    off_db = here.level_db - there.middle_db
    return Shape(kind, here.frequency_hz, here.level_db, off_db, there, here.states.is_usable, middle_ear)


def row_difference_db(shape: Shape, other: CouplerKind) -> FloatArray:
    """Adult row of the shape's own coupler minus that of another coupler. [dB]"""
    mine = adult_recd_row(shape.kind, shape.frequency_hz)
    return mine - adult_recd_row(other, shape.frequency_hz)
