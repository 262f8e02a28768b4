"""The page for the record: what is printed, as plain data."""

from __future__ import annotations

from typing import Any

from umbo.record import EarVerification, FindingRecord, GradedRecd, VerifyAnswer
from umbo.report._audible_words import audibility_words
from umbo.report._criteria import criteria_table
from umbo.report._density import DENSITIES, Density, first_few, shortened
from umbo.report._kept import since_line, to_try_lines
from umbo.report._loops import loop_sentences
from umbo.report._small_print import small_print
from umbo.report._sum import printed_sum
from umbo.report._words import VERDICTS, age_words, coupler_name, coupler_short, hertz, recd_origin, spaced

__all__ = ["record_page"]

_WEIGHTS = {"stop": "Stop", "warn": "Warning"}
_FACT_LETTERS = 60
#: Audibility is told of the run nearest to average speech (common practice, no source). [dB SPL]
_AUDIBLE_AT_DB = 65.0
_WEIGHT_ORDER = ("stop", "warn")


def record_page(answer: VerifyAnswer, density: Density) -> dict[str, Any]:
    """Make everything on the record page but its figure.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.
    density : Density
        How much is shown.

    Returns
    -------
    dict
        Plain data for the template.
    """
    return {
        "verified": answer.verified,
        "facts": [{"name": name, "value": shortened(value, _FACT_LETTERS)} for name, value in _facts(answer)],
        "ears": [_ear(side, ear, density) for side, ear in answer.ears.items()],
        "recds": _recds(answer, density),
        "criteria": criteria_table(answer, density),
        "sum": printed_sum(answer, density),
        "loops": first_few(loop_sentences(answer), density.notes, density.letters),
        "findings": _findings(answer, density),
        "try": first_few(to_try_lines(answer), density.notes, density.letters),
        "since": since_line(answer),
        "small": small_print(answer, density),
        "cautions": answer.cautions,
        "is_cut": density is not DENSITIES[0],
    }


def _facts(answer: VerifyAnswer) -> tuple[tuple[str, str], ...]:
    return (
        ("Client", answer.client),
        ("Age", age_words(answer.age_months)),
        ("Measured", answer.measured or "date not stated"),
        ("Case", answer.case),
        ("Software", answer.software),
    )


def _ear(side: str, ear: EarVerification, density: Density) -> dict[str, Any]:
    verdict = ear.verdict
    return {
        "name": f"{side.capitalize()} ear",
        "kind": verdict.outcome,
        "word": VERDICTS[verdict.outcome],
        "reasons": first_few(verdict.reasons, density.reasons, density.letters),
        "actions": first_few(verdict.actions, density.actions, density.letters),
        "basis": _basis(ear),
        "audible": shortened(_audible(ear), density.letters) if density.has_audibility else "",
    }


def _audible(ear: EarVerification) -> str:
    """Index and bandwidth of speech nearest 65 dB, in one line; why there is none, where there is a reason."""
    runs = [run for run in ear.speech if run.audibility is not None]
    run = min(runs, key=lambda one: abs(one.input_db_spl - _AUDIBLE_AT_DB), default=None)
    if run is None or run.audibility is None:
        return ""
    found, name = run.audibility, f"Audibility, {run.input_db_spl:g} dB"
    if found.index is None:
        return f"{name}: {audibility_words(found)} ({found.why_not['index'].rstrip('.')})"
    return f"{name}: {audibility_words(found)}"


def _basis(ear: EarVerification) -> str:
    """Name the RECD the eardrum levels rest on where the table of measured ones does not mark it."""
    if ear.recd_used is None or any(_is_used(ear, recd) for recd in ear.recds):
        return ""
    return f"Eardrum levels rest on: {ear.recd_used}."


def _is_used(ear: EarVerification, recd: GradedRecd) -> bool:
    return ear.recd_used is not None and ear.recd_used.startswith(coupler_name(recd.coupler))


def _recds(answer: VerifyAnswer, density: Density) -> dict[str, Any]:
    every = [(side, ear, recd) for side, ear in answer.ears.items() for recd in ear.recds]
    rows = [_recd(side, ear, recd) for side, ear, recd in every[: density.recds]]
    rest = len(every) - len(rows)
    return {
        "rows": rows,
        "shared": _shared(answer),
        "more": f"{rest} more RECDs in the machine-readable record." if rest else "",
        "why": first_few(_grade_reasons(answer), density.grounds, density.letters),
        "actions": first_few(_grade_actions(answer), density.actions, density.letters),
    }


