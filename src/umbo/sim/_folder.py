"""A folder that appears whole or not at all, and the files the bench puts into it."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from umbo.core import FloatArray
from umbo.errors import InputError
from umbo.sim._stimuli import SAMPLING_RATE_HZ

__all__ = ["write_json", "write_wav", "write_whole"]

_FULL_SCALE = 2**23


def write_whole(folder: Path | str, fill: Callable[[Path], None]) -> Path:
    """Fill a folder beside its place and move it there when all is written.

    Parameters
    ----------
    folder : Path or str
        Where; it may not exist yet, or be an empty folder.
    fill : callable
        Writes everything into the folder it is given.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    InputError
        If something is there already, or the place cannot be written to.
    """
    target = Path(folder)
    asked = f"write a simulated case to '{target}'"
    if target.exists() and not (target.is_dir() and not any(target.iterdir())):
        raise InputError(asked, "something is there already", "name a folder that does not exist yet")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        beside = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    except OSError as error:
        raise InputError(asked, f"its place cannot be written to ({error.strerror})", "choose another place") from error
    try:
        fill(beside)
        beside.chmod(0o755)
        if target.exists():
            target.rmdir()
        beside.rename(target)
    except OSError as error:
        raise InputError(asked, f"the files cannot be written ({error.strerror})", "free the place") from error
    finally:
        shutil.rmtree(beside, ignore_errors=True)
    return target


def write_wav(path: Path, samples_fs: FloatArray) -> None:
    """24-bit file; integers are handed over so that no scale but 2^-23 comes in."""
    steps = np.clip(np.round(samples_fs * _FULL_SCALE), -_FULL_SCALE, _FULL_SCALE - 1)
    soundfile.write(path, steps.astype(np.int32) << 8, round(SAMPLING_RATE_HZ), subtype="PCM_24")


def write_json(path: Path, data: Mapping[str, Any]) -> None:
    """JSON file without not-a-numbers."""
    path.write_text(json.dumps(data, indent=1, allow_nan=False), encoding="utf-8")
