"""The sound source of a measurement: known, or of a known class with unknown tube and receiver."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from umbo.acoustics import (
    COUPLER_AIR,
    HOOK_RECEIVER_TRANSDUCER,
    INSERT_TRANSDUCER,
    RECEIVER_TRANSDUCER,
    LineConstants,
    Source,
    Transducer,
    line_constants,
)
from umbo.core import FloatArray
from umbo.diagnosis._canal_line import ComplexArray
from umbo.diagnosis._parameters import Parameter
from umbo.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["KnownSource", "SourceClass", "SourceModel", "source_class"]


@dataclass(frozen=True, slots=True, eq=False)
class KnownSource:
    """A source whose impedance is known.

    Parameters
    ----------
    name : str
        What it is called.
    at_outlet : callable
        Gives the source at the face of its tip or mould on frequencies (n,) [Hz], as `umbo.acoustics.Source`.
    at_adaptor : callable
        The same where a coupler's own tube replaces that of the tip (HA-2, HA-4). Frequencies (n,) [Hz].
    """

    name: str
    at_outlet: Callable[[FloatArray], Source]
    at_adaptor: Callable[[FloatArray], Source]

    @property
    def free(self) -> tuple[Parameter, ...]:
        """Parameters of the source that a fit may move: none."""
        return ()


@dataclass(frozen=True, slots=True)
class SourceClass:
    """A kind of source whose tube length, receiver volume and damping scatter around nominal values.

    Parameters
    ----------
    name : str
        "insert", "receiver" (in the canal) or "hook" (behind the ear, with tube and mould).
    transducer : Transducer
        Nominal transducer.
    tubes_m : tuple of (length, radius)
        Nominal tubes up to the tip or mould. [m]
    tip_m : tuple of (length, radius)
        Nominal tubes of tip or mould, which a coupler with its own tube replaces. [m]
    """

    name: str
    transducer: Transducer
    tubes_m: tuple[tuple[float, float], ...]
    tip_m: tuple[tuple[float, float], ...]

    @property
    def free(self) -> tuple[Parameter, ...]:
        """Parameters of the source that a fit may move."""
        return (
            Parameter.TUBE_LENGTH_RATIO,
            Parameter.FRONT_VOLUME_RATIO,
            Parameter.DAMPER_RATIO,
            Parameter.RECEIVER_VOLUME_RATIO,
        )


SourceModel = KnownSource | SourceClass

#: Tube lengths and radii as in `umbo.acoustics` (insert 250 mm x 1.93 mm from memory, the rest assumed), the last 25 mm
#: of the insert earphone's tube in its tip; a mould after the hook as in the HA-2 coupler (from memory). [m]
_CLASSES = {
    "insert": SourceClass("insert", INSERT_TRANSDUCER, ((225e-3, 0.965e-3),), ((25e-3, 0.965e-3),)),
    "receiver": SourceClass("receiver", RECEIVER_TRANSDUCER, ((6e-3, 0.5e-3),), ((4e-3, 0.5e-3),)),
    "hook": SourceClass("hook", HOOK_RECEIVER_TRANSDUCER, ((30e-3, 0.965e-3),), ((25e-3, 0.965e-3), (18e-3, 1.5e-3))),
}


def source_class(name: str) -> SourceClass:
    """Look up a class of sources by its name: insert, receiver or hook."""
    if name not in _CLASSES:
        raise InputError(
            f"diagnose a measurement with the source '{name}'",
            f"the classes known are {', '.join(_CLASSES)}",
            "choose one of these, or give the source itself",
        )
    return _CLASSES[name]


@dataclass(frozen=True, slots=True, eq=False)
class Outlet:
    """Every load sees αp + βU = γ; arrays (rows, n) or (n,)."""

    alpha: ComplexArray
    beta: ComplexArray
    gamma: ComplexArray

    def of(self, rows: NDArray[np.intp]) -> Outlet:
        """The same for some rows; a source without rows is the same for all."""
        if self.alpha.ndim == 1:
            return self
        return Outlet(self.alpha[rows], self.beta[rows], self.gamma)


class SourceOnGrid:
    """A source model worked out on one set of frequencies.

    Parameters
    ----------
    model : KnownSource or SourceClass
        The source.
    frequency_hz : array (n,)
        Frequencies. [Hz]
    """

    def __init__(self, model: SourceModel, frequency_hz: FloatArray) -> None:
        self.model = model
        self.frequency_hz = frequency_hz
        if isinstance(model, KnownSource):
            self._known = {True: _outlet(model.at_outlet(frequency_hz)), False: _outlet(model.at_adaptor(frequency_hz))}
            return
        omega = 2 * np.pi * frequency_hz
        transducer = model.transducer
        compliance = transducer.diaphragm_volume_m3 / COUPLER_AIR.bulk_modulus_pa
        self._moving = transducer.resistance_pa_s_m3 + 1j * omega * transducer.inertance_kg_m4
        self._stiff = 1 / (1j * omega * compliance)
        self._front = 1j * omega * transducer.front_volume_m3 / COUPLER_AIR.bulk_modulus_pa
        radii = {radius for _, radius in (*model.tubes_m, *model.tip_m)}
        self._lines = {radius: line_constants(frequency_hz, radius, COUPLER_AIR) for radius in radii}

    @property
    def bore(self) -> LineConstants:
        """Line constants of the last tube before the canal; of a 1.93 mm tube (from memory) for a known source."""
        radius = 0.965e-3 if isinstance(self.model, KnownSource) else self.model.tip_m[-1][1]
        return line_constants(self.frequency_hz, radius, COUPLER_AIR)

    def outlet(self, values: FloatArray, *, with_tip: bool) -> Outlet:
        """The source at its outlet for parameter sets of shape (rows, parameters)."""
        if isinstance(self.model, KnownSource):
            return self._known[with_tip]
        front = self._front * values[:, Parameter.FRONT_VOLUME_RATIO, np.newaxis]
        damper = self.model.transducer.damper_pa_s_m3 * values[:, Parameter.DAMPER_RATIO, np.newaxis]
        inner = self._moving + self._stiff / values[:, Parameter.RECEIVER_VOLUME_RATIO, np.newaxis]
        alpha = 1 + inner * front
        beta = inner + alpha * damper
        longer = values[:, Parameter.TUBE_LENGTH_RATIO, np.newaxis]
        for length, radius in _joined((*self.model.tubes_m, *(self.model.tip_m if with_tip else ()))):
            line = self._lines[radius]
            grow = np.exp(line.propagation * (length * longer))
            cosh, sinh = 0.5 * (grow + 1 / grow), 0.5 * (grow - 1 / grow)
            impedance = line.characteristic_impedance
            alpha, beta = alpha * cosh + beta * sinh / impedance, alpha * impedance * sinh + beta * cosh
        return Outlet(alpha, beta, np.full(self.frequency_hz.size, self.model.transducer.drive_pa, np.complex128))


def _joined(tubes_m: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    """Tubes (length, radius) with neighbours of one radius taken as one. [m]"""
    out: list[tuple[float, float]] = []
    for length, radius in tubes_m:
        if out and out[-1][1] == radius:
            out[-1] = (out[-1][0] + length, radius)
        else:
            out.append((length, radius))
    return out


def _outlet(source: Source) -> Outlet:
    return Outlet(source.alpha, source.beta, source.gamma)
