"""Closing the loop: one sound, two couplers, one eardrum."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.core import BoolArray, Finding, FloatArray, Level, Severity

__all__ = ["Closing", "close_loop"]


#: Largest share of points beyond two standard uncertainties, and furthest point, of a loop that closes. [1]
_MOST_OUTSIDE, _FURTHEST = 0.2, 3.0


@dataclass(frozen=True, slots=True, eq=False)
class Closing:
    """Level at the eardrum by one coupler's route minus the other's.

    Parameters
    ----------
    quantity : str
        What was compared.
    routes : tuple of str
        The two couplers.
    frequency_hz : array (n,)
        Frequencies. [Hz]
    error_db, u_db : array (n,)
        Closing error and its standard uncertainty: what both routes share cancels. [dB]
    usable : array (n,), bool
        Points where both routes can be used.
    """

    quantity: str
    routes: tuple[str, str]
    frequency_hz: FloatArray
    error_db: FloatArray
    u_db: FloatArray
    usable: BoolArray

    @property
    def closes(self) -> bool:
        """Whether four fifths of the usable points lie within two standard uncertainties and none beyond three.

        The main causes move all frequencies together, so one draw of them may carry many points past two (engineering
        judgement).
        """
        if not self.usable.any():
            return False
        ratio = np.abs(self.error_db[self.usable]) / np.maximum(self.u_db[self.usable], 1e-9)
        return self.badness <= _MOST_OUTSIDE and bool(ratio.max() <= _FURTHEST)

    @property
    def badness(self) -> float:
        """Share of usable points that do not close within two standard uncertainties; -1 without usable points. [1]."""
        if not self.usable.any():
            return -1.0
        return float(np.mean(np.abs(self.error_db[self.usable]) > 2 * self.u_db[self.usable]))

    def finding(self) -> Finding:
        """What to say about it; there is always something to say."""
        names = f"{self.routes[0]} and {self.routes[1]}"
        if not self.usable.any():
            text = f"The {self.quantity} by {names} share no usable frequency: the loop cannot be closed."
            return Finding(
                "loop_not_comparable", Severity.INFO, text, "Repeat the reading that is not usable.", _SOURCE
            )
        error, u = self.error_db[self.usable], self.u_db[self.usable]
        worst = int(np.argmax(np.abs(error) / np.maximum(u, 1e-9)))
        hz = float(self.frequency_hz[self.usable][worst])
        rms = float(np.sqrt(np.mean(error**2)))
        size = f"rms {rms:.1f} dB, worst {error[worst]:+.1f} dB (u {u[worst]:.1f} dB) at {hz:.0f} Hz"
        if self.closes:
            text = f"The {self.quantity} by {names} agree within their uncertainty: {size}."
            return Finding("loop_closes", Severity.INFO, text, "Nothing to do.", _SOURCE)
        text = f"The {self.quantity} by {names} do not agree within their uncertainty: {size}."
        action = "Check the coupler labels and seals and repeat both coupler readings before trusting either route."
        return Finding("loop_open", Severity.WARN, text, action, _SOURCE, hz, hz)


_SOURCE = "agreement of two routes, JCGM 100"


def close_loop(one: Level, other: Level, *, routes: tuple[str, str]) -> Closing:
    """Compare the level at the eardrum reached through two couplers.

    Parameters
    ----------
    one, other : Level
        At the eardrum, on one grid, of one ear and stimulus. [dB SPL]
    routes : tuple of str
        Names of the two couplers.

    Raises
    ------
    PlaneMismatchError, GridMismatchError, EarMismatchError
        If the two are not the same thing reached twice.
    """
    difference = one.above(other, quantity=f"closing error of the {one.tags.quantity}")
    return Closing(
        one.tags.quantity, routes, difference.frequency_hz, difference.level_db, difference.u_db,
        difference.states.is_usable,
    )  # fmt: skip
