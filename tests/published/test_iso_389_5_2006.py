"""ISO 389-5:2006 and ISO 389-8:2004: reference thresholds of a circumaural and an insert earphone, as transcribed.

Read at second hand in public collections of code, not in the standards; the statuses stand in the tables.
"""

import numpy as np
import pytest

from umbo.core import CouplerKind, Transducer
from umbo.ear import reference_thresholds, retspl

#: ISO 389-5:2006, insert earphone in the ear simulator (2 sources). [Hz]: [dB SPL]
INSERT_HF = {9000: 16.0, 10000: 20.0, 11200: 30.5, 12500: 37.0, 14000: 43.5, 16000: 53.0}

#: ISO 389-5:2006, circumaural earphone (1 source, memory agrees). [Hz]: [dB SPL]
CIRCUMAURAL_HF = {9000: 19.0, 10000: 22.0, 11200: 23.0, 12500: 27.5, 14000: 35.0, 16000: 56.0}

#: ISO 389-8:2004, the same earphone, audiometric frequencies (2 sources). [Hz]: [dB SPL]
CIRCUMAURAL = {
    125: 30.5,
    250: 18.0,
    500: 11.0,
    750: 6.0,
    1000: 5.5,
    1500: 5.5,
    2000: 4.5,
    3000: 2.5,
    4000: 9.5,
    6000: 17.0,
    8000: 17.5,
}

#: ISO 389-1:1998, any supra-aural earphone in the ear simulator of IEC 60318-1 (3 sources). [Hz]: [dB SPL]
SUPRA_AURAL = {125: 45.0, 250: 27.0, 500: 13.5, 1000: 7.5, 2000: 9.0, 4000: 12.0, 8000: 15.5}


def hz(values):
    return np.array([float(f) for f in values])


def test_insert_earphone_above_8_khz():
    assert retspl(CouplerKind.OES, hz(INSERT_HF)).level_db.tolist() == list(INSERT_HF.values())
    assert reference_thresholds(Transducer.INSERT, hz(INSERT_HF)).level_db.tolist() == list(INSERT_HF.values())


@pytest.mark.parametrize("part", [CIRCUMAURAL, CIRCUMAURAL_HF, CIRCUMAURAL | CIRCUMAURAL_HF])
def test_circumaural_earphone(part):
    assert reference_thresholds(Transducer.CIRCUMAURAL, hz(part)).level_db.tolist() == list(part.values())


def test_supra_aural_earphone():
    assert reference_thresholds(Transducer.SUPRA_AURAL, hz(SUPRA_AURAL)).level_db.tolist() == list(SUPRA_AURAL.values())
