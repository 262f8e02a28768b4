"""What the tables of case.toml have in common: strictness, field types, and how a check refuses."""

from datetime import date
from itertools import pairwise
from pathlib import PurePosixPath, PureWindowsPath
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from umbo.interchange._wording import counted, shown

__all__ = [
    "Age",
    "Day",
    "FileName",
    "Flags",
    "Frequencies",
    "FrequencyHz",
    "FromWord",
    "HearingLevels",
    "Key",
    "Levels",
    "Name",
    "Offsets",
    "RefusedError",
    "Table",
    "Text",
    "require_one_each",
]

Key = tuple[str | int, ...]

_INNER = r"[^\x00-\x1f\x7f-\x9f\u2028\u2029]"
_EDGE = r"[^\x00-\x20\x7f-\xa0\u2028\u2029]"
_LINE = rf"^{_EDGE}(?:{_INNER}*{_EDGE})?$"


class RefusedError(ValueError):
    """A check of a table that failed; the reader of the case makes a CaseError of it.

    Parameters
    ----------
    disagrees, do : str
        Second and third part of the sentence; the path of the key is put before ``disagrees``.
    key : tuple of str or int
        Path of the key, counted from the table whose check failed.
    """

    def __init__(self, disagrees: str, do: str, key: Key = ()) -> None:
        super().__init__(disagrees)
        self.disagrees = disagrees
        self.do = do
        self.key = key


class Table(BaseModel):
    """One table of case.toml: no unknown key, no value of another type, no NaN, never changed."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False, defer_build=True)


def require_one_each(frequency_hz: tuple[float, ...], values: tuple[object, ...] | None, key: str) -> None:
    """Refuse an array that does not have one value per frequency."""
    if values is not None and len(values) != len(frequency_hz):
        raise RefusedError(
            f"has {counted(len(values), 'value')} for {counted(len(frequency_hz), 'frequency', 'frequencies')}",
            "give one value per frequency",
            (key,),
        )


def _ascending(values: tuple[float, ...]) -> tuple[float, ...]:
    for earlier, later in pairwise(values):
        if later <= earlier:
            raise RefusedError(
                f"is not ascending, because {shown(later)} Hz follows {shown(earlier)} Hz",
                "sort the frequencies, with their values, and name each once",
            )
    return values


def _inside(name: str) -> str:
    windows, posix = PureWindowsPath(name), PurePosixPath(name)
    if windows.drive or windows.root or posix.root or ".." in windows.parts:
        raise RefusedError(
            f"is {shown(name)}, which leads out of the case folder",
            "put the file into the case folder and name it relative to the folder",
        )
    return name


def _plausible(day: date) -> date:
    if not 1900 <= day.year <= 2100:
        raise RefusedError(f"is {day.isoformat()}, which is no plausible date", "correct the year")
    return day


# strict = False on these: TOML has arrays and words, Python has tuples and enumerations
FromWord = Field(strict=False)

Name = Annotated[str, Field(min_length=1, max_length=80, pattern=_LINE)]
Text = Annotated[str, Field(max_length=300, pattern=rf"^{_INNER}*$")]
FileName = Annotated[str, Field(min_length=1, max_length=255, pattern=_LINE), AfterValidator(_inside)]
Day = Annotated[date, AfterValidator(_plausible)]
# ends of numbers: wide enough for any ear and aid, too narrow for a slip of the pen (engineering judgement)
FrequencyHz = Annotated[float, Field(gt=0, le=100_000)]
Age = Annotated[float, Field(ge=0, le=1500)]
Frequencies = Annotated[
    tuple[FrequencyHz, ...], Field(strict=False, min_length=1, max_length=500), AfterValidator(_ascending)
]
HearingLevels = Annotated[
    tuple[Annotated[float, Field(ge=-20, le=140)], ...], Field(strict=False, min_length=1, max_length=500)
]
Levels = Annotated[
    tuple[Annotated[float, Field(ge=-40, le=180)], ...], Field(strict=False, min_length=1, max_length=500)
]
Offsets = Annotated[
    tuple[Annotated[float, Field(ge=-60, le=60)], ...], Field(strict=False, min_length=1, max_length=500)
]
Flags = Annotated[tuple[bool, ...], Field(strict=False, min_length=1, max_length=500)]
