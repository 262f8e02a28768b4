"""An ear canal with its drum: the umbo before the end of the canal, a soft skin, a drum that may be spread out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from umbo.acoustics._air import EAR_AIR, Air
from umbo.acoustics._arrays import (
    Complex,
    Real,
    checked_frequency,
    checked_not_negative,
    checked_positive,
    leading,
)
from umbo.acoustics._horn import Pieces, march, pieces, radius_on
from umbo.acoustics._two_port import RIGID, Terminated
from umbo.acoustics._wall import SkinWall
from umbo.errors import InputError, OutOfRangeError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from umbo.acoustics._wall import SoftWall

PIECES_BEFORE, PIECES_BEYOND = 40, 6
"""Pieces between entrance and umbo, and between umbo and end; twice as many change 0.09 dB at most to 16 kHz."""

SHORTEST_SPAN_M = 1e-6
"""A drum spread over less hangs at the umbo. [m]"""

SCANNED_EARS_WALL = SkinWall(stiffness_pa_m=1.0e9, resistance_pa_s_m=4.0e4, mass_kg_m2=2.7)
"""Wall of the three-dimensional finite elements of Wulbusch et al. (2023).

Fitted on the rigid-drum rows of the six ears of that set read here; their description was not seen, and no living ear
was measured for it.
"""

SCANNED_EARS_SPREADING = 0.1
"""Spreading at the entrance of the same finite elements, fitted like `SCANNED_EARS_WALL`. [1]"""

SCANNED_EARS_DRUM_SPAN_M = 7e-3
"""Length of axis over which the drums of the same finite elements lie.

