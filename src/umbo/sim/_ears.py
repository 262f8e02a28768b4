"""Virtual ears: a residual canal from the sound outlet to the drum, with a probe tip somewhere on the way."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from umbo.acoustics import (
    INFANT_WALL,
    Air,
    TwoPort,
    cone,
    cylinder,
    drum_impedance_hudde_engel_1998,
    drum_impedance_infant_2022,
    drum_impedance_kringlebotn_1988,
    leak_impedance,
    volume_impedance,
)
from umbo.core import FloatArray
from umbo.errors import OutOfRangeError
from umbo.sim._filtering import ComplexArray

__all__ = ["EarImpedances", "Leak", "MiddleEar", "VirtualEar"]

MiddleEar = Literal["normal", "effusion", "tube", "perforation"]
DrumModel = Literal["hudde_engel_1998", "kringlebotn_1988"]

_EAR_C = 34.0
_SEGMENTS = 8

# Behind a hole in the drum: cavity volume, and radius and length of the hole. Assumed: a grommet's bore and a small
# perforation; 5 cm³ stands for the tympanic cavity with its mastoid cells.
_CAVITY_M3 = 5e-6
_HOLES_M = {"tube": (0.6e-3, 2.5e-3), "perforation": (1.0e-3, 0.2e-3)}

# Effusion as a stiffness in series with the drum, as a volume. Assumed: the low-frequency rise of an adult's response
# comes to about 3 dB; Martin et al. 1996 (Br J Audiol 30:71, abstract) report up to 3.5 dB.
_EFFUSION_M3 = 0.5e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Leak:
    """A slit past the ear tip or the seal of a coupler.

    Attributes
    ----------
    height_m, width_m, length_m : float
        Gap, extent along the rim, and way to the outside; width and length assumed. [m]
    """

    height_m: float
    width_m: float = 3e-3
    length_m: float = 10e-3

    def impedance(self, frequency_hz: FloatArray, air: Air) -> ComplexArray:
        """Impedance of the slit to the outside. [Pa s/m³]"""
        return leak_impedance(frequency_hz, self.length_m, self.width_m, self.height_m, air)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EarImpedances:
    """What the outlet of the source sees; arrays (n,).

    Attributes
    ----------
    input : array
        Pressure over flow at the outlet. [Pa s/m³]
    to_probe, to_drum : array
        Pressure at the probe tip and at the drum, over flow at the outlet. [Pa s/m³]
    """

    input: ComplexArray
    to_probe: ComplexArray
    to_drum: ComplexArray


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualEar:
    """One ear with an ear tip in it.

    Attributes
    ----------
    age_months : float
        Age; it says which ear this is meant to be and changes nothing by itself. [months]
    length_m : float
        Canal left between the outlet and the drum. [m]
    radius_m : tuple of float
        Radius at the outlet, half way and at the drum, joined by a parabola. [m]
    drum : {"hudde_engel_1998", "kringlebotn_1988"}
        Adult drum model.
    infant_share : float
        Share of the infant drum's admittance; the rest is the adult's. 0 to 1 [1]
    drum_scale : float
        Factor on the drum's impedance. [1]
    wall_modulus_pa : float or None
        Young's modulus of a soft canal wall; none for a rigid wall. [Pa]
    probe_to_drum_m : float
        Distance from the probe tip to the drum, less than the length. [m]
    leak : Leak or None
        Slit past the ear tip.
    middle_ear : {"normal", "effusion", "tube", "perforation"}
        State of the middle ear.

    Raises
    ------
    OutOfRangeError
        If the probe would lie outside the canal, or a size is not above zero.
    """

    age_months: float
    length_m: float
    radius_m: tuple[float, float, float]
    drum: DrumModel = "hudde_engel_1998"
    infant_share: float = 0.0
    drum_scale: float = 1.0
    wall_modulus_pa: float | None = None
    probe_to_drum_m: float = 0.0
    leak: Leak | None = None
    middle_ear: MiddleEar = "normal"

    def __post_init__(self) -> None:
        if not (0.0 <= self.probe_to_drum_m <= self.length_m and min(self.radius_m) > 0.0):
            raise OutOfRangeError(
                f"put a probe tip {1e3 * self.probe_to_drum_m:g} mm from the drum",
                f"the canal left is {1e3 * self.length_m:g} mm long",
                "choose a distance between 0 and that length, and radii above zero",
            )

    def with_probe(self, distance_m: float) -> VirtualEar:
        """The same ear with the probe tip at another distance from the drum. [m]"""
        return replace(self, probe_to_drum_m=distance_m)

    def radius_at(self, position_m: FloatArray) -> FloatArray:
        """Radius at a distance from the outlet. [m]"""
        outlet, middle, drum = self.radius_m
        s = np.asarray(position_m) / self.length_m
        parabola = outlet * (1 - s) * (1 - 2 * s) + middle * 4 * s * (1 - s) + drum * s * (2 * s - 1)
        return np.asarray(parabola)

    def drum_impedance(self, frequency_hz: FloatArray) -> ComplexArray:
        """Impedance of drum and middle ear. [Pa s/m³]"""
        air = Air(_EAR_C)
        if self.drum == "hudde_engel_1998":
            adult = drum_impedance_hudde_engel_1998(frequency_hz)
        else:
            adult = drum_impedance_kringlebotn_1988(frequency_hz)
        drum = self.drum_scale * adult
        if self.infant_share > 0.0:
            infant = self.drum_scale * drum_impedance_infant_2022(frequency_hz)
            drum = 1.0 / (self.infant_share / infant + (1.0 - self.infant_share) / drum)
        if self.middle_ear == "effusion":
            drum = drum + volume_impedance(frequency_hz, _EFFUSION_M3, air)
        if self.middle_ear in _HOLES_M:
            radius_m, length_m = _HOLES_M[self.middle_ear]
            ends_m = 1.7 * radius_m  # two flanged ends, 0.85 r each
            hole = cylinder(frequency_hz, length_m + ends_m, radius_m, air)
            beside = hole.input_impedance(volume_impedance(frequency_hz, _CAVITY_M3, air))
            drum = drum * beside / (drum + beside)
        return np.asarray(drum)

    def impedances(self, frequency_hz: FloatArray) -> EarImpedances:
        """Input and transfer impedances seen from the outlet.

        Parameters
        ----------
        frequency_hz : array (n,)
            Frequencies above zero. [Hz]

        Returns
        -------
        EarImpedances
            Including the leak, which takes part of the flow at the outlet.
        """
        air = Air(_EAR_C)
        drum = self.drum_impedance(frequency_hz)
        probe_at_m = self.length_m - self.probe_to_drum_m
        load, to_drum, to_probe = drum, np.ones_like(drum), np.ones_like(drum)
        edges_m = np.unique(np.append(np.linspace(0.0, self.length_m, _SEGMENTS + 1), probe_at_m))
        for start_m, end_m in zip(edges_m[-2::-1], edges_m[:0:-1], strict=True):
            if end_m - start_m < 1e-9:
                continue
            ends = self.radius_at(np.array([start_m, end_m]))
            ended = self._piece(frequency_hz, end_m - start_m, ends, air).terminate(load)
            to_drum = to_drum * ended.pressure_ratio
            if end_m <= probe_at_m + 1e-9:
                to_probe = to_probe * ended.pressure_ratio
            load = ended.input_impedance
        if self.leak is not None:
            slit = self.leak.impedance(frequency_hz, air)
            load = load * slit / (load + slit)
        return EarImpedances(input=load, to_probe=load * to_probe, to_drum=load * to_drum)

    def _piece(self, frequency_hz: FloatArray, length_m: float, radius_m: FloatArray, air: Air) -> TwoPort:
        """A conical piece of the canal, soft-walled where the ear is."""
        wall = None
        if self.wall_modulus_pa is not None:
            wall = replace(INFANT_WALL, young_modulus_pa=self.wall_modulus_pa)
        return cone(frequency_hz, length_m, radius_m[0], radius_m[1], air, wall)