def _recd(side: str, ear: EarVerification, recd: GradedRecd) -> dict[str, Any]:
    return {
        "name": f"{side.capitalize()}, {coupler_short(recd.coupler)}",
        "used": _is_used(ear, recd),
        "grade": recd.grade,
        "limit": f"{hertz(recd.trusted_max_hz)} ({spaced(recd.trusted_limit)})",
        "tip": _tip(recd),
    }


def _grade_reasons(answer: VerifyAnswer) -> list[str]:
    """Reasons of the grades, each once, after the RECDs they belong to."""
    owners: dict[tuple[str, str], list[str]] = {}
    for side, ear in answer.ears.items():
        for recd in ear.recds:
            for reason in recd.grade_reasons:
                owners.setdefault((reason, recd.grade), []).append(f"{side} {coupler_short(recd.coupler)}")
    count = sum(len(ear.recds) for ear in answer.ears.values())
    return [
        f"{_owners(names, everyone=len(names) == count)}, grade {grade}: {reason}"
        for (reason, grade), names in owners.items()
    ]


def _owners(names: list[str], *, everyone: bool) -> str:
    return "all" if everyone and len(names) > 1 else " and ".join(dict.fromkeys(names))


def _tip(recd: GradedRecd) -> str:
    if recd.tip_to_drum_mm is None:
        return "not known"
    spread = "" if recd.tip_to_drum_u_mm is None else f" ± {recd.tip_to_drum_u_mm:.1f}"
    return f"{recd.tip_to_drum_mm:.1f}{spread} mm"


def _shared(answer: VerifyAnswer) -> str:
    """Say what most rows of the table would repeat: sound and coupling, insertions, how tip distances are known."""
    every = [(side, recd) for side, ear in answer.ears.items() for recd in ear.recds]
    sounds = "; ".join(dict.fromkeys(f"{recd_origin(r)}, {_insertions(r.insertions)}" for _, r in every))
    tips = dict.fromkeys(f"{side} {spaced(r.tip_to_drum_known_by)}" for side, r in every if r.tip_to_drum_known_by)
    known = f" Tip distance: {', '.join(tips)}." if tips else ""
    return f"{sounds[:1].upper()}{sounds[1:]}.{known}"


def _insertions(count: int) -> str:
    return "1 insertion" if count == 1 else f"{count} insertions"


def _findings(answer: VerifyAnswer, density: Density) -> list[dict[str, str]]:
    """Stops and warnings, each once; what a grade already says of an RECD is not said twice."""
    every = [("", finding) for finding in answer.findings]
    for side, ear in answer.ears.items():
        said = {reason for recd in ear.recds for reason in recd.grade_reasons}
        mine = [*ear.findings, *(finding for recd in ear.recds for finding in recd.findings)]
        every += [(side, finding) for finding in mine if finding.text not in said]
    weighty = list({(side, f.text): (side, f) for side, f in every if f.severity in _WEIGHTS}.values())
    weighty.sort(key=lambda pair: _WEIGHT_ORDER.index(pair[1].severity))
    rows = [_finding(side, finding, density) for side, finding in weighty[: density.findings]]
    rest = len(weighty) - len(rows)
    if rest and rows:
        rows[-1]["action"] += f" ({rest} more)"
    return rows


def _grade_actions(answer: VerifyAnswer) -> list[str]:
    """Steps that go with the reasons of the grades, each once."""
    found = []
    for ear in answer.ears.values():
        said = {reason for recd in ear.recds for reason in recd.grade_reasons}
        mine = [*ear.findings, *(finding for recd in ear.recds for finding in recd.findings)]
        found += [finding.action for finding in mine if finding.text in said and finding.action]
    return list(dict.fromkeys(found))


def _finding(side: str, finding: FindingRecord, density: Density) -> dict[str, str]:
    return {
        "weight": _WEIGHTS[finding.severity],
        "ear": f"{side} ear" if side else "this case",
        "text": shortened(finding.text, density.letters),
        "action": shortened(finding.action, density.letters),
    }
