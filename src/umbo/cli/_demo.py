"""``umbo demo``."""

from __future__ import annotations

from pathlib import Path

from umbo.cli._printing import console, dump, progress
from umbo.cli._verify import answer_case, print_answer, write_answer
from umbo.errors import InputError

__all__ = ["demo"]


def demo(out: Path, *, as_json: bool) -> int:
    """Write the invented two-ear case, verify it, and say where everything is. 0 when done, whatever the verdict."""
    from umbo.sim import demo_scenario, write_case  # noqa: PLC0415

    if out.exists() and (not out.is_dir() or any(out.iterdir())):
        raise InputError(
            f"write the demo to '{out}'",
            "it is there already and not empty",
            "name another folder with --out",
        )
    with progress(as_json) as tell:
        tell("measuring two invented ears on the virtual bench")
        write_case(out / "case", demo_scenario())
    answer = answer_case(out / "case", grid="twelfth", quiet=as_json)
    write_answer(answer, out)
    if as_json:
        dump(answer)
        return 0
    print_answer(answer)
    console().print(
        f"\nThe case is invented; its truth is in {out / 'case' / 'truth.json'}.\n"
        f"Report: {out / 'report.pdf'}\nAnswer: {out / 'result.json'}",
        markup=False,
    )
    return 0
