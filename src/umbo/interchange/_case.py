"""Case folders: opening one, and reading its recordings."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pydantic import ValidationError

from umbo.calibration import Recording
from umbo.errors import CaseError, RecordingError
from umbo.interchange._audio_file import AudioFile, read_samples
from umbo.interchange._case_files import CaseFiles, case_files
from umbo.interchange._fields import RefusedError
from umbo.interchange._folder import asked_of, case_directory, file_inside
from umbo.interchange._keys import path_text
from umbo.interchange._model import CaseTable
from umbo.interchange._plan import plan_of
from umbo.interchange._problems import case_error
from umbo.interchange._references import check_references
from umbo.interchange._samples import refuse_clipped, refuse_silent
from umbo.interchange._toml import read_toml
from umbo.interchange._wording import listed, plain

if TYPE_CHECKING:
    from umbo.session import Plan

__all__ = ["CaseFolder", "open_case"]


@dataclass(frozen=True, slots=True)
class CaseFolder:
    """An opened case: its plan, and its recordings on demand; it is only ever read.

    Parameters
    ----------
    folder : Path
        Real path of the folder.
    plan : Plan
        What the case asks for.
    files : CaseFiles
        The checked files.
    """

    folder: Path
    plan: Plan
    files: CaseFiles

    def take(self, name: str) -> Recording:
        """Read the recording of a take, in full scale.

        Parameters
        ----------
        name : str
            Name of the recording in case.toml.

        Raises
        ------
        RecordingError
            If there is no such recording, or its samples are not finite, silent, clipped or cut off.
        """
        recording = self._read(name, self.files.takes, "recording")
        called = f"'{plain(self.files.takes[name].name)}'"
        asked = f"use the recording '{plain(name)}'"
        refuse_silent(recording.samples_fs, called, asked, "check the microphone and its channel, and record it again")
        refuse_clipped(recording.samples_fs, called, asked)
        return recording

    def stimulus(self, name: str) -> Recording:
        """Read the stimulus as it was played, in full scale.

        Parameters
        ----------
        name : str
            Name of the stimulus in case.toml.

        Raises
        ------
        RecordingError
            If there is no such file, or its samples are not finite, cut off, or silent unlike its kind.
        """
        stimulus = self._read(name, self.files.stimuli, "stimulus")
        if self.plan.stimuli[name].kind != "silence":
            called = f"'{plain(self.files.stimuli[name].name)}'"
            asked = f"use the stimulus '{plain(name)}'"
            refuse_silent(stimulus.samples_fs, called, asked, "name the file that was played")
        return stimulus

    def _read(self, name: str, files: dict[str, AudioFile], what: str) -> Recording:
        asked = f"use the {what} '{plain(name)}'"
        if name not in files:
            raise RecordingError(
                asked, f"the case has no file for it (it has: {listed(list(files))})", "name one of these"
            )
        file = files[name]
        return Recording(plain(name), read_samples(file, asked), float(file.sampling_rate_hz))


def open_case(folder: str | Path, *, needs_measurement: bool = True) -> CaseFolder:
    """Open a case folder: read case.toml, check it and the headers of its files, and make the plan.

    Parameters
    ----------
    folder : str or Path
        Folder that holds case.toml.
    needs_measurement : bool
        Whether a case without recordings and curves is refused; thresholds alone are enough to prescribe from.

    Returns
    -------
    CaseFolder
        The plan, and a port to the recordings.

    Raises
    ------
    CaseError
        If case.toml or a file it names cannot be used.
    RecordingError
        If a recording or stimulus is not what the case says.
    """
    real = case_directory(Path(folder))
    case = _read_case(real, needs_measurement=needs_measurement)
    files = case_files(case, real)
    return CaseFolder(real, plan_of(case, files.curves, files.data_sheet), files)


def _read_case(folder: Path, *, needs_measurement: bool) -> CaseTable:
    asked = asked_of(folder)
    data = read_toml(file_inside(folder, "case.toml", ""), asked)
    try:
        case = CaseTable.model_validate(data)
        check_references(case, needs_measurement=needs_measurement)
    except ValidationError as error:
        raise case_error(error, data, asked) from None
    except RefusedError as refusal:
        path = path_text(refusal.key, data) or "the case"
        raise CaseError(asked, f"{path} {refusal.disagrees}", refusal.do) from None
    return case
