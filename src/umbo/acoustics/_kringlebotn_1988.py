"""The adult middle ear of Kringlebotn (1988), as a load on the ear canal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._arrays import Complex, checked_frequency

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

CGS_INERTANCE = 1e5  # 1 g/cm⁴ in kg/m⁴
CGS_COMPLIANCE = 1e-5  # 1 cm⁵/dyn in m³/Pa
CGS_RESISTANCE = 1e5  # 1 dyn s/cm⁵ in Pa s/m³


@dataclass(frozen=True)
class KringlebotnParameters:
    """Element values in the units of the paper (CGS), letters of the paper.

    Values: one public implementation read (its units, CGS, inferred); the paper was not seen.

    Parameters
    ----------
    l_a, c_a, c_t, r_a : float
        Cavities: aditus and antrum in series, tympanic cavity beside them.
        [g/cm⁴, cm⁵/dyn, cm⁵/dyn, dyn s/cm⁵]
    l_d : float
        Drum mass. [g/cm⁴]
    l_s, c_s, r_s : float
        Drum suspension. [g/cm⁴, cm⁵/dyn, dyn s/cm⁵]
    c_r, r_r : float
        Drum rim, beside the suspension. [cm⁵/dyn, dyn s/cm⁵]
    c_m, r_m : float
        Coupling of drum and malleus. [cm⁵/dyn, dyn s/cm⁵]
    l_o, r_o : float
        Malleus and incus. [g/cm⁴, dyn s/cm⁵]
    c_i, r_i : float
        Joint of incus and stapes. [cm⁵/dyn, dyn s/cm⁵]
    l_c, c_c, r_c : float
        Stapes and cochlea. [g/cm⁴, cm⁵/dyn, dyn s/cm⁵]
    """

    l_a: float = 1e-3
    c_a: float = 3.9e-6
    c_t: float = 0.4e-6
    r_a: float = 60.0
    l_d: float = 7.5e-3
    l_s: float = 66e-3
    c_s: float = 0.3e-6
    r_s: float = 20.0
    c_r: float = 1.3e-6
    r_r: float = 120.0
    c_m: float = 0.38e-6
    r_m: float = 120.0
    l_o: float = 22e-3
    r_o: float = 20.0
    c_i: float = 0.3e-6
    r_i: float = 6000.0
    l_c: float = 46e-3
    c_c: float = 0.56e-6
    r_c: float = 330.0


def drum_impedance_kringlebotn_1988(
    frequency_hz: ArrayLike, parameters: KringlebotnParameters | None = None
) -> Complex:
    """Acoustic impedance of an adult eardrum with the middle ear behind it.

    Cavities, drum and ossicles in series: Z = Zcav + Zdrum + (Zm parallel (Zo + (Zi parallel Zc))).

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    parameters : KringlebotnParameters or None
        Element values; None is the published set.

    Returns
    -------
    Complex
        Shape (n,). [Pa s/m³]

    References
    ----------
    Kringlebotn, M. (1988), Network model for the human middle ear, Scand. Audiol. 17, 75-85.
    """
    p = KringlebotnParameters() if parameters is None else parameters
    jw = 2j * np.pi * checked_frequency(frequency_hz)

    def branch(r: float, ell: float, c: float | None = None) -> Complex:
        z = CGS_RESISTANCE * r + jw * CGS_INERTANCE * ell
        elastance = 0.0 if c is None else 1.0 / (CGS_COMPLIANCE * c)
        return np.asarray(z + elastance / jw, dtype=np.complex128)

    z_cavities = _parallel(branch(0.0, 0.0, p.c_t), branch(p.r_a, p.l_a, p.c_a))
    z_drum = branch(0.0, p.l_d) + _parallel(branch(p.r_s, p.l_s, p.c_s), branch(p.r_r, 0.0, p.c_r))
    z_inner = _parallel(branch(p.r_i, 0.0, p.c_i), branch(p.r_c, p.l_c, p.c_c))
    z_ossicles = _parallel(branch(p.r_m, 0.0, p.c_m), branch(p.r_o, p.l_o) + z_inner)
    return z_cavities + z_drum + z_ossicles


def _parallel(first: Complex, second: Complex) -> Complex:
    return first * second / (first + second)
