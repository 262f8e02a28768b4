"""How far an RECD moves when another source than the one it was measured with drives the ear."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from umbo import acoustics
from umbo.core import CouplerKind, FloatArray, Grid

__all__ = ["source_spread_db"]

#: Sealed canals beyond the tip: length and radius. Adult radius from the annulus area of 56 mm² (CT study 2023,
#: abstract read), infant from Sankowsky-Rothe et al. 2022; lengths and the child's values assumed. [m]
_ADULT_CANAL, _CHILD_CANAL, _INFANT_CANAL = (14e-3, 4.2e-3), (11e-3, 3.5e-3), (8e-3, 1.9e-3)

#: Tube and bore of a mould after an ear hook, as in the HA-2 coupler (from memory): length and radius. [m]
_MOULD = ((25e-3, 0.965e-3), (18e-3, 1.5e-3))

_INFANT_MONTHS, _ADULT_MONTHS = 12.0, 84.0


def source_spread_db(kind: CouplerKind, frequency_hz: FloatArray, age_months: float | None) -> FloatArray:
    r"""Standard uncertainty of an insert-earphone RECD used with a hearing aid of unknown source impedance.

    For a source of impedance :math:`Z_s` (Thevenin) the RECD is

    .. math:: R_s = 20 \lg \left| \frac{H_{ear} / (Z_{ear} + Z_s)}{H_c / (Z_c + Z_s)} \right| \qquad (1)

    with input impedances Z and transfer impedances H of ear and coupler. The rms of :math:`R_s - R_{insert}` over three
    hearing-aid sources (an ideal flow, a receiver in the canal, a receiver behind the ear with hook, tube and mould)
    and the model ears of the age is the uncertainty: nothing is corrected, because the aid's source is not known.

    Parameters
    ----------
    kind : CouplerKind
        Coupler of the RECD.
    frequency_hz : array (n,)
        Frequencies. [Hz]
    age_months : float or None
        Chooses the model ears; unknown takes those of all ages. [month]

    Returns
    -------
    array (n,)
        Standard uncertainty. [dB]

    References
    ----------
    Munro & Toal 2005: group-mean differences up to 6 dB re HA-1 and 11 dB re HA-2 (abstract read).
    """
    group = 3 if age_months is None else 0 if age_months < _INFANT_MONTHS else 1 if age_months < _ADULT_MONTHS else 2
    hz, spread = _table(kind, group)
    return np.interp(np.log(frequency_hz), np.log(hz), spread)


@lru_cache(maxsize=32)
def _table(kind: CouplerKind, group: int) -> tuple[FloatArray, FloatArray]:
    """Spread on twelfth-octaves, smoothed over a third of an octave: the places of resonances are not known better."""
    hz = Grid.twelfth_octave().frequency_hz
    coupler = acoustics.Coupler(kind.value).response(hz)
    own_tubes = kind in (CouplerKind.HA2, CouplerKind.HA4)
    insert = acoustics.insert_earphone(hz)
    hook = acoustics.hook_receiver(hz)
    mould = hook
    for length, radius in _MOULD:
        mould = mould.through(acoustics.cylinder(hz, length, radius, acoustics.COUPLER_AIR))
    in_canal, flow = acoustics.receiver(hz), acoustics.ideal_flow_source(hz)
    aids = ((flow, flow), (in_canal, in_canal), (mould, hook if own_tubes else mould))
    shifts = []
    for ear in _ears(hz, group):
        base = _recd_db(insert, ear) - _recd_db(insert, coupler)
        shifts += [_recd_db(to_ear, ear) - _recd_db(to_coupler, coupler) - base for to_ear, to_coupler in aids]
    square = np.mean(np.square(shifts), axis=0)
    return hz, np.sqrt(np.convolve(np.pad(square, 2, mode="edge"), np.full(5, 0.2), mode="valid"))


def _recd_db(source: acoustics.Source, load: acoustics.Terminated) -> FloatArray:
    """Level a source makes at the far end of a load (one side of Equation 1). Shape (n,). [dB]."""
    pressure = source.flow_into(load.input_impedance) * load.transfer_impedance
    return np.asarray(20 * np.log10(np.abs(pressure)))


def _ears(hz: FloatArray, group: int) -> list[acoustics.Terminated]:
    """Model ears of an age group: 0 infant, 1 child, 2 adult, 3 all."""
    air = acoustics.EAR_AIR
    kringlebotn = acoustics.drum_impedance_kringlebotn_1988(hz)
    hudde = acoustics.drum_impedance_hudde_engel_1998(hz)
    infant = acoustics.drum_impedance_infant_2022(hz)
    members = {
        0: [(_INFANT_CANAL, infant)],
        1: [(_CHILD_CANAL, kringlebotn), (_CHILD_CANAL, hudde)],
        2: [(_ADULT_CANAL, kringlebotn), (_ADULT_CANAL, hudde)],
    }
    chosen = members[group] if group in members else [member for group in members.values() for member in group]
    return [acoustics.cylinder(hz, *canal, air).terminate(drum) for canal, drum in chosen]
