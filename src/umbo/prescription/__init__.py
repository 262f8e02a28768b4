"""Prescription: open formulas, and targets imported from methods that are licensed.

``METHODS`` describes the open prescriptions, ``speech_targets`` makes targets at the eardrum by one of them,
``compare_methods`` by several side by side. Below them stand the formulas on arrays, one module a paper.
"""

from umbo.prescription._berger_1984 import BERGER_HZ, berger_insertion_gain
from umbo.prescription._byrne_1990 import nal_rp_insertion_gain, nal_rp_profound_correction
from umbo.prescription._byrne_dillon_1986 import NAL_R_HZ, nal_r_constants, nal_r_insertion_gain
from umbo.prescription._comparison import ComparedMethod, MethodComparison, compare_methods
from umbo.prescription._conversions import aided_gain_of, aided_level_of, insertion_gain_of, require_adult_ear
from umbo.prescription._cornelisse_1995 import DSL_IO_HZ, dsl_io_output, dsl_io_share
from umbo.prescription._ear_to_fit import EarToFit
from umbo.prescription._imported_gain import imported_gain_target
from umbo.prescription._killion_fikret_pasa_1993 import FIG6_HZ, fig6_insertion_gain
from umbo.prescription._libby_1986 import LIBBY_HZ, libby_insertion_gain
from umbo.prescription._lybarger_1944 import HALF_GAIN_HZ, half_gain_insertion_gain
from umbo.prescription._mccandless_lyregaard_1983 import POGO_HZ, pogo_insertion_gain
from umbo.prescription._methods import METHODS, method
from umbo.prescription._prescription import Constants, Gain, Prescription
from umbo.prescription._schwartz_1988 import pogo_ii_insertion_gain
from umbo.prescription._speech_targets import speech_targets
from umbo.prescription._targets import Method, Target, imported_target, speech_in_field

__all__ = [
    "BERGER_HZ",
    "DSL_IO_HZ",
    "FIG6_HZ",
    "HALF_GAIN_HZ",
    "LIBBY_HZ",
    "METHODS",
    "NAL_R_HZ",
    "POGO_HZ",
    "ComparedMethod",
    "Constants",
    "EarToFit",
    "Gain",
    "Method",
    "MethodComparison",
    "Prescription",
    "Target",
    "aided_gain_of",
    "aided_level_of",
    "berger_insertion_gain",
    "compare_methods",
    "dsl_io_output",
    "dsl_io_share",
    "fig6_insertion_gain",
    "half_gain_insertion_gain",
    "imported_gain_target",
    "imported_target",
    "insertion_gain_of",
    "libby_insertion_gain",
    "method",
    "nal_r_constants",
    "nal_r_insertion_gain",
    "nal_rp_insertion_gain",
    "nal_rp_profound_correction",
    "pogo_ii_insertion_gain",
    "pogo_insertion_gain",
    "require_adult_ear",
    "speech_in_field",
    "speech_targets",
]
