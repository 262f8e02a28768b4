"""What can be drawn on a chart: curves, bands, marks, limits and notes, as plain frozen data."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from umbo.chart._language import STATE_WORDS, Line, Quantity, Symbol, Tone, Trust, trust_of
from umbo.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike

__all__ = ["Band", "Limit", "Marks", "Note", "Numbers", "Series", "Tone"]

Numbers = tuple[float, ...]
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Series:
    """One curve.

    Parameters
    ----------
    label : str
        Name written at the end of the curve.
    quantity : Quantity
        What the curve shows: its line style.
    frequency_hz : array (n,)
        Frequencies, ascending. [Hz]
    level_db : array (n,)
        Levels. [dB]
    u_db : array (n,) or float, optional
        Standard uncertainties; drawn multiplied by the coverage factor of the chart. [dB]
    state : sequence of str (n,) or str
        One word a point, for example "ok" or "below_noise".
    input_level_db : float, optional
        Level at the input: the lightness of the curve. [dB]
    trusted_max_hz : float, optional
        Points above are drawn as not trusted, whatever their state. [Hz]
    symbol : Symbol, optional
        Drawn along the curve, to tell curves of the same quantity apart.
    show_label : bool
        Whether the label is written at the end of the curve.

    Raises
    ------
    InputError
        If lengths differ, a number is not finite, frequencies do not ascend, or a state is unknown.
    """

    label: str
    quantity: Quantity
    frequency_hz: Numbers
    level_db: Numbers
    u_db: Numbers | None = None
    state: tuple[str, ...] = ()
    input_level_db: float | None = None
    trusted_max_hz: float | None = None
    symbol: Symbol | None = None
    show_label: bool = True

    def __post_init__(self) -> None:
        _settle(self, "draw the curve", ("frequency_hz", "level_db"), ("u_db",))

    @property
    def trust(self) -> tuple[Trust, ...]:
        """How far each point may be believed: its state, and the trusted limit."""
        limit = math.inf if self.trusted_max_hz is None else self.trusted_max_hz
        return tuple(
            Trust.NONE if frequency > limit else trust_of(state)
            for frequency, state in zip(self.frequency_hz, self.state, strict=True)
        )


@dataclass(frozen=True, slots=True)
class Marks:
    """Single points, such as thresholds.

    Parameters
    ----------
    label : str
        Name in the key and beside the last point.
    symbol : Symbol
        The point symbol.
    frequency_hz, level_db : array (n,)
        Where the points are. [Hz], [dB]
    u_db : array (n,) or float, optional
        Standard uncertainties, drawn as bars. [dB]
    state : sequence of str (n,) or str
        One word a point.
    no_response : sequence of bool (n,), optional
        Points where the highest level tried gave no response: drawn as an arrow towards higher levels, never
        with the symbol.
    joined : Line, optional
        Line style that joins neighbouring points; a point without response is never joined.
    tone : Tone
        Colour family.
    show_label : bool
        Whether the label is also written beside the last point.

    Raises
    ------
    InputError
        As for `Series`.
    """

    label: str
    symbol: Symbol
    frequency_hz: Numbers
    level_db: Numbers
    u_db: Numbers | None = None
    state: tuple[str, ...] = ()
    no_response: tuple[bool, ...] = ()
    joined: Line | None = None
    tone: Tone = Tone.HUE
    show_label: bool = True

    def __post_init__(self) -> None:
        flags = tuple(bool(flag) for flag in self.no_response) or (False,) * np.size(self.frequency_hz)
        object.__setattr__(self, "no_response", flags)
        _settle(self, "draw the marks", ("frequency_hz", "level_db"), ("u_db",))
        if len(flags) != len(self.frequency_hz):
            raise InputError(
                f"draw the marks {self.label!r}",
                f"no_response has {len(flags)} points, frequency_hz has {len(self.frequency_hz)}",
                "give one of each per point",
            )

    @property
    def trust(self) -> tuple[Trust, ...]:
        """How far each point may be believed."""
        return tuple(trust_of(state) for state in self.state)


@dataclass(frozen=True, slots=True)
class Band:
    """The area between two curves.

    Parameters
    ----------
    label : str
        Name in the key.
    frequency_hz : array (n,)
        Frequencies, ascending. [Hz]
    lower_db, upper_db : array (n,) or float, optional
        The two edges; None means the end of the axis. [dB]
    tone : Tone
        Colour family.
    input_level_db : float, optional
        Lightness of the one hue. [dB]
    state : sequence of str (n,) or str
        One word a point, the worse of its two edges; what is not trusted is hatched instead of filled.

    Raises
    ------
    InputError
        As for `Series`.
    """

    label: str
    frequency_hz: Numbers
    lower_db: Numbers | None = None
    upper_db: Numbers | None = None
    tone: Tone = Tone.NEUTRAL
    input_level_db: float | None = None
    state: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        _settle(self, "draw the band", ("frequency_hz",), ("lower_db", "upper_db"))

    @property
    def trust(self) -> tuple[Trust, ...]:
        """Whether each point may be believed: full or none, because a fill is not thinned by caution."""
        trust = (trust_of(state) for state in self.state)
        return tuple(Trust.NONE if one is Trust.NONE else Trust.FULL for one in trust)


@dataclass(frozen=True, slots=True)
class Limit:
    """A frequency above which the chart is not trusted.

    Parameters
    ----------
    frequency_hz : float
        The limit. [Hz]
    label : str
        What is written above it.
    hatched : bool
        Whether everything above the limit is hatched; False when other curves remain trusted there.
    """

    frequency_hz: float
    label: str
    hatched: bool = True

    def __post_init__(self) -> None:
        _settle(self, "draw the limit", (), ())
        if not 0.0 < self.frequency_hz < math.inf:
            raise InputError(
                f"draw the limit {self.label!r}",
                f"its frequency is {self.frequency_hz}",
                "give a positive finite frequency in Hz",
            )


@dataclass(frozen=True, slots=True)
class Note:
    """A numbered remark: the number stands in the chart, the text below it.

    Parameters
    ----------
    text : str
        The remark.
    frequency_hz, level_db : float, optional
        Where the number stands; both or neither. [Hz], [dB]
    """

    text: str
    frequency_hz: float | None = None
    level_db: float | None = None

    def __post_init__(self) -> None:
        place = (self.frequency_hz, self.level_db)
        finite = all(value is not None and math.isfinite(value) for value in place)
        if not (place == (None, None) or (finite and (self.frequency_hz or 0.0) > 0.0)):
            raise InputError(
                f"place the note {self.text!r}",
                f"its place is {self.frequency_hz} Hz, {self.level_db} dB",
                "give both as finite numbers or neither",
            )


def _settle(layer: Series | Marks | Band | Limit, asked: str, needed: Sequence[str], optional: Sequence[str]) -> None:
    """Turn arrays into tuples of plain numbers and check them against each other."""
    asked = f"{asked} {layer.label!r}"
    if not layer.label.strip():
        raise InputError(asked, "its label is empty", "name it: the name is drawn and read out")
    if not needed:
        return
    count = np.size(layer.frequency_hz)
    for name in (*needed, *optional):
        given = getattr(layer, name)
        if given is not None:
            object.__setattr__(layer, name, _numbers(given, asked, name, 0 if name in needed else count))
    lengths = {name: len(getattr(layer, name)) for name in (*needed, *optional) if getattr(layer, name) is not None}
    if count == 0 or len(set(lengths.values())) > 1:
        found = ", ".join(f"{name} has {length}" for name, length in lengths.items())
        raise InputError(asked, f"the number of points differs or is zero: {found}", "give one value of each per point")
    frequency = np.asarray(layer.frequency_hz)
    if frequency[0] <= 0.0 or (np.diff(frequency) <= 0.0).any():
        raise InputError(
            asked, "frequency_hz is not positive and ascending", "sort the points and keep one per frequency"
        )
    if isinstance(layer, Series | Marks | Band):
        _settle_points(layer, asked, count)


def _settle_points(layer: Series | Marks | Band, asked: str, count: int) -> None:
    given: object = layer.state
    words = (
        (given or "ok",) * count
        if isinstance(given, str)
        else tuple(str(word) for word in layer.state) or ("ok",) * count
    )
    object.__setattr__(layer, "state", words)
    unknown = sorted({word for word in words if word not in STATE_WORDS})
    if unknown or len(words) != count:
        raise InputError(
            asked,
            f"unknown state {unknown[0]!r}" if unknown else f"state has {len(words)} words for {count} points",
            f"give one word per point, of {', '.join(STATE_WORDS)}",
        )
    if not isinstance(layer, Band) and layer.u_db is not None and min(layer.u_db) < 0.0:
        raise InputError(
            asked, f"u_db goes down to {min(layer.u_db):g} dB", "give standard uncertainties of zero or more"
        )


def _numbers(given: ArrayLike, asked: str, name: str, broadcast_to: int) -> Numbers:
    values = np.asarray(given, dtype=float)
    if values.ndim == 0 and broadcast_to:
        values = np.full(broadcast_to, float(values))
    if values.ndim != 1 or not np.isfinite(values).all():
        raise InputError(
            asked,
            f"{name} is not a plain row of finite numbers",
            "leave out points that have no value, and say why in a note",
        )
    return tuple(values.tolist())
