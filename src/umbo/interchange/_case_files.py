"""The files a case names: found inside the folder, and checked as far as headers and names go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from umbo.errors import RecordingError
from umbo.interchange._audio_file import AudioFile, audio_file
from umbo.interchange._declared import check_curve_header, check_target_header
from umbo.interchange._folder import asked_of, file_inside
from umbo.interchange._read_curve import read_curve_csv
from umbo.interchange._read_data_sheet import read_data_sheet
from umbo.interchange._read_target import is_target_json, read_target_json
from umbo.interchange._twins import NamedFile, refuse_twins
from umbo.interchange._wording import plain

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from umbo.interchange._aid_tables import DataSheetTable
    from umbo.interchange._curve_table import CurveTable
    from umbo.interchange._model import CaseTable, RecordingTable
    from umbo.interchange._stimulus_table import StimulusTable

__all__ = ["CaseFiles", "case_files"]


@dataclass(frozen=True, slots=True)
class CaseFiles:
    """Files of a case: headers of recordings and stimuli by name, contents of curves by file name."""

    takes: dict[str, AudioFile]
    stimuli: dict[str, AudioFile]
    curves: dict[str, CurveTable]
    data_sheet: DataSheetTable | None = None


def case_files(case: CaseTable, folder: Path) -> CaseFiles:
    """Check every file a case names, reading no samples.

    Parameters
    ----------
    case : CaseTable
        The case.
    folder : Path
        Real path of its folder.

    Raises
    ------
    CaseError
        If a file is missing, outside the folder, named twice, a copy of another, or an unreadable curve.
    RecordingError
        If a recording or stimulus is not what the case says.
    """
    asked = asked_of(folder)
    paths = {(key, name): file_inside(folder, name, f"{key}.file") for key, name in _named_files(case)}
    files = [NamedFile(key, path, key.startswith("stimulus")) for (key, _), path in paths.items()]
    refuse_twins((f for f in files if not f.key.startswith("target")), asked)
    stimuli = {
        name: audio_file(paths[_stimulus_key(name), s.file], s.file, asked)
        for name, s in case.stimulus.items()
        if s.file is not None
    }
    takes = {r.name: audio_file(paths[_entry_key("recording", r.name), r.file], r.file, asked) for r in case.recording}
    for name, stimulus in case.stimulus.items():
        _check_sweep(name, stimulus, stimuli.get(name), asked)
        _check_steps(name, stimulus, stimuli.get(name), asked)
    for recording in case.recording:
        _check_fit(recording, takes[recording.name], stimuli.get(recording.stimulus), asked)
    return CaseFiles(takes, stimuli, _curves(case, paths, asked), _data_sheet(case, paths))


def _named_files(case: CaseTable) -> Iterator[tuple[str, str]]:
    for name, stimulus in case.stimulus.items():
        if stimulus.file is not None:
            yield _stimulus_key(name), stimulus.file
    for recording in case.recording:
        yield _entry_key("recording", recording.name), recording.file
    for curve in case.curve:
        yield _entry_key("curve", curve.name), curve.file
    for target in case.target:
        if target.file is not None:
            yield _entry_key("target", target.name), target.file
    if case.data_sheet is not None and case.data_sheet.file is not None:
        yield "data_sheet", case.data_sheet.file


def _stimulus_key(name: str) -> str:
    return f"stimulus.{plain(name)}"


def _entry_key(table: str, name: str) -> str:
    return f"{table}['{plain(name)}']"


def _curves(case: CaseTable, paths: dict[tuple[str, str], Path], asked: str) -> dict[str, CurveTable]:
    found: dict[str, CurveTable] = {}
    for curve in case.curve:
        found[curve.file] = read_curve_csv(paths[_entry_key("curve", curve.name), curve.file])
        check_curve_header(curve, found[curve.file].header, asked)
    for target in case.target:
        if target.file is not None:
            read = read_target_json if is_target_json(target.file) else read_curve_csv
            found[target.file] = read(paths[_entry_key("target", target.name), target.file])
            check_target_header(target, found[target.file].header, asked)
    return found


def _data_sheet(case: CaseTable, paths: dict[tuple[str, str], Path]) -> DataSheetTable | None:
    """Nominal values, from the case or from the file it names."""
    sheet = case.data_sheet
    return sheet if sheet is None or sheet.file is None else read_data_sheet(paths["data_sheet", sheet.file])


def _check_steps(name: str, stimulus: StimulusTable, file: AudioFile | None, asked: str) -> None:
    if file is None or stimulus.step_s is None or stimulus.levels_db_spl is None:
        return
    count = len(stimulus.levels_db_spl)
    wanted = round(count * stimulus.step_s * file.sampling_rate_hz)
    if abs(file.frames - wanted) > 1:
        raise RecordingError(
            asked,
            f"{_stimulus_key(name)} has {count} steps of {stimulus.step_s:g} s, which are {wanted} samples, but "
            f"'{plain(file.name)}' has {file.frames}",
            "correct step_s, or name the file that was played",
        )


def _check_sweep(name: str, stimulus: StimulusTable, file: AudioFile | None, asked: str) -> None:
    if file is None or stimulus.stop_hz is None or 2 * stimulus.stop_hz < file.sampling_rate_hz:
        return
    raise RecordingError(
        asked,
        f"{_stimulus_key(name)}.stop_hz is {stimulus.stop_hz:g} Hz, but '{plain(file.name)}' at "
        f"{file.sampling_rate_hz} Hz holds nothing from {file.sampling_rate_hz / 2:g} Hz up",
        "give the sweep's true last frequency, or the file that was played",
    )


def _check_fit(recording: RecordingTable, file: AudioFile, stimulus: AudioFile | None, asked: str) -> None:
    if stimulus is None:
        return
    heard, played = f"'{plain(file.name)}'", f"'{plain(stimulus.name)}'"
    if file.sampling_rate_hz != stimulus.sampling_rate_hz:
        raise RecordingError(
            asked,
            f"{heard} was sampled at {file.sampling_rate_hz} Hz and its stimulus {played} at "
            f"{stimulus.sampling_rate_hz} Hz",
            "record at the sampling rate of the stimulus",
        )
    wanted = recording.repeats * stimulus.frames
    if file.frames != wanted:
        off = "too short" if file.frames < wanted else "too long"
        raise RecordingError(
            asked,
            f"{heard} is {off}: it has {file.frames} samples, and {recording.repeats} x {stimulus.frames} "
            f"samples of {played} are {wanted}",
            "cut the recording to whole periods, or correct repeats",
        )
