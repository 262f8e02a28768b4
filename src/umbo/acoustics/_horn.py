"""The lossy horn equation, solved by short pieces from the closed end towards the source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._arrays import Complex, Real, leading
from umbo.acoustics._tubes import line_constants

if TYPE_CHECKING:
    from umbo.acoustics._air import Air
    from umbo.acoustics._wall import SoftWall


@dataclass(frozen=True, eq=False)
class Pieces:
    """A horn cut into short pieces; arrays of shape (..., s, n), the pieces before the frequencies.

    Attributes
    ----------
    length_m : Real
        Lengths of the pieces, shape (..., s). [m]
    impedance_per_length : Complex
        Series impedance. [Pa s/m⁴]
    admittance_per_length : Complex
        Shunt admittance: air and wall. [m²/(Pa s)]
    """

    length_m: Real
    impedance_per_length: Complex
    admittance_per_length: Complex

    def with_admittance(self, per_length: Complex) -> Pieces:
        """The same pieces with more admittance beside them, broadcastable to (..., s, n). [m²/(Pa s)]"""
        return Pieces(self.length_m, self.impedance_per_length, self.admittance_per_length + per_length)

    def line(self) -> tuple[Complex, Complex]:
        """Propagation constant times length [1] and characteristic impedance [Pa s/m³] of every piece."""
        along = np.sqrt(self.impedance_per_length * self.admittance_per_length) * leading(self.length_m)
        return np.asarray(along), np.asarray(np.sqrt(self.impedance_per_length / self.admittance_per_length))


def radius_on(edge_m: Real, position_m: Real, radius_m: Real) -> Real:
    """Radii at the edges (..., s) of a canal with radii at positions (..., m), straight between them. [m]"""
    count = (position_m[..., np.newaxis, :] <= edge_m[..., np.newaxis]).sum(axis=-1)
    before = np.clip(count - 1, 0, position_m.shape[-1] - 2)
    x0, x1, r0, r1 = (
        np.take_along_axis(np.broadcast_to(values, (*edge_m.shape[:-1], values.shape[-1])), index, axis=-1)
        for values, index in (
            (position_m, before),
            (position_m, before + 1),
            (radius_m, before),
            (radius_m, before + 1),
        )
    )
    return np.asarray(r0 + (r1 - r0) * (edge_m - x0) / (x1 - x0))


def pieces(frequency_hz: Real, edge_m: Real, radius_m: Real, air: Air, wall: SoftWall | None) -> Pieces:
    r"""Cut a horn at its edges; inertance and compliance of every piece are those of a cone.

    .. math::
        Z' = \frac{\mathrm{j}\omega\rho}{\pi r_1 r_2\,(1-F)}, \quad
        Y' = \frac{\mathrm{j}\omega\,\pi (r_1^2 + r_1 r_2 + r_2^2)}{3\rho c^2}\,[1+(\gamma-1)F_t] + Y'_\mathrm{wall}
        \qquad (1)

    The losses F and the wall are those of a tube of the mean radius, as in `line_constants`.

    Parameters
    ----------
    frequency_hz : Real
        Frequencies (n,). [Hz]
    edge_m : Real
        Where the pieces begin and end, rising, shape (..., s + 1). [m]
    radius_m : Real
        Radii there, shape (..., s + 1). [m]
    air : Air
        The air in it.
    wall : SoftWall or None
        A soft wall; None is rigid.

    Returns
    -------
    Pieces
        Arrays of shape (..., s, n).
    """
    first, second = radius_m[..., :-1], radius_m[..., 1:]
    mean = 0.5 * (first + second)
    tube = line_constants(frequency_hz, mean, air)
    impedance = tube.propagation * tube.characteristic_impedance * leading(mean**2 / (first * second))  # Eq. (1)
    volume = (first**2 + first * second + second**2) / (3.0 * mean**2)
    admittance = tube.propagation / tube.characteristic_impedance * leading(volume)  # Eq. (1)
    if wall is not None:
        admittance = admittance + wall.admittance_per_length(frequency_hz, mean)
    return Pieces(np.diff(edge_m, axis=-1), impedance, admittance)


def march(horn: Pieces, load_at: int, load_admittance: Complex) -> tuple[Complex, Complex]:
    """Pressure and flow towards the closed end at every edge, for a pressure of 1 at that end.

    Parameters
    ----------
    horn : Pieces
        The pieces, shape (..., s, n).
    load_at : int
        Edge at which a load hangs beside the horn.
    load_admittance : Complex
        Its admittance, broadcastable to (..., n). [m³/(Pa s)]

    Returns
    -------
    tuple[Complex, Complex]
        Pressures and flows just before every edge, shape (..., s + 1, n).
    """
    along, z = horn.line()
    grow = np.exp(along)
    cosh, sinh = 0.5 * (grow + 1.0 / grow), 0.5 * (grow - 1.0 / grow)
    last = along.shape[-2]
    shape = np.broadcast_shapes(along[..., 0, :].shape, np.shape(load_admittance))
    pressure, flow = np.ones(shape, np.complex128), np.zeros(shape, np.complex128)
    pressures, flows = [pressure], [flow]
    for i in range(last, -1, -1):
        if i == load_at:
            flow = flow + pressure * load_admittance
            flows[-1] = flow
        if i:
            c, s, zc = cosh[..., i - 1, :], sinh[..., i - 1, :], z[..., i - 1, :]
            pressure, flow = c * pressure + zc * s * flow, s / zc * pressure + c * flow
            pressures.append(pressure)
            flows.append(flow)
    return np.stack(pressures[::-1], axis=-2), np.stack(flows[::-1], axis=-2)
