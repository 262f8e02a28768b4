"""Paths from a source's drive to a pressure: into couplers, to probe tips, and to eardrums."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from umbo.acoustics import COUPLER_AIR, Coupler, Source
from umbo.core import CouplerKind, FloatArray
from umbo.sim._ears import Leak, VirtualEar
from umbo.sim._filtering import (
    BAND_RATIOS,
    TWELFTH_OCTAVE_HZ,
    ComplexArray,
    band_mean_power,
    bin_frequencies,
    design_frequencies,
    spread_to_bins,
)
from umbo.sim._sources import SourceName, source_at_outlet

__all__ = ["EarPaths", "Path", "coupler_path", "ear_paths"]

_DESIGN_HZ = design_frequencies()
_BAND_HZ = TWELFTH_OCTAVE_HZ[:, None] * BAND_RATIOS
_ALL_HZ = np.concatenate([_DESIGN_HZ, _BAND_HZ.reshape(-1)])
_REFERENCE_HZ = 1000.0


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """Pressure over drive, at the design frequencies and inside the twelfth-octave bands.

    A drive of 1 Pa makes 1 Pa in an HA-1 coupler at 1 kHz, whatever the source.

    Attributes
    ----------
    design : array (n,)
        At the design frequencies; spread from here to the bins of a transform. [Pa/Pa]
    bands : array (85, 9)
        Inside the bands; the truth is computed here, without a spline. [Pa/Pa]
    """

    design: ComplexArray
    bands: ComplexArray

    def at_bins(self, size: int, sampling_rate_hz: float) -> ComplexArray:
        """Response at the bins of a transform of ``size`` samples, shape (size // 2 + 1,)."""
        return _at_bins(self, size, sampling_rate_hz)

    def at(self, frequency_hz: FloatArray) -> ComplexArray:
        """Response at any frequencies up to the last design frequency, shape (n,)."""
        return spread_to_bins(_DESIGN_HZ, self.design, np.asarray(frequency_hz, dtype=np.float64))

    def filtered(self, response: Callable[[FloatArray], ComplexArray]) -> Path:
        """Give this path with a filter behind it, as a function of frequency."""
        return Path(design=self.design * response(_DESIGN_HZ), bands=self.bands * response(_BAND_HZ))

    def band_db(self) -> FloatArray:
        """Band-averaged power response on the twelfth-octave grid, shape (85,). [dB]"""
        return np.asarray(10.0 * np.log10(band_mean_power(np.abs(self.bands) ** 2)))


@lru_cache(maxsize=4)
def _at_bins(path: Path, size: int, sampling_rate_hz: float) -> ComplexArray:
    """Response at the bins of a transform; kept for the next take of that length."""
    response = spread_to_bins(_DESIGN_HZ, path.design, bin_frequencies(size, sampling_rate_hz))
    response.setflags(write=False)
    return response


@dataclass(frozen=True, slots=True, eq=False)
class EarPaths:
    """From the drive of one source to the two places in one ear.

    Attributes
    ----------
    to_probe, to_drum : Path
        To the probe tip and to the drum.
    """

    to_probe: Path
    to_drum: Path


@lru_cache(maxsize=64)
def coupler_path(source: SourceName, kind: CouplerKind, leak: Leak | None = None) -> Path:
    """Path from a source's drive to the coupler microphone.

    Parameters
    ----------
    source : {"ideal", "insert", "receiver", "receiver_small", "receiver_power"}
        Which source.
    kind : CouplerKind
        Which coupler.
    leak : Leak, optional
        A slit at the coupler's inlet.

    Returns
    -------
    Path
        The ear tip's tube is part of the path but for HA-2 and HA-4, which bring their own.
    """
    path = _source_scale(source) * _into_coupler(source, kind, leak)
    return _split(path)


@lru_cache(maxsize=8)
def ear_paths(source: SourceName, ear: VirtualEar) -> EarPaths:
    """Paths from a source's drive to the probe tip and the drum of an ear."""
    seen = ear.impedances(_ALL_HZ)
    flow = _source_scale(source) * _outlet_flow(source, True, seen.input)
    return EarPaths(to_probe=_split(flow * seen.to_probe), to_drum=_split(flow * seen.to_drum))


def _into_coupler(source: SourceName, kind: CouplerKind, leak: Leak | None) -> ComplexArray:
    load, transfer = _coupler_impedances(kind)
    if leak is not None:
        slit = leak.impedance(_ALL_HZ, COUPLER_AIR)
        transfer = transfer * slit / (load + slit)
        load = load * slit / (load + slit)
    brings_tube = kind in (CouplerKind.HA2, CouplerKind.HA4)
    return np.asarray(_outlet_flow(source, not brings_tube, load) * transfer)


@lru_cache(maxsize=8)
def _coupler_impedances(kind: CouplerKind) -> tuple[ComplexArray, ComplexArray]:
    chosen = Coupler(kind.value)
    return chosen.input_impedance(_ALL_HZ), chosen.transfer_impedance(_ALL_HZ)


def _outlet_flow(source: SourceName, with_tip: bool, load: ComplexArray) -> ComplexArray:
    """Flow out of the outlet into a load, for a drive of one (before scaling). [m³/(Pa s)]"""
    return _outlet(source, with_tip).flow_into(load)


@lru_cache(maxsize=16)
def _outlet(source: SourceName, with_tip: bool) -> Source:
    return source_at_outlet(source, _ALL_HZ, with_tip=with_tip)


@lru_cache(maxsize=16)
def _source_scale(source: SourceName) -> float:
    """Factor that brings an HA-1 coupler to 1 Pa for a drive of 1 Pa at 1 kHz."""
    reference = int(np.flatnonzero(_DESIGN_HZ == _REFERENCE_HZ)[0])
    return float(1.0 / np.abs(_into_coupler(source, CouplerKind.HA1, None)[reference]))


def _split(path: ComplexArray) -> Path:
    return Path(design=path[: _DESIGN_HZ.size], bands=path[_DESIGN_HZ.size :].reshape(_BAND_HZ.shape))
