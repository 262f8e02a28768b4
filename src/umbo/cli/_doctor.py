"""``umbo doctor``: does this installation compute what it should?"""

from __future__ import annotations

import json
import platform
import sys
from collections.abc import Callable
from datetime import date
from importlib.metadata import PackageNotFoundError, version

import numpy as np

from umbo import __version__
from umbo.cli._printing import console, table_of

__all__ = ["doctor"]

_LIBRARIES = ("numpy", "scipy", "soundfile", "pydantic", "typer", "rich", "typst")


def doctor(*, as_json: bool) -> int:
    """Run every check; 0 if all are well, 3 if not."""
    checks = [_one(name, check) for name, check in _CHECKS.items()]
    ok = all(passed for _, passed, _ in checks)
    if as_json:
        answer = [{"check": name, "ok": passed, "detail": detail} for name, passed, detail in checks]
        sys.stdout.write(json.dumps({"schema": 1, "ok": ok, "checks": answer}, indent=1) + "\n")
    else:
        out = console()
        rows = [(name, "ok" if passed else "NOT OK", detail) for name, passed, detail in checks]
        out.print(table_of(f"umbo {__version__}", ("check", "", "detail"), rows))
    return 0 if ok else 3


def _one(name: str, check: Callable[[], str]) -> tuple[str, bool, str]:
    try:
        return name, True, check()
    except Exception as error:  # noqa: BLE001  (a check that breaks is what this command is there to show)
        return name, False, " ".join(str(error).split()) or type(error).__name__


def _python() -> str:
    return f"{platform.python_implementation()} {platform.python_version()}"


def _libraries() -> str:
    found = []
    for name in _LIBRARIES:
        try:
            found.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            raise RuntimeError(f"{name} is not installed; install umbo again") from None
    return ", ".join(found)


def _tables() -> str:
    from umbo import refdata  # noqa: PLC0415

    entries = refdata.catalogue()
    for entry in entries:
        refdata.table(entry.quantity, source=entry.source)
    return f"{len(entries)} tables, each with the hash its sidecar states"


def _sweep() -> str:
    """A sweep through a known delay and gain comes back as that gain."""
    from umbo.calibration import Calibration, Recording, sweep_spectrum  # noqa: PLC0415
    from umbo.dsp import exponential_sweep  # noqa: PLC0415

    rate, gain_db = 48000.0, -6.0
    played = exponential_sweep(80.0, 20000.0, 1.0, rate, 0.25)
    heard = np.tile(np.roll(10 ** (gain_db / 20) * played, 7), 2)
    calibration = Calibration(
        name="self-test", pa_per_full_scale=20.0, u_db=0.0, date=date(2000, 1, 1), method="self-test"
    )
    spectrum = sweep_spectrum(
        Recording("heard", heard, rate), Recording("played", played, rate), calibration,
        repeats=2, start_hz=80.0, stop_hz=20000.0,
    )  # fmt: skip
    inside = (spectrum.frequency_hz > 125) & (spectrum.frequency_hz < 16000)
    level = 10 * np.log10(spectrum.power_pa2[inside] / (0.5 * 0.5**2 * 20.0**2))
    worst = float(np.max(np.abs(level - gain_db)))
    if worst > 0.03:
        raise RuntimeError(f"a known gain of {gain_db:g} dB comes back {worst:.3f} dB off")
    return f"a known gain comes back within {worst:.4f} dB from 125 Hz to 16 kHz"


def _report() -> str:
    from umbo.chart import FrequencyAxis  # noqa: PLC0415
    from umbo.report import self_test_pdf  # noqa: PLC0415

    size = len(self_test_pdf())
    if size < 1000:
        raise RuntimeError(f"the report engine made a page of {size} bytes")
    return f"the report engine makes a page of {size // 1000} kB; charts start at {FrequencyAxis().low_hz:g} Hz"


_CHECKS: dict[str, Callable[[], str]] = {
    "python": _python,
    "libraries": _libraries,
    "reference tables": _tables,
    "sweep analysis": _sweep,
    "report": _report,
}
