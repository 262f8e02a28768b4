"""One ear, two couplers, side by side: what practitioners teach with."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Literal

from pydantic import Field

from umbo.core import CouplerKind
from umbo.ear import VOLUME_RATIO_DB
from umbo.record._base import Part
from umbo.record._curves import StateWord
from umbo.record._plain import rounded, state_words
from umbo.session import MeasuredRecd

__all__ = ["CouplerComparison", "CouplerSide", "coupler_comparisons"]

_ORDER = tuple(CouplerKind)

CouplerWord = Literal["ha1", "ha2", "ha4", "cc04", "oes"]


class CouplerSide(Part):
    """One coupler's half of a comparison."""

    coupler: CouplerWord
    coupler_curve_db: list[float] = Field(description="Reading in the coupler. [dB SPL]")
    coupler_noise_db: list[float] | None = Field(description="Noise in the same bands; null where not known. [dB SPL]")
    recd_db: list[float] = Field(description="Eardrum less coupler. [dB]")
    u_db: list[float] = Field(description="Standard uncertainty of the RECD, k = 1. [dB]")
    state: list[StateWord]
    trusted_max_hz: float
    trusted_limit: str


class CouplerComparison(Part):
    """The same insertions of one ear against two couplers: one ear curve, two coupler curves, two RECDs."""

    source: Literal["insert", "aid"]
    frequency_hz: list[float]
    ear_curve_db: list[float] = Field(description="Reading in the ear: the same for both. [dB SPL]")
    ear_noise_db: list[float] | None
    first: CouplerSide
    second: CouplerSide
    second_minus_first_db: list[float] = Field(description="Coupler reading of the second less the first. [dB]")
    expected_difference_db: float | None = Field(
        description="20 lg of the volume ratio, for an ideal source below about 4 kHz; null for one volume. [dB]"
    )


def coupler_comparisons(recds: Sequence[MeasuredRecd]) -> list[CouplerComparison]:
    """Every pair of couplers that share their ear readings.

    Parameters
    ----------
    recds : sequence of MeasuredRecd
        RECDs of one ear.
    """
    pairs = combinations(sorted(recds, key=lambda recd: _ORDER.index(recd.kind)), 2)
    return [_comparison(one, other) for one, other in pairs if one.ear_readings == other.ear_readings]


def _comparison(one: MeasuredRecd, other: MeasuredRecd) -> CouplerComparison:
    small = {one.kind.is_2cc, other.kind.is_2cc} == {True, False} and "cc04" in (one.kind, other.kind)
    return CouplerComparison(
        source=one.source.value,
        frequency_hz=rounded(one.curve.frequency_hz, 9),
        ear_curve_db=rounded(one.ear_level.level_db),
        ear_noise_db=None if one.ear_noise_db is None else rounded(one.ear_noise_db),
        first=_side(one),
        second=_side(other),
        second_minus_first_db=rounded(other.coupler_level.level_db - one.coupler_level.level_db),
        expected_difference_db=round(VOLUME_RATIO_DB, 4) if small else None,
    )


def _side(recd: MeasuredRecd) -> CouplerSide:
    return CouplerSide(
        coupler=recd.kind.value,
        coupler_curve_db=rounded(recd.coupler_level.level_db),
        coupler_noise_db=None if recd.coupler_noise_db is None else rounded(recd.coupler_noise_db),
        recd_db=rounded(recd.curve.level_db),
        u_db=rounded(recd.curve.u_db),
        state=state_words(recd.curve),
        trusted_max_hz=round(recd.trust.max_hz, 1),
        trusted_limit=recd.trust.lowest.rule,
    )
