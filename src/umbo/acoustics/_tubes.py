"""Lines: the lossy cylinder and cone, and the slit between two parallel plates."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._arrays import (
    Complex,
    Real,
    checked_frequency,
    checked_not_negative,
    checked_positive,
    leading,
)
from umbo.acoustics._boundary_layer import slit_function, tube_function, wave_number_radius
from umbo.acoustics._two_port import TwoPort

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from umbo.acoustics._air import Air
    from umbo.acoustics._wall import SoftWall


@dataclass(frozen=True, eq=False)
class LineConstants:
    """Propagation constant and characteristic impedance of a line, arrays of shape (..., n).

    Attributes
    ----------
    propagation : Complex
        Γ, real part attenuation, imaginary part phase. [1/m]
    characteristic_impedance : Complex
        Zc. [Pa s/m³]
    """

    propagation: Complex
    characteristic_impedance: Complex


def line_constants(
    frequency_hz: ArrayLike, radius_m: ArrayLike, air: Air, wall: SoftWall | None = None
) -> LineConstants:
    r"""Propagation constant and characteristic impedance of a circular tube with wall losses.

    .. math:: \Gamma = \sqrt{Z'Y'},\; Z_c = \sqrt{Z'/Y'},\;
        Z' = \frac{\mathrm{j}\omega\rho/S}{1-F(r_v)},\;
        Y' = \frac{\mathrm{j}\omega S}{\rho c^2}\,[1+(\gamma-1)F(r_v\sqrt{Pr})] + Y'_\mathrm{wall}

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    radius_m : ArrayLike
        Tube radius, shape (...). [m]
    air : Air
        The air in the tube.
    wall : SoftWall or None
        A soft wall; None is a rigid, isothermal one.

    Returns
    -------
    LineConstants
        Arrays of shape (..., n).

    Notes
    -----
    Low reduced frequency solution: plane waves, wavelength long against the boundary layer.

    References
    ----------
    Zwikker & Kosten (1949), Sound Absorbing Materials, ch. II. Benade (1968), J. Acoust. Soc. Am. 44, 616.
    Stinson (1991), J. Acoust. Soc. Am. 89, 550.
    """
    frequency = checked_frequency(frequency_hz)
    radius = leading(checked_positive("radius", radius_m, "m"))
    area = np.pi * radius**2
    omega = 2.0 * np.pi * frequency
    stokes = wave_number_radius(frequency, radius, air)
    viscous = tube_function(stokes)
    thermal = tube_function(stokes * np.sqrt(air.prandtl_number))
    # times jω: density of the air as it moves, compliance of the air as it is compressed, per length
    inertance = (air.density_kg_m3 / area) / (1.0 - viscous)
    compliance = (area / air.bulk_modulus_pa) * (1.0 + (air.heat_capacity_ratio - 1.0) * thermal)
    if wall is not None:
        compliance = compliance + wall.admittance_per_length(frequency, radius[..., 0]) / (1j * omega)
    return _constants(omega, inertance, compliance)


def _constants(omega: Real, inertance: Complex, compliance: Complex) -> LineConstants:
    """Γ and Zc from inertance and compliance per length (complex: losses included)."""
    gamma = np.asarray(1j * omega * np.sqrt(inertance * compliance), np.complex128)
    return LineConstants(gamma, np.asarray(np.sqrt(inertance / compliance), np.complex128))


def _hyperbolic(along: Complex) -> tuple[Complex, Complex]:
    """Hyperbolic cosine and sine by one exponential."""
    grow = np.exp(along)
    shrink = 1.0 / grow
    return np.asarray(0.5 * (grow + shrink)), np.asarray(0.5 * (grow - shrink))


def line(frequency_hz: Real, length_m: ArrayLike, constants: LineConstants) -> TwoPort:
    """Two-port of a uniform line.

    Parameters
    ----------
    frequency_hz : Real
        Frequencies (n,). [Hz]
    length_m : ArrayLike
        Length, shape (...). [m]
    constants : LineConstants
        Propagation constant and characteristic impedance, shape (..., n).
    """
    cosh, sinh = _hyperbolic(constants.propagation * leading(length_m))
    z = constants.characteristic_impedance
    return TwoPort(frequency_hz, cosh, z * sinh, sinh / z, cosh)


def cylinder(
    frequency_hz: ArrayLike,
    length_m: ArrayLike,
    radius_m: ArrayLike,
    air: Air,
    wall: SoftWall | None = None,
) -> TwoPort:
    r"""Chain matrix of a cylindrical tube with viscous and thermal loss.

    .. math:: \begin{bmatrix} \cosh\Gamma l & Z_c \sinh\Gamma l \\
        \sinh(\Gamma l)/Z_c & \cosh\Gamma l \end{bmatrix}

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    length_m : ArrayLike
        Length, shape (...), zero or above. [m]
    radius_m : ArrayLike
        Radius, shape (...). [m]
    air : Air
        The air in the tube.
    wall : SoftWall or None
        A soft wall; None is rigid.

    Returns
    -------
    TwoPort
        Elements of shape (..., n).
    """
    frequency = checked_frequency(frequency_hz)
    length = checked_not_negative("length", length_m, "m")
    return line(frequency, length, line_constants(frequency, radius_m, air, wall))


def cone(
    frequency_hz: ArrayLike,
    length_m: ArrayLike,
    inlet_radius_m: ArrayLike,
    outlet_radius_m: ArrayLike,
    air: Air,
    wall: SoftWall | None = None,
) -> TwoPort:
    r"""Chain matrix of a conical tube with losses.

    The spherical-wave solution, with the propagation constant of a cylinder of the mean radius. With
    :math:`\varepsilon=(r_2-r_1)/(r_1 l)`:

    .. math::
        a &= \tfrac{r_2}{r_1}\cosh\Gamma l - \tfrac{\varepsilon}{\Gamma}\sinh\Gamma l,\quad
        b = \tfrac{r_1}{r_2} Z_{c1}\sinh\Gamma l \\
        c &= Z_{c1}^{-1}\left[\left(\tfrac{r_2}{r_1}-\tfrac{\varepsilon^2}{\Gamma^2}\right)\sinh\Gamma l
             + \tfrac{\varepsilon^2 l}{\Gamma}\cosh\Gamma l\right],\quad
        d = \tfrac{r_1}{r_2}\left[\cosh\Gamma l + \tfrac{\varepsilon}{\Gamma}\sinh\Gamma l\right]

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    length_m : ArrayLike
        Length, shape (...), above zero. [m]
    inlet_radius_m, outlet_radius_m : ArrayLike
        Radii at the two ends, shape (...). [m]
    air : Air
        The air in the tube.
    wall : SoftWall or None
        A soft wall; None is rigid.

    Returns
    -------
    TwoPort
        Elements of shape (..., n).

    References
    ----------
    Spherical waves in cones are classical; chain form as in Mapes-Riordan (1993), J. Audio Eng. Soc. 41, 471
    (from memory), tested here against fine cylinder steps.
    """
    frequency = checked_frequency(frequency_hz)
    length = leading(checked_positive("length", length_m, "m"))
    inlet = leading(checked_positive("inlet radius", inlet_radius_m, "m"))
    outlet = leading(checked_positive("outlet radius", outlet_radius_m, "m"))
    mean = 0.5 * (inlet + outlet)
    constants = line_constants(frequency, mean[..., 0], air, wall)
    gamma = constants.propagation
    z_inlet = constants.characteristic_impedance * (mean / inlet) ** 2
    cosh, sinh = _hyperbolic(gamma * length)
    ratio = outlet / inlet
    slope = (outlet - inlet) / (inlet * length) / gamma  # ε/Γ
    return TwoPort(
        frequency,
        ratio * cosh - slope * sinh,
        z_inlet * sinh / ratio,
        ((ratio - slope**2) * sinh + slope**2 * gamma * length * cosh) / z_inlet,
        (cosh + slope * sinh) / ratio,
    )


def slit(
    frequency_hz: ArrayLike,
    length_m: ArrayLike,
    width_m: ArrayLike,
    height_m: ArrayLike,
    air: Air,
) -> TwoPort:
    r"""Chain matrix of the narrow slit between two parallel plates: the form of a leak.

    .. math:: Z' = \frac{\mathrm{j}\omega\rho}{wh\,(1-F)},\;
        Y' = \frac{\mathrm{j}\omega wh}{\rho c^2}[1+(\gamma-1)F_t],\; F = \tanh(z)/z

    with :math:`z=(h/2)\sqrt{\mathrm{j}\omega\rho/\eta}`.

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    length_m, width_m, height_m : ArrayLike
        Length along the flow, width across it and height (gap) of the slit, shape (...). [m]
    air : Air
        The air in the slit.

    Returns
    -------
    TwoPort
        Elements of shape (..., n).

    References
    ----------
    Zwikker & Kosten (1949), Sound Absorbing Materials, ch. II. Stinson & Champoux (1992), J. Acoust. Soc.
    Am. 91, 685.
    """
    frequency = checked_frequency(frequency_hz)
    length = checked_not_negative("length", length_m, "m")
    width = leading(checked_positive("width", width_m, "m"))
    height = leading(checked_positive("height", height_m, "m"))
    omega = 2.0 * np.pi * frequency
    stokes = wave_number_radius(frequency, 0.5 * height, air)
    area = width * height
    thermal = slit_function(stokes * np.sqrt(air.prandtl_number))
    inertance = (air.density_kg_m3 / area) / (1.0 - slit_function(stokes))
    compliance = (area / air.bulk_modulus_pa) * (1.0 + (air.heat_capacity_ratio - 1.0) * thermal)
    return line(frequency, length, _constants(omega, inertance, compliance))
