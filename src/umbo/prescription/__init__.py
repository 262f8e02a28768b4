"""Prescription: open formulas, and targets imported from methods that are licensed."""

from umbo.prescription._byrne_dillon_1986 import NAL_R_HZ, nal_r_constants, nal_r_insertion_gain
from umbo.prescription._targets import Method, Target, imported_target, nal_r_target, speech_in_field

__all__ = [
    "NAL_R_HZ",
    "Method",
    "Target",
    "imported_target",
    "nal_r_constants",
    "nal_r_insertion_gain",
    "nal_r_target",
    "speech_in_field",
]
