"""The occluded-ear simulator (IEC 60318-4): a line with two resonant side branches."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics._air import COUPLER_AIR, Air
from umbo.acoustics._arrays import checked_frequency
from umbo.acoustics._lumped import resonator_impedance
from umbo.acoustics._tubes import cylinder
from umbo.acoustics._two_port import TwoPort, identity, series, shunt
from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

# Lumped elements [Pa s²/m³, m³/Pa, Pa s/m³]: one public library read, which points to doi 10.1121/10.0024939
# and doi 10.61782/fa.2023.0485 (neither seen); L1-L4 and C5 also recalled from earlier literature.
L1, L3, L5 = 82.9, 130.3, 133.4
C1, C3, C5 = 7e-13, 1.5e-12, 1.517e-12
R2, L2, C2 = 55.66e6, 9400.0, 2.34e-12
R4, L4, C4 = 27.99e6, 983.8, 2.73e-12

LUMPED_LIMIT_HZ = 10_000.0
"""Above this the lumped form is not valid."""

PRINCIPAL_RADIUS_M = 3.75e-3
"""Radius of the principal cavity: 7.5 mm diameter, from memory."""

BRANCH_SCALE = 0.93
"""Scale of the branch volumes in the line form that gives the effective volume of 1.26 cm³ at 500 Hz
(computed; the standard's figure is from memory)."""

LINE_DENSITY_KG_M3 = COUPLER_AIR.density_kg_m3
"""Density with which the inertances L1, L3, L5 become lengths of the principal cavity (23 °C, assumed)."""


def occluded_ear_simulator(frequency_hz: ArrayLike, air: Air = COUPLER_AIR) -> TwoPort:
    """Two-port of the occluded-ear simulator from its reference plane to the microphone: line form.

    The inertances of the lumped circuit give the lengths of three lossy pieces of the 7.5 mm line; between
    them hang the two resonant branches, their volumes scaled by `BRANCH_SCALE`. The microphone's volume
    is part of the line.

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,). [Hz]
    air : Air
        The air in it.

    Returns
    -------
    TwoPort
        Elements of shape (n,); close it with a rigid end.
    """
    frequency = checked_frequency(frequency_hz)
    area = np.pi * PRINCIPAL_RADIUS_M**2
    first, second, third = (
        cylinder(frequency, inertance * area / LINE_DENSITY_KG_M3, PRINCIPAL_RADIUS_M, air)
        for inertance in (L1, L3, L5)
    )
    branch_2 = resonator_impedance(frequency, R2, L2, BRANCH_SCALE * C2)
    branch_4 = resonator_impedance(frequency, R4, L4, BRANCH_SCALE * C4)
    return first @ shunt(frequency, branch_2) @ second @ shunt(frequency, branch_4) @ third


def occluded_ear_simulator_lumped(frequency_hz: ArrayLike) -> TwoPort:
    """Two-port of the occluded-ear simulator from lumped elements, up to 10 kHz (enforced).

    Parameters
    ----------
    frequency_hz : ArrayLike
        Frequencies (n,), up to 10 kHz. [Hz]

    Returns
    -------
    TwoPort
        Elements of shape (n,); close it with a rigid end.

    Raises
    ------
    OutOfRangeError
        Above 10 kHz.
    """
    frequency = checked_frequency(frequency_hz)
    if frequency.size and frequency.max() > LUMPED_LIMIT_HZ:
        raise OutOfRangeError(
            "the lumped occluded-ear simulator",
            f"{frequency.max():g} Hz lies above its limit of {LUMPED_LIMIT_HZ:g} Hz",
            "use the line form, occluded_ear_simulator",
        )
    jw = 2j * np.pi * frequency
    chain = identity(frequency)
    for element in (
        series(frequency, jw * L1),
        shunt(frequency, 1.0 / (jw * C1)),
        shunt(frequency, resonator_impedance(frequency, R2, L2, C2)),
        series(frequency, jw * L3),
        shunt(frequency, 1.0 / (jw * C3)),
        shunt(frequency, resonator_impedance(frequency, R4, L4, C4)),
        series(frequency, jw * L5),
        shunt(frequency, 1.0 / (jw * C5)),
    ):
        chain = chain @ element
    return chain
