"""The adult middle ear of Kringlebotn (1988), as a load on the ear canal."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from umbo.acoustics._arrays import Complex, checked_frequency

CGS_INERTANCE = 1e5  # 1 g/cm⁴ in kg/m⁴
CGS_COMPLIANCE = 1e-5  # 1 cm⁵/dyn in m³/Pa
CGS_RESISTANCE = 1e5  # 1 dyn s/cm⁵ in Pa s/m³


@dataclass(frozen=True)
class KringlebotnParameters:
    """Element values in the units of the paper, letters of the paper.

    Values: one public implementation read (its units, CGS, inferred); the paper was not seen.
    L in g/cm⁴, C in cm⁵/dyn, R in dyn s/cm⁵.
    """

    # middle ear cavities: tympanic cavity Ct; aditus and antrum La, Ca, Ra
    l_a: float = 1e-3
    c_a: float = 3.9e-6
    c_t: float = 0.4e-6
    r_a: float = 60.0
    # drum: mass Ld, suspension Ls Cs Rs beside rim Cr Rr
    l_d: float = 7.5e-3
    l_s: float = 66e-3
    c_s: float = 0.3e-6
    r_s: float = 20.0
    c_r: float = 1.3e-6
    r_r: float = 120.0
    # coupling of drum and malleus
    c_m: float = 0.38e-6
    r_m: float = 120.0
    # malleus and incus
    l_o: float = 22e-3
    r_o: float = 20.0
    # incudo-stapedial joint
    c_i: float = 0.3e-6
    r_i: float = 6000.0
    # stapes and cochlea
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

    def branch(r: float, ell: float, c: float = np.inf) -> Complex:
        return np.asarray(CGS_RESISTANCE * r + jw * CGS_INERTANCE * ell + 1.0 / (jw * CGS_COMPLIANCE * c))

    z_cavities = _parallel(branch(0.0, 0.0, p.c_t), branch(p.r_a, p.l_a, p.c_a))
    z_drum = branch(0.0, p.l_d) + _parallel(branch(p.r_s, p.l_s, p.c_s), branch(p.r_r, 0.0, p.c_r))
    z_inner = _parallel(branch(p.r_i, 0.0, p.c_i), branch(p.r_c, p.l_c, p.c_c))
    z_ossicles = _parallel(branch(p.r_m, 0.0, p.c_m), branch(p.r_o, p.l_o) + z_inner)
    return z_cavities + z_drum + z_ossicles


def _parallel(first: Complex, second: Complex) -> Complex:
    return first * second / (first + second)
