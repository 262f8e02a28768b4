"""How many bytes of samples a WAV file promises and how many it holds.

libsndfile reads a cut-off WAV file without a word, so the promise is checked here. Chunks as in RIFF (IBM and
Microsoft, Multimedia Programming Interface and Data Specifications 1.0, 1991) and RF64 (EBU Tech 3306).
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import TYPE_CHECKING, BinaryIO

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["DataChunk", "data_chunk"]

_MOST_CHUNKS = 1000
_IN_DS64 = 0xFFFFFFFF


@dataclass(frozen=True, slots=True)
class DataChunk:
    """The chunk that holds the samples.

    Parameters
    ----------
    promised_bytes, present_bytes : int
        Length the header states, and what is left of the file after the header. [byte]
    """

    promised_bytes: int
    present_bytes: int

    @property
    def is_cut_off(self) -> bool:
        """Whether samples that the header states are missing."""
        return self.promised_bytes > self.present_bytes


def data_chunk(path: Path) -> DataChunk | None:
    """Length of the samples in a WAV file; none when it has no data chunk or is no WAV file."""
    size = path.stat().st_size
    with path.open("rb") as file:
        form = file.read(12)
        if form[:4] not in (b"RIFF", b"RF64") or form[8:12] != b"WAVE":
            return None
        long_bytes = 0
        for _ in range(_MOST_CHUNKS):
            name, length = _chunk_head(file)
            if name == b"data":
                promised = long_bytes if length == _IN_DS64 and long_bytes else length
                return DataChunk(promised, size - file.tell())
            if name == b"ds64" and length >= 16:
                _, long_bytes = struct.unpack("<QQ", file.read(16).ljust(16, b"\0"))
                length -= 16
            if not name or file.tell() + length > size:
                return None
            file.seek(length + length % 2, 1)
    return None


def _chunk_head(file: BinaryIO) -> tuple[bytes, int]:
    head = file.read(8)
    return (head[:4], int(struct.unpack("<I", head[4:])[0])) if len(head) == 8 else (b"", 0)
