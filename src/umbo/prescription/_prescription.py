"""What is known of one prescription: what it prescribes, what it needs, whom it suits, how sure its constants are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

from umbo import refdata
from umbo.core import FloatArray
from umbo.prescription._targets import Method

__all__ = ["Constants", "Gain", "Prescription"]

FROM_MEMORY = "from memory"

#: Insertion gain of a rule: frequencies [Hz], hearing levels [dB HL], overall input level [dB SPL] to gain [dB].
Gain = Callable[[FloatArray, FloatArray, float], FloatArray]


@dataclass(frozen=True, slots=True)
class Constants:
    """One set of constants of a prescription, and the table it stands in.

    Parameters
    ----------
    label : str
        What they are called where a target is printed.
    quantity, source, column : str
        Table and column; a column of words has to be that of the statuses.
    """

    label: str
    quantity: str
    source: str
    column: str

    def statuses(self) -> dict[str, str]:
        """How each value was obtained, by frequency in hertz or by name of the constant."""
        table = refdata.table(self.quantity, source=self.source)
        cells = [row[0] for row in table.cells]
        is_text = table.info(self.column).kind == "text"
        return dict(zip(cells, table.text(self.column) if is_text else table.statuses(self.column), strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class Prescription:
    """A prescription from the open literature.

    Parameters
    ----------
    key : str
        What a case and the functions call it.
    name, version : str
        What a page calls it, and the year of its paper.
    options : str
        What of it is used, and what not.
    reference : str
        Its paper.
    frequency_hz : tuple of float
        Where it prescribes. [Hz]
    needed_hz : tuple of float
        Thresholds it cannot do without. [Hz]
    prescribes : {"insertion_gain", "insertion_gain_by_input", "aided_level_by_input"}
        Insertion gain that is the same for every input, insertion gain for each input level, or the aided level at the
        eardrum for each input level.
    needs : {"thresholds", "thresholds_and_discomfort"}
        What has to be known of the ear.
    suits : str
        Age and loss it was made for.
    not_for : str
        What it is not for.
    constants : tuple of Constants
        The tables behind it.
    gain : callable or None
        Insertion gain by frequency, hearing level and input level; None where it prescribes an aided level.
    """

    key: str
    name: str
    version: str
    options: str
    reference: str
    frequency_hz: tuple[float, ...]
    needed_hz: tuple[float, ...] = ()
    prescribes: Literal["insertion_gain", "insertion_gain_by_input", "aided_level_by_input"]
    needs: Literal["thresholds", "thresholds_and_discomfort"] = "thresholds"
    suits: str
    not_for: str
    constants: tuple[Constants, ...]
    gain: Gain | None = field(default=None, repr=False, compare=False)

    @property
    def is_insertion_gain(self) -> bool:
        """Whether it is built on the resonance of an adult's open ear."""
        return self.prescribes != "aided_level_by_input"

    @property
    def is_from_memory(self) -> bool:
        """Whether all its constants are recalled and none was read anywhere."""
        return all(status == FROM_MEMORY for part in self.constants for status in part.statuses().values())

    @property
    def status(self) -> str:
        """Which constants are from memory, in the words printed beside a target; empty where none is."""
        if self.is_from_memory:
            return "constants from memory"
        recalled = [words for part in self.constants if (words := _recalled(part))]
        return f"from memory: {', '.join(recalled)}" if recalled else ""

    @property
    def method(self) -> Method:
        """What its targets say they come from; the status of the constants stands first, so that no page cuts it."""
        return Method(self.name, self.version, "; ".join(part for part in (self.status, self.options) if part))


def _recalled(part: Constants) -> str:
    """Which values of one table are from memory: all, or at which frequencies, or which constants."""
    statuses = part.statuses()
    recalled = [name for name, status in statuses.items() if status == FROM_MEMORY]
    if not recalled:
        return ""
    if len(recalled) == len(statuses):
        return part.label
    by_frequency = all(name.replace(".", "", 1).isdigit() for name in recalled)
    where = f" at {', '.join(recalled)} Hz" if by_frequency else f" ({', '.join(recalled)})".replace("_", " ")
    return part.label + where
