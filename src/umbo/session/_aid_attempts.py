"""Trying one result after the other: what cannot be reached becomes a sentence, and the rest goes on."""

from __future__ import annotations

from collections.abc import Callable
from typing import ParamSpec, TypeVar

from umbo.errors import UmboError
from umbo.session._aid_plan import AidTest
from umbo.session._aid_readings import AidReading, AidReadings
from umbo.session._aid_result import Unmeasured

__all__ = ["Attempts"]

P = ParamSpec("P")
T = TypeVar("T")


class Attempts:
    """Keeps what could not be read, and why."""

    def __init__(self) -> None:
        self.unmeasured: list[Unmeasured] = []

    def make(self, what: str, result: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T | None:
        """Try a result; None, and a sentence kept, where it cannot be reached.

        Parameters
        ----------
        what : str
            Name of the test.
        result : callable
            Makes it.
        *args, **kwargs
            What it is made from.
        """
        try:
            return result(*args, **kwargs)
        except UmboError as error:
            self.say(what, " ".join(str(error).split()))
            return None

    def say(self, what: str, why: str) -> None:
        """Keep a sentence."""
        self.unmeasured.append(Unmeasured(what, why))

    def only(self, readings: AidReadings, test: AidTest) -> AidReading | None:
        """Find the one take of a test; of several the first counts, and a sentence says so."""
        found = readings.of(test)
        for other in found[1:]:
            self.say(
                test.phrase,
                f"'{other.take.name}' is a second take of this test in one coupler and run, and '{found[0].take.name}' "
                "counts: give it another run, or leave one out.",
            )
        return found[0] if found else None

    def lacks(self, test: AidTest, needed: AidTest) -> None:
        """Say that a test needs another one that was not recorded."""
        self.say(test.phrase, f"It needs the test '{needed}' in the same coupler, which was not recorded.")
