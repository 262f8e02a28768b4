"""Helpers for tests of umbo and of programs built on it: hypothesis strategies for the vocabulary.

Needs hypothesis, which umbo itself does not. Every strategy makes objects that are legal on their own;
whether two of them may be combined is what a test asks, so what they have to agree on can be given.
"""

from umbo.testing._curves import Chain, chains, levels, transfers
from umbo.testing._parts import CAUSES, components, decibels, point_states, uncertainties
from umbo.testing._places import grids, planes, tags

__all__ = [
    "CAUSES",
    "Chain",
    "chains",
    "components",
    "decibels",
    "grids",
    "levels",
    "planes",
    "point_states",
    "tags",
    "transfers",
    "uncertainties",
]
