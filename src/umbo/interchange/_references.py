"""Checks between the tables of a case: what is named is there, names differ, something is measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.interchange._aid_references import check_aid_tests
from umbo.interchange._fields import Key, RefusedError
from umbo.interchange._hearing_references import check_hearing
from umbo.interchange._wording import listed, plain, shown

if TYPE_CHECKING:
    from collections.abc import Collection, Hashable, Iterable

    from umbo.interchange._model import CaseTable, RecordingTable
    from umbo.interchange._stimulus_table import StimulusTable

__all__ = ["check_references"]


def check_references(case: CaseTable, *, needs_measurement: bool = True) -> None:
    """Refuse a case whose tables do not fit together.

    Parameters
    ----------
    case : CaseTable
        A case whose tables are right one by one.
    needs_measurement : bool
        Whether a case without recordings and curves is refused.

    Raises
    ------
    RefusedError
        At the first reference that leads nowhere, name given twice, or kind of data that is missing.
    """
    if needs_measurement and not case.recording and not case.curve:
        raise RefusedError("holds no [[recording]] and no [[curve]]", "add a measurement")
    _check_names(case)
    ears = list(case.ear.entries())
    measured = [(("recording", i), entry) for i, entry in enumerate(case.recording)]
    imported = [(("curve", i), entry) for i, entry in enumerate(case.curve)]
    for at, entry in [*measured, *imported]:
        _require((*at, "ear"), entry.ear, ears, "ear")
        _require((*at, "stimulus"), entry.stimulus, case.stimulus, "stimulus")
    for at, recording in measured:
        _require((*at, "calibration"), recording.calibration, case.calibration, "calibration")
        _check_playable(at, recording, case.stimulus[recording.stimulus])
    for i, target in enumerate(case.target):
        _require(("target", i, "ear"), target.ear, ears, "ear")
    check_hearing(case)
    check_aid_tests(case)


def _check_names(case: CaseTable) -> None:
    names = [(("recording", i, "name"), entry.name) for i, entry in enumerate(case.recording)]
    names += [(("curve", i, "name"), entry.name) for i, entry in enumerate(case.curve)]
    _require_unique(names, "recording or curve")
    _require_unique(((("target", i, "name"), (t.ear, t.name)) for i, t in enumerate(case.target)), "target of this ear")


def _require_unique(names: Iterable[tuple[Key, Hashable]], what: str) -> None:
    seen: set[Hashable] = set()
    for key, name in names:
        if name in seen:
            raise RefusedError(f"is also the name of another {what}", "give each its own name", key)
        seen.add(name)


def _require(key: Key, name: str, known: Collection[str], what: str) -> None:
    if name not in known:
        raise RefusedError(
            f"is {shown(name)}, but the case has no [{what}.{plain(name)}] (it has: {listed(list(known))})",
            "add that table, or name one that is there",
            key,
        )


def _check_playable(at: Key, recording: RecordingTable, stimulus: StimulusTable) -> None:
    if stimulus.file is not None:
        return
    if stimulus.kind != "silence":
        raise RefusedError(
            f"is missing, but {shown(recording.name)} is a recording of that stimulus",
            "name the file that was played",
            ("stimulus", recording.stimulus, "file"),
        )
    if recording.repeats != 1:
        raise RefusedError(
            f"is {recording.repeats}, but the silence '{recording.stimulus}' has no file that could repeat",
            "write repeats = 1, or name a file for the silence",
            (*at, "repeats"),
        )
