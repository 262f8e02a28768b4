"""The middle ear of Hudde and Engel (1998), and its infant version of Sankowsky-Rothe et al. (2022)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._air import EAR_AIR, Air
from umbo.acoustics._arrays import Complex, Real, checked_frequency

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


@dataclass(frozen=True)
class MiddleEar:
    """Parameters of the middle ear network; letters of the papers, SI units.

    Parameters
    ----------
    w_t, v_t : float
        Tympanic cavity: loss [N s/m⁵], volume [m³].
    w_ada, m_ada, v_ant : float
        Aditus loss [N s/m⁵] and mass [kg/m⁴], antrum volume [m³].
    q_mac, f_mac, v_mac : float
        Mastoid air cells: quality, resonance [Hz], volume [m³] (0: none).
    w_ac, n_ac, m_ac, f_ym : float
        Drum without ossicles: loss [N s/m⁵], compliance [m⁵/N], mass [kg/m⁴] and the frequency from which its
        mass grows [Hz] (infinite: constant mass).
    s_yph, f_yph : float
        Phase of the drum admittance: slope per natural logarithm [rad], frequency [Hz] (infinite: none).
    a_0, a_inf, q_a, f_a : float
        Effective drum area: low and high frequency limits [m²], quality, resonance [Hz].
    s_aph, f_aph : float
        Phase of the effective area: slope per natural logarithm [rad], frequency [Hz] above which it rules
        (infinite: never).
    m_free : float
        Mass of the drum parts that move freely of the malleus. [kg]
    n_oss, m_oss : float
        Ossicles: compliance [m/N], mass [kg].
    n_cpl, w_cpl, w_free : float
        Coupling of the free drum parts to the malleus: compliance [m/N], loss [N s/m]; their loss [N s/m].
    n_mi, w_mi : float
        Malleus-incus joint: compliance [m/N], loss [N s/m].
    w_st, m_st, n_st : float
        Stapes: loss [N s/m], mass [kg], compliance [m/N].
    w_c, m_c, n_c : float
        Cochlea, seen from the stapes: loss [N s/m], mass [kg], compliance [m/N].
    """

    w_t: float
    v_t: float
    w_ada: float
    m_ada: float
    v_ant: float
    q_mac: float
    f_mac: float
    v_mac: float
    w_ac: float
    n_ac: float
    m_ac: float
    f_ym: float
    s_yph: float
    f_yph: float
    a_0: float
    a_inf: float
    q_a: float
    f_a: float
    s_aph: float
    f_aph: float
    m_free: float
    n_oss: float = 3e-3
    m_oss: float = 7e-6
    n_cpl: float = 0.5e-3
    w_cpl: float = 0.08
    w_free: float = 0.02
    n_mi: float = 0.04e-3
    w_mi: float = 1.0
    w_st: float = 18e-3
    m_st: float = 3e-6
    n_st: float = 1.2e-3
    w_c: float = 70e-3
    m_c: float = 10e-6
    n_c: float = 11e-3

    def cavities(self, frequency_hz: Real, air: Air) -> Complex:
        """Impedance of the middle ear air spaces, shape (n,). [Pa s/m³]"""
        jw = np.asarray(2j * np.pi * frequency_hz, np.complex128)
        stiffness = air.bulk_modulus_pa
        beyond = jw * self.v_ant / stiffness
        if self.v_mac > 0.0:
            x = frequency_hz / self.f_mac
            beyond = beyond + jw * self.v_mac / stiffness / (1.0 - x**2 + 1j * x / self.q_mac)
        z_tympanic = self.w_t + stiffness / (jw * self.v_t)
        z_aditus = self.w_ada + jw * self.m_ada + 1.0 / beyond
        return _parallel(z_tympanic, z_aditus)

    def drum_admittance(self, frequency_hz: Real) -> Complex:
        """Admittance of the drum beside the ossicles, shape (n,). [m³/(Pa s)]"""
        jw = np.asarray(2j * np.pi * frequency_hz, np.complex128)
        mass = self.m_ac * (1.0 + np.sqrt(frequency_hz / self.f_ym))
        phase = self.s_yph * np.log1p(frequency_hz / self.f_yph)
        return np.asarray(np.exp(1j * phase) / (self.w_ac + jw * mass + 1.0 / (jw * self.n_ac)))

    def effective_area(self, frequency_hz: Real) -> Complex:
        """Effective drum area, force on the malleus over pressure, shape (n,). [m²]"""
        area = self._area(frequency_hz)
        if not np.isfinite(self.f_aph):
            return area
        above = np.maximum(frequency_hz, self.f_aph)
        turn = np.angle(self._area(np.full(1, self.f_aph))) + self.s_aph * np.log(above / self.f_aph)
        return np.where(frequency_hz > self.f_aph, np.abs(area) * np.exp(1j * turn), area)

    def _area(self, frequency_hz: Real) -> Complex:
        x = frequency_hz / self.f_a
        return np.asarray((self.a_0 + self.a_inf * x**2) / (1.0 - x**2 + 1j * x / self.q_a))

    def ossicle_impedance(self, frequency_hz: Real) -> Complex:
        """Mechanical impedance that the drum works against at the malleus, shape (n,). [N s/m]"""
        jw = np.asarray(2j * np.pi * frequency_hz, np.complex128)
        z_inner = self.w_st + self.w_c + jw * (self.m_st + self.m_c) + (1 / self.n_st + 1 / self.n_c) / jw
        z_joint = self.w_mi + 1.0 / (jw * self.n_mi)
        z_free = _parallel(self.w_free + jw * self.m_free, self.w_cpl + 1.0 / (jw * self.n_cpl))
        z_malleus = jw * self.m_oss + 1.0 / (jw * self.n_oss)
        return z_free + z_malleus + _parallel(z_joint, z_inner)


ADULT = MiddleEar(
    w_t=2e6, v_t=0.5e-6, w_ada=1.7e6, m_ada=880.0, v_ant=0.8e-6, q_mac=0.4, f_mac=3500.0, v_mac=8e-6,
    w_ac=4e7, n_ac=5e-12, m_ac=2400.0, f_ym=1900.0, s_yph=1.4, f_yph=8000.0,
    a_0=38e-6, a_inf=2e-6, q_a=1.3, f_a=2200.0, s_aph=-1.2, f_aph=1500.0, m_free=12e-6,
)  # fmt: skip

INFANT_DRUM_AREA_M2 = 60e-6
INFANT_DRUM_THICKNESS_M = 0.112e-3
INFANT_DRUM_DENSITY_KG_M3 = 1100.0

INFANT = MiddleEar(
    w_t=2e6, v_t=0.33e-6, w_ada=0.0, m_ada=0.0, v_ant=0.5e-6, q_mac=0.0, f_mac=0.0, v_mac=0.0,
    w_ac=2.75e7, n_ac=3.53e-12,
    m_ac=4.0 * INFANT_DRUM_DENSITY_KG_M3 * INFANT_DRUM_THICKNESS_M / (3.0 * INFANT_DRUM_AREA_M2),
    f_ym=np.inf, s_yph=0.0, f_yph=np.inf,
    a_0=38e-6, a_inf=0.0, q_a=1.0, f_a=4400.0, s_aph=0.0, f_aph=np.inf, m_free=16.8e-6,
)  # fmt: skip


def middle_ear_impedance(frequency_hz: ArrayLike, ear: MiddleEar, air: Air = EAR_AIR) -> Complex:
    r"""Impedance of a drum with the middle ear behind it.

    .. math:: Z = Z_\mathrm{cav} + \left(Y_\mathrm{ac} + \frac{A^2}{Z_\mathrm{mech}}\right)^{-1}

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    ear : MiddleEar
        The parameters.
    air : Air
        Air of the middle ear.

    Returns
    -------
    Complex
        Shape (n,). [Pa s/m³]
    """
    f = checked_frequency(frequency_hz)
    motion = ear.drum_admittance(f) + ear.effective_area(f) ** 2 / ear.ossicle_impedance(f)
    return ear.cavities(f, air) + 1.0 / motion


def drum_impedance_hudde_engel_1998(frequency_hz: ArrayLike, air: Air = EAR_AIR) -> Complex:
    """Acoustic impedance of an adult eardrum, shape (n,). [Pa s/m³]

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    air : Air
        Air of the middle ear.

    Notes
    -----
    Parameter values: one public library read (the papers were not seen); its slopes of phase are given there
    with a factor π. The network and the laws of phase used here, natural logarithms without that factor,
    were identified from the drum impedance that comes with the open finite-element data set of
    Wulbusch et al. (2023): they agree with it within 0.15 dB and 2 degrees from 100 Hz to 20 kHz.

    References
    ----------
    Hudde, H. & Engel, A. (1998), Measuring and modeling basic properties of the human middle ear and ear
    canal, Parts I-III, Acta Acustica united with Acustica 84, 720, 894, 1091.
    """
    return middle_ear_impedance(frequency_hz, ADULT, air)


def drum_impedance_infant_2022(frequency_hz: ArrayLike, air: Air = EAR_AIR) -> Complex:
    """Acoustic impedance of a young infant's eardrum, shape (n,). [Pa s/m³]

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    air : Air
        Air of the middle ear.

    Notes
    -----
    The adult network with the infant parameters of the paper (one public library read). The drum compliance
    follows there from a tension that was not found: it is set here so that the impedance at 226 Hz is
    2.66e8 Pa s/m³ (0.38 cm³), the one value known of it. The soft canal wall belongs to the canal: `Wall`.

    References
    ----------
    Sankowsky-Rothe, T., van de Par, S. & Blau, M. (2022), Acta Acustica 6, 53.
    """
    return middle_ear_impedance(frequency_hz, INFANT, air)


def _parallel(first: ArrayLike, second: ArrayLike) -> Complex:
    one, other = np.asarray(first, np.complex128), np.asarray(second, np.complex128)
    return one * other / (one + other)
