"""One curve as plain arrays: what the standard charts take."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from umbo.chart._axis import frequency_text
from umbo.chart._layers import Limit, Series

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike

    from umbo.chart._language import Quantity, Symbol

__all__ = ["Trace", "hertz_text"]


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """One curve to be drawn.

    Parameters
    ----------
    label : str
        Name written at its end.
    frequency_hz, level_db : array (n,)
        The points. [Hz], [dB]
    u_db : array (n,) or float, optional
        Standard uncertainties. [dB]
    state : sequence of str (n,) or str
        One state word a point.
    trusted_max_hz : float, optional
        The trusted limit. [Hz]
    trusted_limit : str
        Which rule set the limit, for example "probe".
    """

    label: str
    frequency_hz: ArrayLike
    level_db: ArrayLike
    u_db: ArrayLike | None = None
    state: Sequence[str] | str = "ok"
    trusted_max_hz: float | None = None
    trusted_limit: str = ""

    def series(
        self,
        quantity: Quantity,
        *,
        input_level_db: float | None = None,
        symbol: Symbol | None = None,
        trusted_max_hz: float | None = None,
    ) -> Series:
        """Make a curve of a quantity.

        Parameters
        ----------
        quantity : Quantity
            What the curve shows.
        input_level_db : float, optional
            Level at the input. [dB]
        symbol : Symbol, optional
            Drawn along the curve.
        trusted_max_hz : float, optional
            The trusted limit of another curve, where that one ends this. [Hz]
        """
        return Series(
            label=self.label,
            quantity=quantity,
            frequency_hz=self.frequency_hz,  # type: ignore[arg-type]  # settled into a tuple by Series
            level_db=self.level_db,  # type: ignore[arg-type]
            u_db=self.u_db,  # type: ignore[arg-type]
            state=self.state,  # type: ignore[arg-type]
            input_level_db=input_level_db,
            trusted_max_hz=self.trusted_max_hz if trusted_max_hz is None else trusted_max_hz,
            symbol=symbol,
        )

    def limit(self, *, hatched: bool, named: bool = False) -> Limit | None:
        """Give the trusted limit of this curve, if it has one.

        Parameters
        ----------
        hatched : bool
            Whether everything above is hatched.
        named : bool
            Whether the text names this curve.
        """
        if self.trusted_max_hz is None:
            return None
        rule = f" ({self.trusted_limit})" if self.trusted_limit else ""
        name = f"{self.label} trusted" if named else "trusted"
        return Limit(self.trusted_max_hz, f"{name} to {hertz_text(self.trusted_max_hz)}{rule}", hatched=hatched)


def hertz_text(frequency_hz: float) -> str:
    """Say a frequency in running text: 750 Hz, 7.1 kHz. [Hz]"""
    if frequency_hz >= 1000.0:
        return f"{frequency_text(round(frequency_hz, -2))[:-1]} kHz"
    return f"{frequency_hz:.0f} Hz"
