"""What should be said about the use of a prescription."""

from __future__ import annotations

from umbo.core import ADULT_EAR_MONTHS, Finding, Severity

__all__ = ["child_findings", "memory_findings"]

_RESONANCE = "Keefe et al. 1994; Dempster & Mackenzie 1990"


def child_findings(name: str, age_months: float | None) -> tuple[Finding, ...]:
    """Say that an insertion-gain method does not suit a child's ear.

    Parameters
    ----------
    name : str
        Name of the method.
    age_months : float or None
        Age; nothing is said of one that is not known. [month]
    """
    if age_months is None or age_months >= ADULT_EAR_MONTHS:
        return ()
    text = f"{name} prescribes insertion gain, built on an adult ear's resonance; this client's ear is a child's."
    action = "Import eardrum-level targets made for this age and judge the aided level against them."
    return (Finding("insertion_gain_for_child", Severity.WARN, text, action, _RESONANCE),)


def memory_findings(name: str) -> tuple[Finding, ...]:
    """Say that the constants of a method were recalled and not compared with its paper.

    Parameters
    ----------
    name : str
        Name of the method.
    """
    text = f"The constants of {name} are from memory: nobody has compared them with the paper."
    action = "Compare them with the paper before a fitting rests on them, or use another target."
    return (Finding("prescription_from_memory", Severity.WARN, text, action, "status of the tables used"),)
