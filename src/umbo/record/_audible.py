"""What of speech is audible, as plain data: index, bandwidth, words; null has its reason beside it."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from umbo.audibility import OPEN_INDEX
from umbo.record._base import Part

__all__ = ["AudibilityRecord", "BandwidthRecord", "ExtendedRecord", "IndexRecord", "ReachRecord", "WordsRecord"]

Pair = tuple[float, float]

Told = Literal["well", "partly", "not", "not_measured"]


class IndexRecord(Part):
    """Speech intelligibility index: a measure of audibility, 0 to 1, and no percentage of words."""

    sii: float = Field(ge=0, le=1, description="Index; a band that is not known counts as silent.")
    u_sii: float = Field(ge=0, description="Its standard uncertainty.")
    interval: Pair = Field(description="95 % of the draws, from 2.5 to 97.5 %.")
    bounds: Pair = Field(description="Index with the bands that are not known silent, and with all they could have.")
    method: str = Field(description="Standard, bands and importances.")
    frequency_hz: list[float] = Field(description="Centres of the bands.")
    importance: list[float]
    audibility: list[float] = Field(description="What is counted of each band, 0 to 1.")
    audibility_most: list[float] = Field(description="What each band can have at most.")
    known: list[Literal["known", "at_most", "not_known"]] = Field(
        description="at_most: the threshold had no response. not_known: speech or threshold cannot be used there."
    )
    unknown_hz: list[float] = Field(description="Centres of the bands of which nothing is known.")
    noise_included: bool = Field(description="Whether the noise of the recording, as one repeat has it, counts.")
    trusted_max_hz: float | None = Field(description="Bands above count as not known; null: the states say all.")
    draws: int = Field(description="Number of draws behind u_sii and interval.")
    seed: int
    sentence: str

    @property
    def brief(self) -> str:
        """How a table says it: index, interval of 95 %, and how high it could be where that is open."""
        low, high = self.interval
        text = f"{self.sii:.2f} ({low:.2f} to {high:.2f})"
        return f"{text}, up to {self.bounds[1]:.2f}" if self.bounds[1] - self.bounds[0] > OPEN_INDEX else text

    @model_validator(mode="after")
    def _same_length(self) -> IndexRecord:
        bands = (self.frequency_hz, self.importance, self.audibility, self.audibility_most, self.known)
        if len({len(values) for values in bands}) != 1:
            msg = "frequency_hz, importance, audibility, audibility_most and known must be equally long"
            raise ValueError(msg)
        return self


class ReachRecord(Part):
    """Up to which frequency a level lies above threshold."""

    relation: Literal["equal", "at_least", "at_most", "nowhere", "not_known"]
    at_least_hz: float | None = Field(description="Known to be above threshold up to here; null: nowhere.")
    at_most_hz: float | None = Field(description="Not above threshold from here on; 0: nowhere; null: the curve ends.")
    interval_hz: tuple[float | None, float | None] = Field(
        description="95 %: from what is sure to what is possible; null at the lower end: nowhere, at the upper: open."
    )
    known_to_hz: float | None
    sentence: str

    @property
    def brief(self) -> str:
        """How a table says it."""
        ends = {"equal": self.at_most_hz, "at_least": self.at_least_hz, "at_most": self.at_most_hz}
        hz = ends.get(self.relation)
        if hz is None:
            return self.relation.replace("_", " ")
        words = "" if self.relation == "equal" else f"{self.relation.replace('_', ' ')} "
        return f"{words}{hz / 1000:.2g} kHz"


class ExtendedRecord(Part):
    """Peaks of speech in one band above 8 kHz, which the index does not count."""

    frequency_hz: float
    margin_db: float = Field(description="Peaks minus threshold; at most this where there was no response.")
    u_db: float
    heard: Literal["audible", "not_audible", "cannot_tell", "not_known"]


class BandwidthRecord(Part):
    """Audible bandwidth: third-octave levels of speech against thresholds of tones."""

    peaks: ReachRecord | None = Field(description="Of the 99th percentile; null where percentiles are not known.")
    average: ReachRecord
    extended: list[ExtendedRecord]
    extended_sentence: str
    draws: int
    seed: int

    @property
    def brief(self) -> str:
        """How a table says it: of the peaks, else of the average."""
        return f"{self.average.brief} (average)" if self.peaks is None else self.peaks.brief


class WordsRecord(Part):
    """What can be heard, in words without numbers."""

    groups: dict[str, Told] = Field(description="Groups of speech sounds, from low to high.")
    sentence: str


class AudibilityRecord(Part):
    """What of one speech run is audible at this eardrum."""

    index: IndexRecord | None = Field(description="Of the run, aided.")
    unaided: IndexRecord | None = Field(
        description="Of average speech at the same input level in the open ear, in quiet: published long-term spectrum "
        "and average unaided gain of the age."
    )
    bandwidth: BandwidthRecord | None
    words: WordsRecord | None
    why_not: dict[Literal["index", "unaided", "bandwidth", "words"], str] = Field(
        description="For each of the four that is null, the reason."
    )

    @model_validator(mode="after")
    def _reasons(self) -> AudibilityRecord:
        missing = {name for name in ("index", "unaided", "bandwidth", "words") if getattr(self, name) is None}
        if missing != set(self.why_not):
            msg = (
                "why_not must give a reason for each of index, unaided, bandwidth and words that is null, and no other"
            )
            raise ValueError(msg)
        return self
