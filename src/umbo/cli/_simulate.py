"""``umbo simulate``."""

from __future__ import annotations

import json
import sys
from pathlib import Path

from umbo.cli._printing import console, progress

__all__ = ["simulate"]


def simulate(
    out: Path, *, seed: int, age_months: float | None, faults: tuple[str, ...], as_json: bool
) -> int:
    """Write an invented case with its truth."""
    from umbo.sim import demo_scenario, random_scenario, write_case  # noqa: PLC0415

    with progress(as_json) as tell:
        tell("measuring on the virtual bench")
        scenario = random_scenario(seed, age_months=age_months, faults=faults)
        write_case(out, scenario)
    if as_json:
        answer = {
            "schema": 1,
            "case": scenario.case_id,
            "folder": str(out),
            "truth": str(out / "truth.json"),
            "seed": seed,
        }
        sys.stdout.write(json.dumps(answer, indent=1) + "\n")
    else:
        console().print(
            f"Case {scenario.case_id} in {out}; the truth is in {out / 'truth.json'}", markup=False
        )
    return 0
