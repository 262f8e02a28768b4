"""``umbo simulate``."""

from __future__ import annotations

import json
import sys
from enum import StrEnum
from pathlib import Path
from typing import TypeVar

import numpy as np

from umbo.cli._printing import console, progress
from umbo.core import Ear
from umbo.errors import InputError
from umbo.sim import (
    AidEar,
    AidFault,
    AidScenario,
    Fault,
    random_aid,
    random_scenario,
    write_aid_case,
    write_case,
)

__all__ = ["simulate", "simulate_aid_test"]

F = TypeVar("F", bound=StrEnum)

#: Age of the invented client whose aids are tested, where none is given. [month]
_AGE_MONTHS = 120.0

#: Length of the noise: its reduction is read from 10 s on. [s]
_NOISE_S = 15.0


def simulate(
    out: Path, *, seed: int, age_months: float | None, ears: str, aid: bool, faults: tuple[str, ...], as_json: bool
) -> int:
    """Write an invented case with its truth."""
    sides = (Ear.RIGHT, Ear.LEFT) if ears == "both" else (Ear(ears),)
    planted = _planted(faults, sides, Fault)
    with progress(as_json) as tell:
        tell("measuring on the virtual bench")
        scenario = random_scenario(seed, age_months=age_months, sides=sides, faults=planted, with_aid=aid)
        write_case(out, scenario)
    return _say(out, scenario.name, seed, as_json=as_json)


def simulate_aid_test(
    out: Path, *, seed: int, age_months: float | None, ears: str, fitted: bool, faults: tuple[str, ...], as_json: bool
) -> int:
    """Write the tests of an invented aid by itself, the same model on both ears, with their truth."""
    if fitted:
        raise InputError("invent a case", "--aid and --aid-test are two kinds of case", "choose one of them")
    sides = (Ear.RIGHT, Ear.LEFT) if ears == "both" else (Ear(ears),)
    planted = _planted(faults, sides, AidFault)
    model = random_aid(np.random.default_rng(seed))
    scenario = AidScenario(
        name=f"invented-aid-{seed}",
        seed=seed,
        ears=tuple(AidEar(side=side, aid=model, fitted_db=-12.0, faults=planted.get(side, ())) for side in sides),
        age_months=_AGE_MONTHS if age_months is None else age_months,
        noise_s=_NOISE_S,
    )
    with progress(as_json) as tell:
        tell("testing on the virtual bench")
        write_aid_case(out, scenario)
    return _say(out, scenario.name, seed, as_json=as_json)


def _say(out: Path, name: str, seed: int, *, as_json: bool) -> int:
    truth = out / "truth.json"
    if as_json:
        answer = {"schema": 1, "case": name, "folder": str(out), "truth": str(truth), "seed": seed}
        sys.stdout.write(json.dumps(answer, indent=1) + "\n")
    else:
        console().print(f"Case {name} in {out}; the truth is in {truth}", markup=False)
    return 0


def _planted(faults: tuple[str, ...], sides: tuple[Ear, ...], known: type[F]) -> dict[Ear, tuple[F, ...]]:
    """Faults by ear: NAME goes to the first ear, EAR:NAME to the ear it names."""
    out: dict[Ear, tuple[F, ...]] = {}
    for text in faults:
        side_name, _, name = text.rpartition(":")
        side = sides[0] if not side_name else next((s for s in sides if s == side_name), None)
        if side is None:
            raise InputError(
                f"plant the fault '{text}'", f"the case has the {' and '.join(sides)} ear", "name one of its ears"
            )
        if name not in list(known):
            raise InputError(f"plant the fault '{name}'", f"the bench knows {', '.join(known)}", "name one of these")
        out[side] = (*out.get(side, ()), known(name))
    return out
