"""Sound sources of the bench: an ideal one, an insert earphone, and the receivers of hearing aids."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from umbo.acoustics import COUPLER_AIR, Air, Source, Transducer, cylinder, ideal_flow_source
from umbo.core import FloatArray
from umbo.errors import InputError

__all__ = ["SOURCES", "SourceName", "TubedSource", "source_at_outlet"]

_IDEAL_CORNER_HZ = 40.0

SourceName = Literal["ideal", "insert", "receiver", "receiver_small", "receiver_power"]


def _transducer(
    resistance_pa_s_m3: float,
    inertance_kg_m4: float,
    diaphragm_volume_m3: float,
    front_volume_m3: float,
    damper_pa_s_m3: float,
) -> Transducer:
    return Transducer(
        drive_pa=1.0,
        resistance_pa_s_m3=resistance_pa_s_m3,
        inertance_kg_m4=inertance_kg_m4,
        diaphragm_volume_m3=diaphragm_volume_m3,
        front_volume_m3=front_volume_m3,
        damper_pa_s_m3=damper_pa_s_m3,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class TubedSource:
    """A transducer and its tubes.

    Attributes
    ----------
    transducer : Transducer
        What drives them.
    tubes_m : tuple of (length, radius)
        Tubes from the transducer to the ear tip. [m]
    tip_m : (length, radius)
        Tube of the ear tip, left out where a coupler brings its own (HA-2, HA-4). [m]
    """

    transducer: Transducer
    tubes_m: tuple[tuple[float, float], ...]
    tip_m: tuple[float, float]

    def at_outlet(self, frequency_hz: FloatArray, *, with_tip: bool = True, air: Air = COUPLER_AIR) -> Source:
        """Give the source as a load at the end of its tubes sees it, for a drive of one."""
        source = self.transducer.source(frequency_hz, air)
        for length_m, radius_m in (*self.tubes_m, *((self.tip_m,) if with_tip else ())):
            source = source.through(cylinder(frequency_hz, length_m, radius_m, air))
        return source


#: Every source but the ideal one. All values assumed, and the bench's own: 250 mm of tube, its last 25 mm in the
#: tip, for the insert earphone; ear hook, tube and mould bore for the aids; a short bore for a small receiver.
SOURCES: dict[SourceName, TubedSource] = {
    "insert": TubedSource(
        transducer=_transducer(2.2e7, 2.2e3, 0.038e-6, 0.040e-6, 1.7e8),
        tubes_m=((0.225, 0.965e-3),),
        tip_m=(0.025, 0.965e-3),
    ),
    "receiver": TubedSource(
        transducer=_transducer(8e7, 4e3, 0.065e-6, 0.014e-6, 2e8),
        tubes_m=((0.030, 0.965e-3), (0.025, 0.965e-3)),
        tip_m=(0.018, 0.965e-3),
    ),
    "receiver_small": TubedSource(
        transducer=_transducer(2e8, 2.5e4, 0.014e-6, 0.016e-6, 2.8e8),
        tubes_m=((0.006, 0.5e-3),),
        tip_m=(0.006, 0.8e-3),
    ),
    "receiver_power": TubedSource(
        transducer=_transducer(2e7, 3.5e3, 0.12e-6, 0.03e-6, 4e7),
        tubes_m=((0.030, 0.965e-3), (0.025, 0.965e-3)),
        tip_m=(0.018, 0.965e-3),
    ),
}


def source_at_outlet(name: SourceName, frequency_hz: FloatArray, *, with_tip: bool = True) -> Source:
    """Give a source of the bench at its outlet.

    Parameters
    ----------
    name : {"ideal", "insert", "receiver", "receiver_small", "receiver_power"}
        Which source; "ideal" is a volume velocity that no load changes, without the lowest frequencies (second
        order, 40 Hz), which would ring on in a closed volume for seconds.
    frequency_hz : array (n,)
        Frequencies. [Hz]
    with_tip : bool
        Whether the tube of the ear tip belongs to the path.

    Returns
    -------
    Source
        On these frequencies, for a drive of one; its scale is arbitrary.

    Raises
    ------
    InputError
        For a source that is not there.
    """
    if name == "ideal":
        s = 1j * np.asarray(frequency_hz) / _IDEAL_CORNER_HZ
        return ideal_flow_source(frequency_hz, s**2 / (s**2 + np.sqrt(2.0) * s + 1.0))
    if name not in SOURCES:
        raise InputError(
            f"play through the source '{name}'",
            f"the bench has {', '.join(['ideal', *SOURCES])}",
            "choose one of these",
        )
    return SOURCES[name].at_outlet(frequency_hz, with_tip=with_tip)
