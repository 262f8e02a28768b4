"""Reading the answer of an earlier visit."""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from umbo.cli._answer_file import first_problem, read_answer_file
from umbo.errors import InputError
from umbo.record import VerifyAnswer, earlier_visit
from umbo.session import Earlier

__all__ = ["read_earlier"]

_DO = "give the result.json that umbo verify --out wrote"


def read_earlier(path: Path) -> Earlier:
    """Read an answer of ``umbo verify`` as the earlier visit to compare with.

    Parameters
    ----------
    path : Path
        The result.json.

    Returns
    -------
    Earlier
        What is kept of that visit.

    Raises
    ------
    InputError
        If it cannot be read, or is not wholly an answer of ``umbo verify`` in the schema of this version.
    """
    data, asked = read_answer_file(path, "umbo verify", ("ears", "verified"), _DO)
    try:
        return earlier_visit(VerifyAnswer.model_validate(data))
    except ValidationError as error:
        raise InputError(asked, first_problem(error), _DO) from None
    except InputError as error:
        raise InputError(asked, error.disagrees, _DO) from None
