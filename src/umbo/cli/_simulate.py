"""``umbo simulate``."""

from __future__ import annotations

import json
import sys
from pathlib import Path

from umbo.cli._printing import console, progress
from umbo.core import Ear
from umbo.errors import InputError
from umbo.sim import Fault, random_scenario, write_case

__all__ = ["simulate"]


def simulate(
    out: Path, *, seed: int, age_months: float | None, ears: str, aid: bool, faults: tuple[str, ...], as_json: bool
) -> int:
    """Write an invented case with its truth."""
    sides = (Ear.RIGHT, Ear.LEFT) if ears == "both" else (Ear(ears),)
    planted = _planted(faults, sides)
    with progress(as_json) as tell:
        tell("measuring on the virtual bench")
        scenario = random_scenario(seed, age_months=age_months, sides=sides, faults=planted, with_aid=aid)
        write_case(out, scenario)
    truth = out / "truth.json"
    if as_json:
        answer = {"schema": 1, "case": scenario.name, "folder": str(out), "truth": str(truth), "seed": seed}
        sys.stdout.write(json.dumps(answer, indent=1) + "\n")
    else:
        console().print(f"Case {scenario.name} in {out}; the truth is in {truth}", markup=False)
    return 0


def _planted(faults: tuple[str, ...], sides: tuple[Ear, ...]) -> dict[Ear, tuple[Fault, ...]]:
    """Faults by ear: NAME goes to the first ear, EAR:NAME to the ear it names."""
    out: dict[Ear, tuple[Fault, ...]] = {}
    for text in faults:
        side_name, _, name = text.rpartition(":")
        side = sides[0] if not side_name else next((s for s in sides if s == side_name), None)
        if side is None:
            raise InputError(
                f"plant the fault '{text}'", f"the case has the {' and '.join(sides)} ear", "name one of its ears"
            )
        if name not in list(Fault):
            raise InputError(f"plant the fault '{name}'", f"the bench knows {', '.join(Fault)}", "name one of these")
        out[side] = (*out.get(side, ()), Fault(name))
    return out
