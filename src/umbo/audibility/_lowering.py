"""Frequency lowering: no index is computed while it is on."""

from __future__ import annotations

from umbo.errors import NotPossibleHereError

__all__ = ["require_no_lowering"]


def require_no_lowering(*, is_on: bool) -> None:
    """Refuse a speech intelligibility index of a hearing aid that moves sounds to lower frequencies.

    Parameters
    ----------
    is_on : bool
        Whether frequency lowering is on.

    Raises
    ------
    NotPossibleHereError
        If it is on.
    """
    if is_on:
        raise NotPossibleHereError(
            "compute a speech intelligibility index",
            "frequency lowering is on, so speech sounds arrive at frequencies they do not have, and the index weighs "
            "every band by the sounds that belong there",
            "turn the lowering off and measure again; judge lowered sounds by their audibility where they arrive",
        )
