"""``umbo aid``."""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from umbo.cli._aid_tables import print_aid_answer
from umbo.cli._answer_file import first_problem, read_answer_file
from umbo.cli._folders import make_folder, require_outside
from umbo.cli._printing import GRIDS, console, dump, progress, write_chart
from umbo.core import Ear
from umbo.errors import InputError
from umbo.interchange import open_case, write_bytes
from umbo.record import AidAnswer, aid_answer, earlier_measures
from umbo.session import run_aid

__all__ = ["aid", "read_earlier_aid"]

_DO = "give the aid.json that umbo aid --out wrote"
_ANSWER = "aid.json"


def aid(
    case: Path, *, ear: str, out: Path | None, as_json: bool, grid: str, plot: Path | None, since: Path | None
) -> int:
    """Test the aids of a case by themselves; 0 if everything that was judged passes, else 1."""
    if out is not None:
        require_outside(case, out)
        _require_kept(since, out)
    earlier = None if since is None else read_earlier_aid(since)
    with progress(as_json) as tell:
        folder = open_case(case)
        sides = _sides(ear, tuple(folder.plan.ears))
        _require_same(earlier, folder.plan.client.code)
        before = () if earlier is None else earlier_measures(earlier)
        result = run_aid(folder.plan, folder, ears=sides, grid=GRIDS[grid](), earlier=before, progress=tell)
        answer = aid_answer(result, since=earlier)
    if plot is not None:
        from umbo.report import aid_figure  # noqa: PLC0415

        write_chart(plot, aid_figure(answer))
    if out is not None:
        _write(answer, out)
    if as_json:
        dump(answer)
    else:
        print_aid_answer(answer)
        if out is not None:
            console().print(f"Answer and report: {out / _ANSWER}, {out / 'aid-report.pdf'}", markup=False)
    return 0 if answer.outcome == "pass" else 1


def _require_kept(since: Path | None, out: Path) -> None:
    """Refuse to write over the earlier answer."""
    if since is not None and (out / _ANSWER).resolve() == since.resolve():
        raise InputError(
            f"write the answer to '{out}'",
            "it would replace the earlier answer it is compared with",
            "name another folder with --out",
        )


def _sides(ear: str, present: tuple[Ear, ...]) -> tuple[Ear, ...]:
    if ear == "both":
        return present
    if ear not in present:
        names = " and ".join(present)
        raise InputError(f"test the aid of the ear '{ear}'", f"the case has the {names} ear", "name one of its ears")
    return (Ear(ear),)


def _require_same(earlier: AidAnswer | None, client: str) -> None:
    if earlier is not None and earlier.client != client:
        raise InputError(
            "compare with an earlier answer",
            f"it belongs to the client '{earlier.client}', and this case to '{client}'",
            "name an answer about the same aids",
        )


def read_earlier_aid(path: Path) -> AidAnswer:
    """Read an earlier answer of ``umbo aid``.

    Raises
    ------
    InputError
        If it cannot be read, or is no such answer.
    """
    data, asked = read_answer_file(path, "umbo aid", ("ears", "check_source", "between_ears"), _DO)
    try:
        return AidAnswer.model_validate(data)
    except ValidationError as error:
        raise InputError(asked, first_problem(error), _DO) from None


def _write(answer: AidAnswer, out: Path) -> None:
    """Write aid.json and aid-report.pdf; each appears whole or not at all."""
    from umbo.report import aid_report_pdf  # noqa: PLC0415

    pdf = aid_report_pdf(answer)
    make_folder(out)
    write_bytes(out / "aid-report.pdf", pdf)
    write_bytes(out / _ANSWER, (answer.model_dump_json(by_alias=True, indent=1) + "\n").encode())
