"""Causes planted in simulated and in scanned ears are named, and good ears are left alone.

What is reached is counted on 1,000 ears in docs/diagnosis-confusion.md. Here a few dozen ears guard it, with limits
wide enough that another seed would hardly cross them.
"""

from functools import cache

import numpy as np
import pytest
from measured_ears import DOUBLE, HZ, SINGLE, measured, scanned, scanned_ears, stray_source
from measured_levels import as_measurement

from umbo.core import CouplerKind
from umbo.diagnosis import diagnose_many, source_class


@cache
def answers(seed, causes, rounds, correlated=False, source="known"):
    """Ears of one adult and one infant age, so that few engines are built."""
    rng = np.random.default_rng(seed)
    strays = source == "class"
    ears = [
        measured(
            rng,
            cause,
            declared=(CouplerKind.HA1, CouplerKind.CC04)[round_ % 2],
            age_months=(480.0, 480.0, 3.0)[round_ % 3],
            correlated=correlated,
            source=stray_source(rng) if strays else None,
        )
        for round_ in range(rounds)
        for cause in causes
    ]
    asked = [as_measurement(ear, source_class("insert") if strays else ear.source) for ear in ears]
    return tuple(zip(ears, diagnose_many(asked), strict=True))


def share_right(pairs):
    return np.mean([answer.best == ear.cause for ear, answer in pairs])


def test_single_causes_with_a_known_source():
    assert share_right(answers(101, SINGLE, 3)) >= 0.85


def test_single_causes_with_a_source_known_by_its_class():
    assert share_right(answers(112, ("ok", *SINGLE), 2, source="class")) >= 0.75


def test_two_causes_at_once():
    assert share_right(answers(103, DOUBLE, 2)) >= 0.7


@pytest.mark.parametrize("correlated", [False, True])
def test_good_ears_are_left_alone(correlated):
    pairs = answers(104, ("ok",) * 6, 3, correlated=correlated)
    named = [answer.best for ear, answer in pairs if ear.cause == "ok"]
    assert named.count("ok") >= 0.8 * len(named)


def test_a_stated_certainty_is_worth_it():
    """What is stated above 0.99 is right nearly always."""
    sure = [a.best == ear.cause for ear, a in answers(101, SINGLE, 3) if a.probability[a.best] > 0.99]
    assert len(sure) > 8
    assert np.mean(sure) > 0.9


def test_estimates_come_near_the_truth():
    """Length of the canal beyond the tip of shallow probes, against what was simulated."""
    found = [
        ({one.name: one.value for one in answer.explanations[0].estimates}, ear)
        for ear, answer in answers(105, ("shallow_probe",) * 5, 3)
        if answer.best == ear.cause == "shallow_probe"
    ]
    length = [one["length of the canal beyond the tip"] - ear.length_mm for one, ear in found]
    assert len(found) >= 8
    assert np.sqrt(np.mean(np.square(length))) < 2.5


@pytest.mark.shared
@pytest.mark.parametrize("cause", ["leak", "wrong_coupler", "blocked_probe", "probe_in_bore", "open_middle_ear"])
def test_causes_planted_in_scanned_ears(cause):
    """Six scanned adult canals (Wulbusch, Roden, Chernov & Blau 2023) with their own drum impedances."""
    rng = np.random.default_rng(106)
    ears = [scanned(rng, ear, cause, drum=drum) for ear in scanned_ears() for drum in ("hudde", "twores")]
    found = diagnose_many([as_measurement(ear, ear.source) for ear in ears])
    named = [cause in answer.best.split("+") for answer in found]  # a leak is not a coupler_leak
    planted = [cause in ear.cause.split("+") for ear in ears]
    assert np.mean([a == b for a, b in zip(named, planted, strict=True)]) >= 0.8


@pytest.mark.shared
@pytest.mark.slow
def test_level_at_the_drum_of_scanned_ears():
    """A probe 3 to 12 mm from the drum: within 1.5 dB rms to 8 kHz, 2 dB to 12.5 kHz; 2u covers 90 to 98 %.

    Above 8 kHz alone the rms hangs on a few probes of 9 mm, whose null at 9.6 kHz is at times not recognised.
    """
    rng = np.random.default_rng(107)
    places = (3.0, 6.0, 9.0, 12.0)
    ears = [
        scanned(rng, ear, probe_mm=mm, drum=d) for ear in scanned_ears() for d in ("hudde", "twores") for mm in places
    ]
    found = diagnose_many([as_measurement(ear, ear.source) for ear in ears])
    error = np.stack([a.level_at_drum.level_db - 60 - ear.drum_db for ear, a in zip(ears, found, strict=True)])
    covered = np.abs(error) < 2 * np.stack([answer.level_at_drum.u_db for answer in found])
    to_8k, to_12k = HZ < 8100, HZ < 12600
    assert np.sqrt(np.mean(error[:, to_8k] ** 2)) < 1.5
    assert np.sqrt(np.mean(error[:, to_12k] ** 2)) < 2.0
    assert np.sqrt(np.mean(error[:, to_12k & ~to_8k] ** 2)) < 4.0
    assert 0.90 <= covered[:, to_12k].mean() <= 0.98


def test_a_good_probe_is_not_made_worse():
    """Over good ears the carried level errs no more than the reading, in every stretch of frequency."""
    pairs = answers(104, ("ok",) * 6, 3)
    raw = np.stack([ear.ear_db - ear.drum_db for ear, _ in pairs])
    done = np.stack([answer.level_at_drum.level_db - 60 - ear.drum_db for ear, answer in pairs])
    for low, high in ((125, 1000), (1000, 4000), (4000, 8000), (8000, 16000)):
        inside = (low <= HZ) & (high >= HZ)
        assert np.mean(done[:, inside] ** 2) <= 1.02 * np.mean(raw[:, inside] ** 2)


def test_a_shallow_probe_is_carried_to_the_drum():
    pairs = [(ear, a) for ear, a in answers(105, ("shallow_probe",) * 5, 3) if ear.cause == "shallow_probe"]
    inside = (HZ >= 6000) & (HZ <= 10000)
    raw = np.concatenate([(ear.ear_db - ear.drum_db)[inside] for ear, _ in pairs])
    done = np.concatenate([(a.level_at_drum.level_db - 60 - ear.drum_db)[inside] for ear, a in pairs])
    assert np.sqrt(np.mean(raw**2)) > 8
    assert np.sqrt(np.mean(done**2)) < 2.6
