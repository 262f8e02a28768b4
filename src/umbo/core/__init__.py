"""The vocabulary: planes, grids, levels, transfers, states, uncertainty, findings, and the sums they allow.

::

    Level@A + Transfer(A->B)             = Level@B
    Level@B - Level@A (same take)        = Transfer(A->B)
    Transfer(A->B) + Transfer(B->C)      = Transfer(A->C)
    -Transfer(A->B)                      = Transfer(B->A)
    Level@A.above(other Level@A)         = Difference
    anything else                        raises, naming the two things that disagree and what to do
"""

from umbo.core._ages import ADULT_EAR_MONTHS, CHILD_MONTHS
from umbo.core._budget import Budget, BudgetLine
from umbo.core._curve import Curve
from umbo.core._difference import Difference
from umbo.core._findings import Finding, Severity
from umbo.core._grids import AUDIOMETRIC_HZ, Bandwidth, FloatArray, Grid
from umbo.core._level import Level, power_sum
from umbo.core._names import NOMINAL_RATIO, has_name, lies_within
from umbo.core._origin import ExplainedTerm, Origin
from umbo.core._outcome import COVERAGE_FACTOR, Outcome, worst
from umbo.core._planes import CouplerKind, Plane, PlaneKind, Transducer
from umbo.core._states import BoolArray, Mark, PointState, States
from umbo.core._tags import Coupling, Ear, Source, Statistic, Tags
from umbo.core._transfer import Transfer
from umbo.core._uncertainty import Component, Uncertainty

__all__ = [
    "ADULT_EAR_MONTHS",
    "AUDIOMETRIC_HZ",
    "CHILD_MONTHS",
    "COVERAGE_FACTOR",
    "NOMINAL_RATIO",
    "Bandwidth",
    "BoolArray",
    "Budget",
    "BudgetLine",
    "Component",
    "CouplerKind",
    "Coupling",
    "Curve",
    "Difference",
    "Ear",
    "ExplainedTerm",
    "Finding",
    "FloatArray",
    "Grid",
    "Level",
    "Mark",
    "Origin",
    "Outcome",
    "Plane",
    "PlaneKind",
    "PointState",
    "Severity",
    "Source",
    "States",
    "Statistic",
    "Tags",
    "Transducer",
    "Transfer",
    "Uncertainty",
    "has_name",
    "lies_within",
    "power_sum",
    "worst",
]
