"""The errors umbo raises on purpose, drawn as one tree.

::

    UmboError                     everything below; carries asked, disagrees, do
    ├── InputError                the user's input cannot be used            (exit status 2)
    │   ├── CaseError             a case folder or one of its keys
    │   ├── RecordingError        a recording that cannot be analysed
    │   ├── CalibrationError      full scale cannot become pascals
    │   ├── TableError            a reference table, source or edition that is not there
    │   ├── OutOfRangeError       a value outside the stated range of a formula or table
    │   └── CombinationError      two quantities that may not be combined
    │       ├── PlaneMismatchError        measured in different places
    │       ├── EarMismatchError          the other ear
    │       ├── GridMismatchError         different frequencies
    │       ├── BandwidthMismatchError    tone, band or per-hertz values mixed
    │       ├── StatisticMismatchError    rms with percentile
    │       ├── StimulusMismatchError     different stimuli
    │       ├── CouplingMismatchError     foam tip with mould
    │       └── LevelSumError             level + level
    └── NotPossibleHereError      right input, but not on this machine or not with this source (exit status 3)

Every message is one sentence in three parts: what was asked, the two things that disagree (by name), and what
to do. The parts are attributes too, so that the command line, a page and a log show the same sentence.
"""

from __future__ import annotations

__all__ = [
    "BandwidthMismatchError",
    "CalibrationError",
    "CaseError",
    "CombinationError",
    "CouplingMismatchError",
    "EarMismatchError",
    "GridMismatchError",
    "InputError",
    "LevelSumError",
    "NotPossibleHereError",
    "OutOfRangeError",
    "PlaneMismatchError",
    "RecordingError",
    "StatisticMismatchError",
    "StimulusMismatchError",
    "TableError",
    "UmboError",
]


class UmboError(Exception):
    """Base of every error umbo raises on purpose.

    Parameters
    ----------
    asked : str
        What was asked for, for example "add an RECD to a coupler level".
    disagrees : str
        What stands in the way, naming the two things that disagree.
    do : str
        What to do next, as an instruction.
    """

    exit_status = 2

    def __init__(self, asked: str, disagrees: str, do: str) -> None:
        self.asked = asked
        self.disagrees = disagrees
        self.do = do
        super().__init__(asked, disagrees, do)

    def __str__(self) -> str:
        return f"{self.asked}: {self.disagrees}; {self.do}."


class InputError(UmboError):
    """The user's input cannot be used."""


class CaseError(InputError):
    """A case folder, one of its keys, or a file it names cannot be used."""


class RecordingError(InputError):
    """A recording cannot be analysed."""


class CalibrationError(InputError):
    """A recording cannot be turned into pascals."""


class TableError(InputError):
    """A reference table, source or edition is not there."""


class OutOfRangeError(InputError):
    """A value lies outside the stated range of a formula or table."""


class CombinationError(InputError):
    """Two quantities may not be combined."""


class PlaneMismatchError(CombinationError):
    """The two quantities were measured in different places."""


class EarMismatchError(CombinationError):
    """The two quantities belong to different ears."""


class GridMismatchError(CombinationError):
    """The two quantities stand on different frequencies."""


class BandwidthMismatchError(CombinationError):
    """Tone, band and per-hertz values were mixed."""


class StatisticMismatchError(CombinationError):
    """An rms level met a percentile, or two percentiles differ."""


class StimulusMismatchError(CombinationError):
    """The two quantities were measured with different stimuli."""


class CouplingMismatchError(CombinationError):
    """What joined the source to the load differs."""


class LevelSumError(CombinationError):
    """Two levels were added in decibels."""


class NotPossibleHereError(UmboError):
    """The input is right, but the answer cannot be had here."""

    exit_status = 3
