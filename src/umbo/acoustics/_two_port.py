"""Two-ports: the chain matrix of whatever lies between two planes of an acoustic line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._arrays import Complex, Real, checked_frequency
from umbo.errors import GridMismatchError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

RIGID = float("inf")
"""The load of a rigid end: no flow. [Pa s/m³]"""

NEXT_TO_NOTHING = 1e-100
"""An admittance below this counts as zero where its inverse is needed. [m³/(Pa s)]"""

OPEN = 0.0
"""The load of an ideal open end: no pressure. [Pa s/m³]"""


@dataclass(frozen=True)
class Terminated:
    """What a two-port does in front of one load; arrays of shape (..., n), last axis frequency.

    Attributes
    ----------
    input_impedance : Complex
        Pressure over inward volume velocity at the input. [Pa s/m³]
    transfer_impedance : Complex
        Pressure at the load over volume velocity at the input. [Pa s/m³]
    pressure_ratio : Complex
        Pressure at the load over pressure at the input.
    """

    input_impedance: Complex
    transfer_impedance: Complex
    pressure_ratio: Complex


@dataclass(frozen=True, eq=False)
class TwoPort:
    r"""Chain matrix of an acoustic two-port.

    .. math:: \begin{bmatrix} p_1 \\ U_1 \end{bmatrix} =
        \begin{bmatrix} a & b \\ c & d \end{bmatrix} \begin{bmatrix} p_2 \\ U_2 \end{bmatrix}

    :math:`U_1` flows into the input, :math:`U_2` out of the output; time dependence
    :math:`e^{+\mathrm{j}\omega t}`.

    Parameters
    ----------
    frequency_hz : Real
        Frequencies, shape (n,). [Hz]
    a, b, c, d : Complex
        Chain elements, each broadcastable to shape (..., n). [1], [Pa s/m³], [m³/(Pa s)], [1]
    """

    frequency_hz: Real
    a: Complex
    b: Complex
    c: Complex
    d: Complex

    def __matmul__(self, after: TwoPort) -> TwoPort:
        """Cascade: the output of this two-port drives the input of the next."""
        if self.frequency_hz is not after.frequency_hz and not np.array_equal(self.frequency_hz, after.frequency_hz):
            raise GridMismatchError(
                "a cascade of two acoustic elements",
                f"the first stands on {self.frequency_hz.size} frequencies, "
                f"the second on {after.frequency_hz.size}, and they are not the same",
                "compute both on the same frequencies",
            )
        return TwoPort(
            self.frequency_hz,
            self.a * after.a + self.b * after.c,
            self.a * after.b + self.b * after.d,
            self.c * after.a + self.d * after.c,
            self.c * after.b + self.d * after.d,
        )

    def _columns(self, load: ArrayLike) -> tuple[Complex, Complex, Complex]:
        """Pressure and flow at the input, and pressure at the load, up to one common factor."""
        at_load, flow = split_load(load)
        return self.a * at_load + self.b * flow, self.c * at_load + self.d * flow, at_load

    def terminate(self, load: ArrayLike) -> Terminated:
        """Close the output with a load.

        Parameters
        ----------
        load : ArrayLike
            Load impedance, broadcastable to (..., n); `RIGID` (infinite) is a rigid end, `OPEN` (0) an open
            one. [Pa s/m³]

        Returns
        -------
        Terminated
            Input impedance, transfer impedance and pressure ratio.
        """
        pressure, flow, at_load = self._columns(load)
        return Terminated(quotient(pressure, flow), quotient(at_load, flow), quotient(at_load, pressure))

    def input_impedance(self, load: ArrayLike) -> Complex:
        """Pressure over volume velocity at the input, with `load` [Pa s/m³] at the output. [Pa s/m³]"""
        pressure, flow, _ = self._columns(load)
        return quotient(pressure, flow)

    def transfer_impedance(self, load: ArrayLike) -> Complex:
        """Pressure at the load over volume velocity at the input, with `load` [Pa s/m³]. [Pa s/m³]"""
        _, flow, at_load = self._columns(load)
        return quotient(at_load, flow)

    def pressure_ratio(self, load: ArrayLike) -> Complex:
        """Pressure at the load over pressure at the input, with `load` [Pa s/m³]. [1]"""
        pressure, _, at_load = self._columns(load)
        return quotient(at_load, pressure)

    def reversed(self) -> TwoPort:
        """Return the two-port seen from its other end (for reciprocal two-ports)."""
        return TwoPort(self.frequency_hz, self.d, self.b, self.c, self.a)

    def determinant(self) -> Complex:
        """Return the determinant of the chain matrix: 1 for a reciprocal two-port."""
        return np.asarray(self.a * self.d - self.b * self.c)

    def is_reciprocal(self, tolerance: float = 1e-6) -> bool:
        """Whether the determinant is 1 within `tolerance`, relative to the size of its terms."""
        size = np.abs(self.a * self.d) + np.abs(self.b * self.c)
        return bool((np.abs(self.determinant() - 1.0) <= tolerance * np.maximum(size, 1.0)).all())

    def is_passive(self, tolerance: float = 1e-9) -> bool:
        r"""Whether the two-port absorbs energy, or none, whatever is connected to its ends.

        The power flowing in, :math:`\\mathrm{Re}(p_1 U_1^* - p_2 U_2^*)`, is a quadratic form in
        :math:`(p_2, U_2)`; it may not be negative. The pressures are scaled by the size of the matrix so
        that `tolerance` is a relative one.
        """
        scale = _own_impedance(np.abs(self.b), np.abs(self.c))
        b, c = self.b / scale, self.c * scale
        pp = np.real(self.a * np.conj(c))
        uu = np.real(b * np.conj(self.d))
        pu = 0.5 * (self.a * np.conj(self.d) + c * np.conj(b) - 1.0)
        # smallest eigenvalue of [[pp, pu], [conj(pu), uu]]
        smallest = 0.5 * (pp + uu) - np.sqrt(0.25 * (pp - uu) ** 2 + np.abs(pu) ** 2)
        size = 1.0 + np.abs(self.a * self.d) + np.abs(b * c)
        return bool((smallest >= -tolerance * size).all())


def _own_impedance(b: Real, c: Real) -> Real:
    """Impedance that makes b and c of one size; whichever is there counts where the other is zero."""
    root_b, root_c = np.sqrt(b), np.sqrt(c)
    has_b, has_c = b > NEXT_TO_NOTHING, c > NEXT_TO_NOTHING
    both = has_b & has_c
    only = np.where(has_b, b, 1.0 / np.where(has_c, c, 1.0))
    return np.where(both, root_b / np.where(both, root_c, 1.0), only)


def split_load(load: ArrayLike) -> tuple[Complex, Real]:
    """Pressure and flow at a load up to a common factor: unit flow, or for a rigid load unit pressure."""
    z = np.asarray(load, dtype=np.complex128)
    rigid = ~np.isfinite(z)
    return np.where(rigid, 1.0, z), np.where(rigid, 0.0, 1.0)


def quotient(above: Complex, below: Complex) -> Complex:
    """Divide; where nothing flows the result is infinite."""
    with np.errstate(divide="ignore", invalid="ignore"):
        quotient = np.asarray(above / below)
    if (below == 0.0).any():
        quotient = np.where(below == 0.0, np.inf + 0j, quotient)
    return quotient


def identity(frequency_hz: ArrayLike) -> TwoPort:
    """Two-port that does nothing.

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    """
    frequency = checked_frequency(frequency_hz)
    one = np.ones(frequency.shape, np.complex128)
    return TwoPort(frequency, one, 0.0 * one, 0.0 * one, one)


def series(frequency_hz: ArrayLike, impedance: ArrayLike) -> TwoPort:
    """Impedance that the flow passes through.

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    impedance : ArrayLike
        Acoustic impedance, broadcastable to (..., n). [Pa s/m³]
    """
    frequency = checked_frequency(frequency_hz)
    one = np.ones(frequency.shape, np.complex128)
    return TwoPort(frequency, one, one * np.asarray(impedance), 0.0 * one, one)


def shunt(frequency_hz: ArrayLike, impedance: ArrayLike) -> TwoPort:
    """Impedance beside the line: a side branch, a leak, a soft wall.

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    impedance : ArrayLike
        Acoustic impedance of the branch, broadcastable to (..., n); infinite means no branch. [Pa s/m³]
    """
    frequency = checked_frequency(frequency_hz)
    one = np.ones(frequency.shape, np.complex128)
    z = np.asarray(impedance, dtype=np.complex128)
    admittance = np.where(np.isfinite(z), 1.0 / np.where(np.isfinite(z), z, 1.0), 0.0)
    return TwoPort(frequency, one, 0.0 * one, one * admittance, one)