Chosen on the two soft drums of all six ears among 0, 6, 8, 10 and 12 mm: 6 and 8 are equally good. [m]
"""


def canal_to_its_end(
    position_m: ArrayLike, area_m2: ArrayLike, beyond_umbo_m: float, *, end_share: float = 0.5
) -> tuple[Real, Real, float]:
    """Sections of a canal on to its closed end, from sections whose last is near the umbo.

    Parameters
    ----------
    position_m, area_m2 : ArrayLike
        Positions along the axis, rising, and areas there, shape (m,). [m], [m²]
    beyond_umbo_m : float
        Above zero: the last section is at the umbo and the canal goes on by this length. Below zero: the last section
        is the closed end, and the umbo lies this far before it. [m]
    end_share : float
        Area of the closed end over that of the last section, if the canal goes on; the area falls evenly (assumed). [1]

    Returns
    -------
    tuple[Real, Real, float]
        Positions [m], areas [m²] and the position of the umbo [m].
    """
    position, area = np.asarray(position_m, np.float64), np.asarray(area_m2, np.float64)
    if beyond_umbo_m <= 0.0:
        return position, area, float(position[-1] + beyond_umbo_m)
    share = np.linspace(0.0, 1.0, 6)[1:]
    further = area[-1] * (1.0 - (1.0 - checked_positive("area share of the end", end_share, "1")) * share)
    longer = position[-1] + beyond_umbo_m * share
    return np.concatenate([position, longer]), np.concatenate([area, further]), float(position[-1])


@dataclass(frozen=True, eq=False)
class EarCanal:
    r"""One ear canal or many, from its first section (tip, probe, entrance) to its closed end.

    .. math:: \frac{\mathrm{d}p}{\mathrm{d}x} = -Z'(x)\,U, \quad
        \frac{\mathrm{d}U}{\mathrm{d}x} = -\left[Y'(x) + Y'_\mathrm{wall}(x) + \frac{D(x)}{Z_d}\right] p \qquad (1)

    with D(x) where the drum takes part: at the umbo alone, or evenly over `drum_span_m` of the axis around the umbo, up
    to the closed end. The pressure "at the drum" is that at the umbo.

    Parameters
    ----------
    position_m : Real
        Positions along the axis, rising, shape (..., m), at least two. [m]
    area_m2 : Real
        Cross-section areas there, shape (..., m). [m²]
    umbo_m : Real or None
        Position of the umbo on the axis, shape (...); None is the last position. [m]
    air : Air
        The air in it.
    wall : SoftWall or None
        A soft wall: `SCANNED_EARS_WALL`, `INFANT_WALL` or another; None is rigid.
    drum_span_m : float
        Length of axis over which the drum lies, the umbo in its middle if the canal goes on far enough; 0 hangs it at
        the umbo. [m]
    entrance_spreading : float
        ξ: the flow enters through less than the whole first section and spreads, which adds an inertance
        :math:`\xi \rho/\sqrt{S}` to the input impedance (Eq. 2). [1]

    Raises
    ------
    InputError
        If positions and areas do not match, or the umbo is not among the positions.
    OutOfRangeError
        If positions do not rise, or an area, span or spreading is below its range.

    References
    ----------
    Webster, A. G. (1919), Proc. Natl. Acad. Sci. 5, 275. Losses as in `line_constants`.
    """

    position_m: Real
    area_m2: Real
    umbo_m: Real | None = None
    air: Air = EAR_AIR
    wall: SoftWall | None = None
    drum_span_m: float = 0.0
    entrance_spreading: float = 0.0

    def __post_init__(self) -> None:
        position = np.asarray(self.position_m, np.float64)
        area = checked_positive("cross-section area", self.area_m2, "m²")
        if position.ndim == 0 or position.shape[-1:] != area.shape[-1:] or position.shape[-1] < 2:
            raise InputError(
                "an ear canal from cross-sections",
                f"positions have the shape {position.shape}, areas {area.shape}",
                "give one area for each of at least two positions",
            )
        checked_positive("distance between sections", np.diff(position, axis=-1), "m")
        checked_not_negative("drum span", self.drum_span_m, "m")
        checked_not_negative("entrance spreading", self.entrance_spreading, "1")
        umbo = position[..., -1] if self.umbo_m is None else np.asarray(self.umbo_m, np.float64)
        if not ((umbo > position[..., 0]) & (umbo <= position[..., -1])).all():
            raise InputError(
                f"an ear canal with the umbo at {umbo.tolist()} m",
                f"its axis runs from {position[..., 0].tolist()} to {position[..., -1].tolist()} m",
                "give the umbo's place on that axis, after the first position",
            )
        object.__setattr__(self, "position_m", position)
        object.__setattr__(self, "area_m2", area)
        object.__setattr__(self, "umbo_m", umbo)

    def response(self, frequency_hz: ArrayLike, drum_impedance: ArrayLike = RIGID) -> Terminated:
        """What a source at the first section meets, and what the drum hears.

        Parameters
        ----------
        frequency_hz : ArrayLike
            Frequencies (n,). [Hz]
        drum_impedance : ArrayLike
            Drum impedance, broadcastable to (..., n); infinite is a rigid drum. [Pa s/m³]

        Returns
        -------
        Terminated
            Input impedance, transfer impedance to the umbo, and the umbo's pressure over that at the first section.
        """
        frequency = checked_frequency(frequency_hz)
        pressure, flow = self._field(frequency, drum_impedance)[2:]
        at_umbo = pressure[..., PIECES_BEFORE, :]
        mass = self.entrance_spreading * self.air.density_kg_m3 / np.sqrt(leading(self.area_m2[..., 0]))
        entering = pressure[..., 0, :] + 2j * np.pi * frequency * mass * flow[..., 0, :]  # Eq. (2)
        return Terminated(entering / flow[..., 0, :], at_umbo / flow[..., 0, :], at_umbo / entering)

    def pressure_ratio_at(
        self, frequency_hz: ArrayLike, distance_from_umbo_m: ArrayLike, drum_impedance: ArrayLike = RIGID
    ) -> Complex:
        """Pressure on the axis some way before the umbo over the pressure at the umbo.

        Parameters
        ----------
        frequency_hz : ArrayLike
            Frequencies (n,). [Hz]
        distance_from_umbo_m : ArrayLike
            Distance along the axis, from 0 to the first section, broadcastable with the canals' shape (...). [m]
        drum_impedance : ArrayLike
            Drum impedance, broadcastable to (..., n); infinite is a rigid drum. [Pa s/m³]

        Returns
        -------
        Complex
            Shape (..., n).

        Raises
        ------
        OutOfRangeError
            If a distance is negative or reaches beyond the first section.
        """
        frequency = checked_frequency(frequency_hz)
        distance = checked_not_negative("distance from the umbo", distance_from_umbo_m, "m")
        umbo = np.asarray(self.umbo_m)
        before = umbo - distance
        if (before < self.position_m[..., 0] - 1e-9).any():
            raise OutOfRangeError(
                f"the pressure up to {distance.max():g} m before the umbo",
                f"the canal begins {(umbo - self.position_m[..., 0]).min():g} m before it",
                "give a distance inside the canal",
            )
        edge, horn, pressure, flow = self._field(frequency, drum_impedance)
        after = np.clip((edge[..., : PIECES_BEFORE + 1] < before[..., np.newaxis]).sum(axis=-1), 1, PIECES_BEFORE)
        along, z = (_pick(values, after - 1) for values in horn.line())
        part = (_pick(leading(edge), after)[..., 0] - before) / _pick(leading(horn.length_m), after - 1)[..., 0]
        p, u = _pick(pressure, after), _pick(flow, after)
        back = p * np.cosh(along * leading(part)) + z * u * np.sinh(along * leading(part))
        return np.asarray(back / pressure[..., PIECES_BEFORE, :])

    def _field(self, frequency: Real, drum_impedance: ArrayLike) -> tuple[Real, Pieces, Complex, Complex]:
        """Edges, pieces, and pressures and flows at the edges."""
        umbo = np.asarray(self.umbo_m)[..., np.newaxis]
        start, end = self.position_m[..., :1], self.position_m[..., -1:]
        before = start + (umbo - start) * np.linspace(0.0, 1.0, PIECES_BEFORE + 1)
        beyond = umbo + (end - umbo) * np.linspace(0.0, 1.0, PIECES_BEYOND + 1)[1:]
        edge = np.concatenate([before, beyond], axis=-1)
        radius = radius_on(edge, self.position_m, np.sqrt(self.area_m2 / np.pi))
        horn = pieces(frequency, edge, radius, self.air, self.wall)
        z = np.asarray(drum_impedance, np.complex128)
        rigid = ~np.isfinite(z)
        admittance = np.where(rigid, 0.0, 1.0 / np.where(rigid, 1.0, z))
        if self.drum_span_m > SHORTEST_SPAN_M:
            last = np.minimum(umbo + 0.5 * self.drum_span_m, end)
            first = last - self.drum_span_m
            share = np.clip(np.minimum(edge[..., 1:], last) - np.maximum(edge[..., :-1], first), 0.0, None)
            share = share / share.sum(axis=-1, keepdims=True)
            density = np.divide(share, horn.length_m, out=np.zeros_like(share), where=horn.length_m > 0.0)
            # D/Z_d, Eq. (1)
            horn = horn.with_admittance(leading(density) * np.atleast_1d(admittance)[..., np.newaxis, :])
            admittance = np.zeros_like(admittance)
        return edge, horn, *march(horn, PIECES_BEFORE, admittance)


_Kind = TypeVar("_Kind", np.float64, np.complex128)


def _pick(values: NDArray[_Kind], index: NDArray[np.intp]) -> NDArray[_Kind]:
    """Values (..., s, n) at the piece or edge `index` of shape (...), broadcast to each other: (..., n)."""
    shape: tuple[int, ...] = np.broadcast_shapes(values.shape[:-2], np.shape(index))
    wide = np.broadcast_to(values, (*shape, *values.shape[-2:]))
    at = np.broadcast_to(index, shape)[..., np.newaxis, np.newaxis]
    return np.asarray(np.take_along_axis(wide, at, axis=-2)[..., 0, :])
