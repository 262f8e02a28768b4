"""One ear against the other: RECDs, aided speech, deviations that mirror each other."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from umbo.audibility import Audibility
from umbo.core import Bandwidth, Ear, Finding, FloatArray, Grid, Level, has_name, lies_within
from umbo.session._aided import AVERAGE_SPEECH_DB_SPL
from umbo.session._hearing import in_bands
from umbo.session._recds import MeasuredRecd
from umbo.session._result import EarResult, JudgedSpeech
from umbo.session._routes import Route
from umbo.verdict import EarComparison, compare_aided, compare_recds, compare_sii, swapped_ears

__all__ = ["between_two_ears"]

#: Code of a comparison that could not be made: of two ears that differ nothing has to be said.
_NOT_COMPARED = "ears_not_compared"

#: What a middle ear in this state does to the RECD, its sign, and up to which frequency (abstracts of Martin et al.
#: 1996 and 1997 read; a perforation negative to 1500 Hz by babyhearing.org; beyond that engineering judgement). [Hz]
_MIDDLE_EARS = {
    "tube": ("an open tube in the {} eardrum", -1.0, 1500.0),
    "perforation": ("a perforation of the {} eardrum", -1.0, 1500.0),
    "effusion": ("an effusion behind the {} eardrum", 1.0, 3000.0),
}


def between_two_ears(ears: Mapping[Ear, EarResult]) -> tuple[Finding, ...]:
    """Compare what was measured of both ears in the same way; with one ear nothing is said.

    Parameters
    ----------
    ears : mapping of Ear to EarResult
        As judged.

    Returns
    -------
    tuple of Finding
        What is to be said about the RECDs, the aided levels and exchanged ears.
    """
    left, right = ears.get(Ear.LEFT), ears.get(Ear.RIGHT)
    if left is None or right is None:
        return ()
    found = (*_recds(left, right), *_aided(left, right))
    return tuple(finding for finding in found if finding.code != _NOT_COMPARED)


def _recds(left: EarResult, right: EarResult) -> tuple[Finding, ...]:
    """The RECDs in use first, else any two against one coupler, with one sound and one coupling."""
    for recd in _in_order(right):
        for other in _in_order(left):
            if (recd.kind, recd.source, recd.coupling) == (other.kind, other.source, other.coupling):
                grid = Grid.third_octave()
                here, there = other.on(grid), recd.on(grid)
                if here.end != there.end:
                    continue
                compared = compare_recds(here, there)
                reason = _known_reason(compared, left.plan.middle_ear, right.plan.middle_ear)
                return compare_recds(here, there, known_reason=reason).findings if reason else compared.findings
    return ()


def _in_order(ear: EarResult) -> list[MeasuredRecd]:
    used = ear.route.measured if isinstance(ear.route, Route) else None
    usable = [recd for recd in ear.recds if recd.grade.letter != "D"]
    return sorted(usable, key=lambda recd: (recd is not used, recd.grade.letter, -recd.trust.max_hz))


def _known_reason(compared: EarComparison, left: str, right: str) -> str:
    """A declared middle-ear state that differs and acts in the direction and at the frequencies of the difference."""
    if left == right or not compared.findings:
        return ""
    low, high = compared.findings[0].from_hz or 0.0, compared.findings[0].to_hz or np.inf
    hz = compared.contrast.frequency_hz
    here = compared.is_compared & lies_within(hz, low, high)
    apart = compared.contrast.difference_db[here]
    for side, state, towards in ((Ear.LEFT, left, 1.0), (Ear.RIGHT, right, -1.0)):
        if state in _MIDDLE_EARS:
            phrase, sign, to_hz = _MIDDLE_EARS[state]
            if lies_within(high, 0.0, to_hz) and bool(np.all(sign * towards * apart > 0)):
                return phrase.format(side)
    return ""


def _aided(left: EarResult, right: EarResult) -> tuple[Finding, ...]:
    """Aided speech, its audibility and its deviations, at the level nearest to 65 dB that both ears have."""
    both = _same_input(left, right)
    if both is None:
        return ()
    here, there = both
    compared = _levels(here, there, _thresholds(left, right))
    found = () if compared is None else compared.findings
    alike = compared is not None and bool(np.array_equal(compared.is_compared, compared.contrast.is_usable))
    return (*found, *_indices(_index(left, here), _index(right, there), alike=alike), *_mirrored(here, there))


def _levels(here: JudgedSpeech, there: JudgedSpeech, heard: tuple[Level, Level] | None) -> EarComparison | None:
    levels = here.run.at_eardrum, there.run.at_eardrum
    if heard is None or not (hz := _shared(*heard, *levels)).size:
        return None
    on_grid = [level.on(Grid(hz, Bandwidth.THIRD_OCTAVE), method="log_frequency", outside="refuse") for level in levels]
    name = f"{here.run.input_db_spl:g}"
    return compare_aided(*on_grid, *(in_bands(level, hz) for level in heard), name=name)


def _index(ear: EarResult, speech: JudgedSpeech) -> Audibility | None:
    return next((heard.aided for heard in ear.heard if heard.run is speech.run), None)


def _indices(left: Audibility | None, right: Audibility | None, *, alike: bool) -> tuple[Finding, ...]:
    """The speech intelligibility indices; none where one ear has none, with frequency lowering for example.

    Nor where bands that are known in one ear only could make up for the difference.
    """
    if left is None or right is None:
        return ()
    same_bands = np.array_equal(left.unknown_hz, right.unknown_hz)
    if not same_bands and max(left.bounds[0], right.bounds[0]) <= min(left.bounds[1], right.bounds[1]):
        return ()
    return compare_sii(left.sii, right.sii, u_left=left.u_sii, u_right=right.u_sii, thresholds_alike=alike)


def _same_input(left: EarResult, right: EarResult) -> tuple[JudgedSpeech, JudgedSpeech] | None:
    pairs = [(a, b) for a in left.speech for b in right.speech if a.run.input_db_spl == b.run.input_db_spl]
    return min(pairs, key=lambda pair: abs(pair[0].run.input_db_spl - AVERAGE_SPEECH_DB_SPL), default=None)


def _thresholds(left: EarResult, right: EarResult) -> tuple[Level, Level] | None:
    """Thresholds of both ears at the eardrum, else on one dial."""
    if left.thresholds is None or right.thresholds is None:
        return None
    here, there = left.thresholds.at_eardrum, right.thresholds.at_eardrum
    if here is not None and there is not None:
        return here, there
    here, there = left.thresholds.entered, right.thresholds.entered
    return (here, there) if here.plane == there.plane else None


def _shared(first: Level, *others: Level) -> FloatArray:
    """Frequencies of the first that the second has too and that lie inside the range of the rest. [Hz]"""
    second, *levels = others
    held = has_name(first.frequency_hz, second.frequency_hz)
    for level in levels:
        held &= lies_within(first.frequency_hz, *level.frequency_hz[[0, -1]])
    shared: FloatArray = first.frequency_hz[held]
    return shared


def _mirrored(left: JudgedSpeech, right: JudgedSpeech) -> tuple[Finding, ...]:
    here, there = left.deviation, right.deviation
    if here is None or there is None:
        return ()
    if not here.grid.same_frequencies(there.grid):
        shared = here.frequency_hz[has_name(here.frequency_hz, there.frequency_hz)]
        if not shared.size:
            return ()
        grid = Grid(shared, here.grid.bandwidth)
        here, there = (curve.on(grid, method="log_frequency", outside="refuse") for curve in (here, there))
    return swapped_ears(here, there)
