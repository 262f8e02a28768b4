"""Ear canals: from cross-sections along the axis to a two-port."""

from __future__ import annotations

from functools import reduce
from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._air import EAR_AIR, Air
from umbo.acoustics._arrays import Real, checked_frequency, checked_positive
from umbo.acoustics._tubes import cone
from umbo.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from umbo.acoustics._two_port import TwoPort
    from umbo.acoustics._wall import SoftWall


def canal(
    frequency_hz: ArrayLike,
    position_m: ArrayLike,
    area_m2: ArrayLike,
    air: Air = EAR_AIR,
    wall: SoftWall | None = None,
) -> TwoPort:
    """Two-port of an ear canal from its first position (tip, probe, entrance) to its last (drum).

    Cones join the cross-sections: the radius runs straight from one position to the next.

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    position_m : ArrayLike
        Positions along the axis, rising, shape (..., m), at least two. [m]
    area_m2 : ArrayLike
        Cross-section areas at the positions, shape (..., m). [m²]
    air : Air
        The air in it.
    wall : SoftWall or None
        A soft wall (infants); None is rigid.

    Returns
    -------
    TwoPort
        Elements of shape (..., n).
    """
    frequency = checked_frequency(frequency_hz)
    position = np.asarray(position_m, dtype=np.float64)
    radius = np.sqrt(checked_positive("cross-section area", area_m2, "m²") / np.pi)
    if position.shape[-1:] != radius.shape[-1:] or position.ndim == 0 or position.shape[-1] < 2:
        raise InputError(
            "an ear canal from cross-sections",
            f"positions have the shape {position.shape}, areas {radius.shape}",
            "give one area for each of at least two positions",
        )
    length = np.diff(position, axis=-1)
    cones = (
        cone(frequency, length[..., i], radius[..., i], radius[..., i + 1], air, wall) for i in range(length.shape[-1])
    )
    return reduce(lambda before, after: before @ after, cones)


def cut_canal(position_m: ArrayLike, area_m2: ArrayLike, from_position_m: float) -> tuple[Real, Real]:
    """Positions (m,) and areas (m,) of the part of a canal beyond a plane, the plane's own area interpolated.

    Parameters
    ----------
    position_m : ArrayLike
        Positions along the axis, rising, shape (m,). [m]
    area_m2 : ArrayLike
        Areas, shape (m,). [m²]
    from_position_m : float
        The plane of the tip or probe; inside the range of positions. [m]
    """
    position = np.asarray(position_m, dtype=np.float64)
    area = np.asarray(area_m2, dtype=np.float64)
    if not position[0] <= from_position_m < position[-1]:
        raise InputError(
            f"a canal from the plane at {from_position_m:g} m",
            f"its cross-sections reach from {position[0]:g} to {position[-1]:g} m",
            "choose a plane between these",
        )
    beyond = position > from_position_m
    radius_at_cut = np.interp(from_position_m, position, np.sqrt(area))
    return (
        np.concatenate([[from_position_m], position[beyond]]),
        np.concatenate([[radius_at_cut**2], area[beyond]]),
    )
