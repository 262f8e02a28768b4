"""What every part of a record has in common."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

__all__ = ["SCHEMA", "Part"]

#: Number of the answer format; it grows when a key changes its meaning or goes away, never when one is added.
SCHEMA = 1


class Part(BaseModel):
    """Frozen, strict part of a record; unknown keys are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, populate_by_name=True, defer_build=True)
