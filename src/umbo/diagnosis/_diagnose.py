"""From measurements to diagnoses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from umbo.core import Component, FloatArray, Plane, Tags, Transfer, lies_within
from umbo.diagnosis._deciding import Deciding, deciding_measurement
from umbo.diagnosis._diagnosis import SURE, Diagnosis, Explanation
from umbo.diagnosis._drum_level import Carried, blended, carried
from umbo.diagnosis._engine import Engine, Found, engine
from umbo.diagnosis._error_model import KNOTS_HZ, ErrorModel
from umbo.diagnosis._estimates import estimates_of
from umbo.diagnosis._fit_grid import FIT_HZ
from umbo.diagnosis._forward import Predicted
from umbo.diagnosis._measurement import Measurement, Readings
from umbo.diagnosis._posterior import NEGLIGIBLE, explained, normalised
from umbo.diagnosis._sound_source import KnownSource, SourceModel, source_class

__all__ = ["diagnose", "diagnose_many"]

#: Classes tried for a source of which nothing is known.
_ALL_CLASSES = ("insert", "receiver", "hook")

#: Measurements fitted at a time: their Jacobians stay small. [1]
_BATCH = 8

#: Error of a known source's spectrum, and of that of a class beyond what its parameters explain (assumed). [dB]
_KNOWN_SOURCE_DB, _CLASS_SOURCE_DB = 0.3, 1.0

#: Exponent on the evidence for a source known only by its class: its true impedance lies outside the class's parameters
#: and makes the evidence surer than it should be (chosen on 117 simulated ears, tested on others). [1]
_CLASS_TEMPER = 0.7

#: Ages whose priors are worked out, the last for every age from seven years. [month]
_MODEL_AGES = (1.0, 2.0, 3.0, 4.5, 6.5, 9.0, 13.0, 18.0, 26.0, 37.0, 55.0, 84.0)

#: Most explanations whose curves are kept. [1]
_KEPT = 4

#: Difference step of the slopes of the levels, in scaled parameters. [1]
_MOVED = 0.02


@dataclass(frozen=True, slots=True, eq=False)
class _Fit:
    """One explanation fitted to one measurement."""

    engine: Engine
    hypothesis: int
    probability: float
    z: FloatArray
    covariance: FloatArray
    gain_db: float

    def predicted(self, z: FloatArray) -> Predicted:
        """Levels for scaled parameters (rows, k), the gain of the source included."""
        at = self.engine.predicted(z, np.full(len(z), self.hypothesis))
        return Predicted(at.coupler_db + self.gain_db, at.ear_db + self.gain_db, at.drum_db + self.gain_db)

    @property
    def values(self) -> FloatArray:
        """Its parameters, shape (parameters,)."""
        return np.asarray(self.engine.scaled.values(self.z[np.newaxis], np.array([self.hypothesis]))[0])

    @property
    def name(self) -> str:
        """Name of its explanation."""
        return self.engine.hypotheses[self.hypothesis].name


def diagnose(measurement: Measurement) -> Diagnosis:
    """Say what went wrong with one measurement.

    Parameters
    ----------
    measurement : Measurement
        Readings and what was declared.

    Returns
    -------
    Diagnosis
        Probabilities, evidence, what to do, and the level at the drum.
    """
    return diagnose_many([measurement])[0]


def diagnose_many(measurements: Sequence[Measurement]) -> tuple[Diagnosis, ...]:
    """Say what went wrong with each of many measurements, several at a time.

    Parameters
    ----------
    measurements : sequence of Measurement
        In any order.

    Returns
    -------
    tuple of Diagnosis
        In the same order.
    """
    groups: dict[object, list[int]] = {}
    for index, one in enumerate(measurements):
        groups.setdefault((one.source, one.declared, _model_age(one.age_months)), []).append(index)
    out: dict[int, Diagnosis] = {}
    for members in groups.values():
        for first in range(0, len(members), _BATCH):
            part = members[first : first + _BATCH]
            out.update(zip(part, _group([measurements[i] for i in part]), strict=True))
    return tuple(out[index] for index in range(len(measurements)))


def _model_age(age_months: float) -> float:
    """The age whose priors serve: between two of them they differ by less than their spread. [month]"""
    ages = np.array(_MODEL_AGES)
    return float(ages[np.argmin(np.abs(np.log(ages / max(age_months, 1.0))))])


def _models(source: SourceModel | None) -> list[SourceModel]:
    return [source_class(name) for name in _ALL_CLASSES] if source is None else [source]


def _group(members: list[Measurement]) -> list[Diagnosis]:
    """Diagnoses of measurements that share source, coupler and age."""
    readings = [one.readings() for one in members]
    observed = np.stack([one.observed() for one in readings])
    fits: list[tuple[Engine, Found]] = []
    for model in _models(members[0].source):
        known = isinstance(model, KnownSource)
        error = replace(ErrorModel(), source_db=_KNOWN_SOURCE_DB if known else _CLASS_SOURCE_DB)
        whitening = np.stack([one.whitening(error) for one in readings])
        chosen = engine(model, members[0].declared, _model_age(members[0].age_months))
        fits.append((chosen, chosen.search(observed, whitening)))
    temper = 1.0 if isinstance(members[0].source, KnownSource) else _CLASS_TEMPER
    shares = normalised(np.concatenate([found.log_posterior(temper) for _, found in fits], axis=1))
    parts = np.split(shares, len(fits), axis=1)
    names: list[dict[str, float]] = [{} for _ in members]
    for (chosen, found), share in zip(fits, parts, strict=True):
        for whole, own in zip(names, explained(chosen, found, share), strict=True):
            for name, probability in own.items():
                whole[name] = whole.get(name, 0.0) + probability
    return [
        _diagnosis(one, seen, _ranked(names[i]), _fits_of(i, seen, fits, parts))
        for i, (one, seen) in enumerate(zip(members, readings, strict=True))
    ]


def _ranked(shares: dict[str, float]) -> dict[str, float]:
    total = sum(shares.values())
    return dict(sorted(((name, share / total) for name, share in shares.items()), key=lambda item: -item[1]))


def _fits_of(
    index: int, seen: Readings, fits: list[tuple[Engine, Found]], shares: list[FloatArray]
) -> list[_Fit]:  # fmt: skip
    """Fits of one measurement that are not negligible, most probable first."""
    out = []
    for (chosen, found), share in zip(fits, shares, strict=True):
        for h in np.flatnonzero(share[index] > NEGLIGIBLE):
            z = found.z[index, h]
            at = chosen.predicted(z[np.newaxis], np.array([h]))
            gain = _gain(seen, at)
            out.append(_Fit(chosen, int(h), float(share[index, h]), z, found.covariance[index, h], gain))
    return sorted(out, key=lambda fit: -fit.probability)


def _gain(seen: Readings, at: Predicted) -> float:
    """Gain of the source: median of what both readings lie above the model by, from 250 Hz to 4 kHz. [dB]"""
    inside = lies_within(FIT_HZ, 250.0, 4000.0)
    above = np.concatenate(
        [
            (seen.coupler_db - at.coupler_db[0])[inside & seen.coupler_known],
            (seen.ear_db - at.ear_db[0])[inside & seen.ear_known],
        ]
    )
    return float(np.median(above)) if above.size else 0.0


def _diagnosis(one: Measurement, seen: Readings, names: dict[str, float], fits: list[_Fit]) -> Diagnosis:
    to_drum = _to_drum(one, seen, fits)
    ranked = list(names.items())
    deciding = _deciding(ranked, fits) if ranked[0][1] < SURE else None
    return Diagnosis(
        probability=names,
        explanations=tuple(_explanation(fit) for fit in fits[:_KEPT]),
        frequency_hz=FIT_HZ,
        coupler_db=seen.coupler_db,
        ear_db=seen.ear_db,
        is_noise_limited=one.is_noise_limited(),
        deciding=deciding,
        to_drum=to_drum,
        level_at_drum=one.ear + to_drum,
    )


def _explanation(fit: _Fit) -> Explanation:
    at = fit.predicted(fit.z[np.newaxis])
    free = fit.engine.hypotheses[fit.hypothesis].free
    estimates = estimates_of(free, fit.engine.scaled, fit.hypothesis, fit.z, fit.covariance)
    return Explanation(fit.name, fit.probability, at.coupler_db[0], at.ear_db[0], at.drum_db[0], estimates)


def _deciding(ranked: list[tuple[str, float]], fits: list[_Fit]) -> Deciding | None:
    """The measurement that tells the first explanation from the second, by the fits that stand nearest to them."""
    if len(ranked) < 2:
        return None
    names = (ranked[0][0], ranked[1][0])
    chosen = tuple(next((fit for fit in fits if fit.name == name), None) for name in names)
    if chosen[0] is None or chosen[1] is None:
        return Deciding("measure again with probe and tip reseated", None)
    pair = (chosen[0], chosen[1])

    def predict(number: int, values: FloatArray) -> Predicted:
        fit = pair[number]
        kinds = np.full(len(values), fit.engine.kind_index[fit.hypothesis])
        return fit.engine.setting.predict(values, kinds)

    return deciding_measurement(names, (pair[0].values, pair[1].values), predict)


def _to_drum(one: Measurement, seen: Readings, fits: list[_Fit]) -> Transfer:
    """Transfer from the probe tip to the drum over all explanations, on the grid of the ear's reading."""
    model_db = np.interp(np.log(FIT_HZ), np.log(KNOTS_HZ), ErrorModel().ear_db)
    parts: list[Carried] = []
    for fit in fits:
        moved = np.repeat(fit.z[np.newaxis], fit.z.size + 1, axis=0)
        moved[np.arange(1, fit.z.size + 1), np.arange(fit.z.size)] += _MOVED
        at = fit.predicted(moved)
        parts.append(carried(seen.ear_db, seen.ear_known, (at.ear_db, at.drum_db), fit.covariance, model_db, _MOVED))
    share = np.array([fit.probability for fit in fits])
    whole = blended(parts, share / share.sum())
    x, at_hz = np.log(one.ear.frequency_hz), np.log(FIT_HZ)
    correction, u = np.interp(x, at_hz, whole.correction_db), np.interp(x, at_hz, whole.u_db)
    side = one.ear.tags.ear
    tags = Tags(quantity="probe tip to eardrum", ear=side, stimulus=None, statistic=None, coupling=None, source=None)
    component = Component(
        f"diagnosis:{side}", "way from probe to eardrum, fitted", u, "none", "B", "explanations and their parameters"
    )
    return Transfer.given(
        one.ear.grid,
        correction,
        start=one.ear.plane,
        end=Plane.eardrum(),
        tags=tags,
        source=f"model fitted to this measurement, {len(fits)} explanations",
        components=(component,),
    )
