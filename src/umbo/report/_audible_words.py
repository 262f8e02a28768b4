"""What is audible of one speech run, in a few words for a page or a chart."""

from __future__ import annotations

from umbo.record import AudibilityRecord

__all__ = ["audibility_words"]


def audibility_words(found: AudibilityRecord | None) -> str:
    """Say index and bandwidth of one run in a few words.

    Parameters
    ----------
    found : AudibilityRecord or None
        What is audible of the run.
    """
    if found is None or found.index is None:
        return "no index"
    to = "" if found.bandwidth is None else f"; audible to: {found.bandwidth.brief}"
    return f"index {found.index.brief}{to}"
