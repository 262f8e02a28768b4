"""The model of a measurement: what coupler and probe read, and what is at the drum."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics import (
    COUPLER_AIR,
    EAR_AIR,
    Air,
    Coupler,
    drum_impedance_hudde_engel_1998,
    drum_impedance_infant_2022,
    drum_impedance_kringlebotn_1988,
    leak_impedance,
    line_constants,
    volume_impedance,
)
from umbo.core import CouplerKind
from umbo.diagnosis._canal_line import ComplexArray, carried_outwards
from umbo.diagnosis._parameters import Parameter
from umbo.diagnosis._sound_source import Outlet, SourceOnGrid

if TYPE_CHECKING:
    from umbo.core import FloatArray
    from umbo.diagnosis._sound_source import SourceModel

__all__ = ["Predicted", "Setting"]

#: Slit past a tip or a coupler's seal: width along the rim and length to the outside (assumed). Only its height is
#: estimated: width and length act almost like it. [m]
_SLIT_M = (3e-3, 10e-3)

#: Way through a hole in the drum, and the cavity behind it with its mastoid cells (assumed). [m], [m³]
_HOLE_LENGTH_M, _CAVITY_M3 = 1.5e-3, 5e-6

#: The narrow end of a canal at the oblique drum: share of the canal's length beyond the tip (assumed from six scanned
#: canals, where it is 5 to 8 of about 15 mm). [1]
_NARROW_SHARE = 0.4

#: Probe tube and the space before its microphone: radius and volume (assumed). [m], [m³]
_PROBE_TUBE_RADIUS_M, _PROBE_VOLUME_M3 = 0.5e-3, 30e-9

#: Rows worked out at a time: their arrays stay in the processor's cache. [1]
_BLOCK = 96

#: Kinds that bring their own tube instead of the tip's.
_TUBED = (CouplerKind.HA2, CouplerKind.HA4)


@dataclass(frozen=True, slots=True, eq=False)
class Predicted:
    """What a measurement would read, up to the source's gain; arrays (rows, n).

    Parameters
    ----------
    coupler_db, ear_db, drum_db : array (rows, n)
        Level in the coupler, as the probe microphone reads it, and at the drum, re one unit of the source. [dB]
    """

    coupler_db: FloatArray
    ear_db: FloatArray
    drum_db: FloatArray


class Setting:
    """Frequencies, source and couplers of a measurement: all of the model that no hypothesis changes.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies. [Hz]
    source : KnownSource or SourceClass
        The source.
    kinds : tuple of CouplerKind
        Couplers that may have been used; a prediction names one by its place.
    """

    def __init__(self, frequency_hz: FloatArray, source: SourceModel, kinds: tuple[CouplerKind, ...]) -> None:
        self.frequency_hz = frequency_hz
        self.kinds = kinds
        self.source = SourceOnGrid(source, frequency_hz)
        self._hudde = 1 / drum_impedance_hudde_engel_1998(frequency_hz)
        self._kringlebotn = 1 / drum_impedance_kringlebotn_1988(frequency_hz)
        self._infant = 1 / drum_impedance_infant_2022(frequency_hz)
        self._responses = [Coupler(kind.value).response(frequency_hz) for kind in kinds]
        self._bore = self.source.bore
        self._probe_tube = line_constants(frequency_hz, _PROBE_TUBE_RADIUS_M, COUPLER_AIR)
        self._probe_load = 1 / volume_impedance(frequency_hz, _PROBE_VOLUME_M3, COUPLER_AIR)

    def predict(self, values: FloatArray, kind_index: FloatArray) -> Predicted:
        """Work the model out.

        Parameters
        ----------
        values : array (rows, parameters)
            Parameter sets in the order of :class:`Parameter`.
        kind_index : array (rows,), int
            Which of the couplers was used. [1]

        Returns
        -------
        Predicted
            Levels; the drift of the source is in those of the ear.
        """
        shape = (len(values), self.frequency_hz.size)
        coupler, ear, drum = np.empty(shape), np.empty(shape), np.empty(shape)
        for first in range(0, len(values), _BLOCK):
            block = slice(first, first + _BLOCK)
            part, kinds = values[block], kind_index[block]
            outlet = self.source.outlet(part, with_tip=True)
            for index in np.unique(kinds):
                rows = np.flatnonzero(kinds == index)
                coupler[first + rows] = self._coupler_db(part[rows], int(index), outlet.of(rows))
            ear[block], drum[block] = self._ear_db(part, outlet)
        return Predicted(coupler, ear, drum)

    def _coupler_db(self, values: FloatArray, index: int, tipped: Outlet) -> FloatArray:
        """Level in one coupler; shape (n,) where no row differs from another."""
        response = self._responses[index]
        admittance = 1 / response.input_impedance
        leaking = values[:, Parameter.COUPLER_LEAK_HEIGHT_M] > 0
        if leaking.any():
            admittance = np.broadcast_to(admittance, (len(values), admittance.size)).copy()
            height = values[leaking, Parameter.COUPLER_LEAK_HEIGHT_M]
            admittance[leaking] += _slit(self.frequency_hz, height, COUPLER_AIR)
        outlet = self.source.outlet(values, with_tip=False) if self.kinds[index] in _TUBED else tipped
        inlet = outlet.gamma / (outlet.alpha + outlet.beta * admittance)
        return _db(inlet * response.pressure_ratio)

    def _ear_db(self, values: FloatArray, outlet: Outlet) -> tuple[FloatArray, FloatArray]:
        """Levels read by the probe microphone and at the drum, for a pressure of one at the drum and up."""
        at_probe, pressure, flow = self._up_the_canal(values)
        leaking = values[:, Parameter.LEAK_HEIGHT_M] > 0
        if leaking.any():
            height = values[leaking, Parameter.LEAK_HEIGHT_M]
            flow[leaking] += pressure[leaking] * _slit(self.frequency_hz, height, EAR_AIR)
        in_bore = values[:, Parameter.BORE_DEPTH_M] > 0
        if in_bore.any():
            at_probe = at_probe.copy()
            at_probe[in_bore] = self._in_bore(values[in_bore], pressure[in_bore], flow[in_bore])
        scale = outlet.gamma / (outlet.alpha * pressure + outlet.beta * flow)  # pressure at the drum
        drift = values[:, Parameter.DRIFT_DB, np.newaxis]
        return _db(scale * self._read(values, at_probe)) + drift, _db(scale) + drift

    def _up_the_canal(self, values: FloatArray) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
        """Pressure at the probe tip, and pressure and flow at the face of the tip, for a pressure of one at the drum.

        The radius runs straight from the drum to the end of the narrow part, and from there to the tip.
        """
        length, wall = values[:, Parameter.CANAL_LENGTH_M], values[:, Parameter.WALL_MODULUS_PA]
        narrow = _NARROW_SHARE * length
        probe = _within(values[:, Parameter.PROBE_TO_DRUM_M], length)
        edges = (np.zeros_like(length), np.minimum(narrow, probe), np.maximum(narrow, probe), length)
        radii = [self._radius(values, edge, narrow) for edge in edges]
        flow = self._drum(values)
        state = (np.ones_like(flow), flow)
        passed = []
        for i in range(3):
            ends = (radii[i + 1], radii[i])
            state = carried_outwards(self.frequency_hz, state, edges[i + 1] - edges[i], ends, wall)
            passed.append(state[0])
        nearer = (probe < narrow)[:, np.newaxis]
        return np.where(nearer, passed[0], passed[1]), *state

    @staticmethod
    def _radius(values: FloatArray, at_m: FloatArray, narrow_m: FloatArray) -> FloatArray:
        """Radius at a distance from the drum. [m]"""
        length = values[:, Parameter.CANAL_LENGTH_M]
        inside = 1 + (values[:, Parameter.DRUM_RADIUS_RATIO] - 1) * np.maximum(1 - at_m / narrow_m, 0)
        outside = (values[:, Parameter.TIP_RADIUS_RATIO] - 1) * np.maximum(at_m - narrow_m, 0) / (length - narrow_m)
        return np.asarray(values[:, Parameter.CANAL_RADIUS_M] * (inside + outside))

    def _drum(self, values: FloatArray) -> ComplexArray:
        """Admittance of drum and middle ear."""
        mix, share = values[:, Parameter.DRUM_MIX, np.newaxis], values[:, Parameter.INFANT_SHARE, np.newaxis]
        adult = (1 - mix) * self._hudde + mix * self._kringlebotn
        drum = ((1 - share) * adult + share * self._infant) * 10 ** (
            -values[:, Parameter.DRUM_SCALE_DB, np.newaxis] / 20
        )
        wet = np.isfinite(values[:, Parameter.EFFUSION_M3])
        if wet.any():
            stiff = volume_impedance(self.frequency_hz, values[wet, Parameter.EFFUSION_M3], EAR_AIR)
            drum[wet] = drum[wet] / (1 + drum[wet] * stiff)
        holed = values[:, Parameter.HOLE_RADIUS_M] > 0
        if holed.any():
            drum[holed] += _hole(self.frequency_hz, values[holed, Parameter.HOLE_RADIUS_M])
        return np.asarray(drum)

    def _in_bore(self, values: FloatArray, pressure: ComplexArray, flow: ComplexArray) -> ComplexArray:
        """Pressure inside the bore, at a depth behind its outlet."""
        along = self._bore.propagation * values[:, Parameter.BORE_DEPTH_M, np.newaxis]
        return np.asarray(pressure * np.cosh(along) + self._bore.characteristic_impedance * np.sinh(along) * flow)

    def _read(self, values: FloatArray, at_probe: ComplexArray) -> ComplexArray:
        """What the probe microphone makes of the pressure at its tip: a blocked tube, a tube never calibrated."""
        read = at_probe * 10 ** (-values[:, Parameter.ATTENUATION_DB, np.newaxis] / 20)
        blocked = np.isfinite(values[:, Parameter.CORNER_HZ])
        if blocked.any():
            read[blocked] /= 1 + 1j * self.frequency_hz / values[blocked, Parameter.CORNER_HZ, np.newaxis]
        raw = values[:, Parameter.PROBE_TUBE_LENGTH_M] > 0
        if raw.any():
            along = self._probe_tube.propagation * values[raw, Parameter.PROBE_TUBE_LENGTH_M, np.newaxis]
            loaded = self._probe_tube.characteristic_impedance * self._probe_load
            read[raw] /= np.cosh(along) + loaded * np.sinh(along)
        return read


def _slit(frequency_hz: FloatArray, height_m: FloatArray, air: Air) -> ComplexArray:
    width, length = _SLIT_M
    return np.asarray(1 / leak_impedance(frequency_hz, length, width, height_m, air))


def _hole(frequency_hz: FloatArray, radius_m: FloatArray) -> ComplexArray:
    """Admittance of a hole in the drum with the cavity behind it; the hole as a plug of air with first-order loss."""
    radius = radius_m[:, np.newaxis]
    omega = 2 * np.pi * frequency_hz
    ends = 1.7 * radius  # two flanged ends, 8 r / 3 pi each (Rayleigh, from memory)
    layer = np.sqrt(EAR_AIR.viscosity_pa_s / (omega * EAR_AIR.density_kg_m3))
    plug = 1j * omega * EAR_AIR.density_kg_m3 * (_HOLE_LENGTH_M + ends) / (np.pi * radius**2)
    lossy = plug * (1 + np.sqrt(2) * (1 - 1j) * layer / radius)
    return np.asarray(1 / (lossy + volume_impedance(frequency_hz, _CAVITY_M3, EAR_AIR)))


def _within(distance_m: FloatArray, length_m: FloatArray) -> FloatArray:
    """A distance as it is where it is short against the canal, and never beyond its end. [m]"""
    return np.asarray(distance_m / (1 + (distance_m / length_m) ** 8) ** 0.125)


def _db(pressure: ComplexArray) -> FloatArray:
    return np.asarray(10 * np.log10(pressure.real**2 + pressure.imag**2))
