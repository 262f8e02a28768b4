"""The open prescriptions, each described."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping
from types import MappingProxyType

from umbo.core import FloatArray
from umbo.errors import InputError
from umbo.prescription._berger_1984 import BERGER_HZ, berger_insertion_gain
from umbo.prescription._byrne_1990 import nal_rp_insertion_gain
from umbo.prescription._byrne_dillon_1986 import NAL_R_HZ, nal_r_insertion_gain
from umbo.prescription._cornelisse_1995 import DSL_IO_HZ
from umbo.prescription._killion_fikret_pasa_1993 import FIG6_HZ, fig6_insertion_gain
from umbo.prescription._libby_1986 import LIBBY_HZ, libby_insertion_gain
from umbo.prescription._lybarger_1944 import HALF_GAIN_HZ, half_gain_insertion_gain
from umbo.prescription._mccandless_lyregaard_1983 import POGO_HZ, pogo_insertion_gain
from umbo.prescription._prescription import Constants, Gain, Prescription
from umbo.prescription._schwartz_1988 import pogo_ii_insertion_gain
from umbo.prescription._thresholds import OCTAVES_HZ

__all__ = ["METHODS", "method"]


def _same_for_every_input(rule: Callable[[FloatArray, FloatArray], FloatArray]) -> Gain:
    """A rule that does not ask for the input level."""
    return lambda frequency_hz, hearing_level_db, _input_db_spl: rule(frequency_hz, hearing_level_db)


_ADULTS = "adults"
_NO_CHILD = "children under seven years (the gain is built on an adult's open ear)"
_NAL_R = (
    Constants("k", "nal_r", "byrne-dillon-1986", "k_db"),
    Constants("slopes", "prescription_constants", "byrne-dillon-1986", "value"),
)
_NAL_RP = (
    *_NAL_R,
    Constants("limits", "prescription_constants", "byrne-1990", "value"),
    Constants("profound correction", "nal_rp_profound_correction", "byrne-1990", "pc_250_hz_db"),
)
_POGO = Constants("constants", "simple_rules", "mccandless-lyregaard-1983", "constant_db")

_ALL = (
    Prescription(
        key="nal_r",
        name="NAL-R",
        version="1986",
        options="linear, no profound-loss correction",
        reference="Byrne & Dillon 1986, Ear and Hearing 7, 257",
        frequency_hz=NAL_R_HZ,
        needed_hz=OCTAVES_HZ,
        prescribes="insertion_gain",
        suits=f"{_ADULTS}, mild to severe sensorineural loss, linear aids, speech at a medium level",
        not_for=f"{_NO_CHILD}; profound loss; soft and loud inputs of a compressive aid; maximum output",
        constants=_NAL_R,
        gain=_same_for_every_input(nal_r_insertion_gain),
    ),
    Prescription(
        key="nal_rp",
        name="NAL-RP",
        version="1990",
        options="linear, with profound-loss correction",
        reference="Byrne, Parkinson & Newall 1990, Ear and Hearing 11, 40",
        frequency_hz=NAL_R_HZ,
        needed_hz=OCTAVES_HZ,
        prescribes="insertion_gain",
        suits=f"{_ADULTS}, moderate to profound sensorineural loss, linear aids, speech at a medium level",
        not_for=f"{_NO_CHILD}; soft and loud inputs of a compressive aid; maximum output",
        constants=_NAL_RP,
        gain=_same_for_every_input(nal_rp_insertion_gain),
    ),
    Prescription(
        key="half_gain",
        name="Half-gain rule",
        version="1944",
        options="linear",
        reference="attributed from memory to Lybarger 1944; no paper was read",
        frequency_hz=HALF_GAIN_HZ,
        prescribes="insertion_gain",
        suits=f"{_ADULTS}, mild to moderate loss; a rule of thumb and a yardstick in teaching",
        not_for=f"{_NO_CHILD}; a fitting that is to be final; maximum output",
        constants=(Constants("constants", "simple_rules", "half-gain-undated", "value"),),
        gain=_same_for_every_input(half_gain_insertion_gain),
    ),
    Prescription(
        key="pogo",
        name="POGO",
        version="1983",
        options="linear, gain only",
        reference="McCandless & Lyregaard 1983",
        frequency_hz=POGO_HZ,
        prescribes="insertion_gain",
        suits=f"{_ADULTS}, mild to moderate sensorineural loss, linear aids",
        not_for=f"{_NO_CHILD}; loss above 65 dB HL; maximum output (that part is not implemented)",
        constants=(_POGO,),
        gain=_same_for_every_input(pogo_insertion_gain),
    ),
    Prescription(
        key="pogo_ii",
        name="POGO II",
        version="1988",
        options="linear, gain only",
        reference="Schwartz, Lyregaard & Lundh 1988",
        frequency_hz=POGO_HZ,
        prescribes="insertion_gain",
        suits=f"{_ADULTS}, severe sensorineural loss, linear aids",
        not_for=f"{_NO_CHILD}; maximum output (that part is not implemented)",
        constants=(_POGO, Constants("constants", "prescription_constants", "schwartz-1988", "value")),
        gain=_same_for_every_input(pogo_ii_insertion_gain),
    ),
    Prescription(
        key="berger",
        name="Berger",
        version="1984",
        options="linear, gain only, without additions for conductive loss and reserve",
        reference="Berger et al. 1984, as cited by Sammeth et al. 1993; not read",
        frequency_hz=BERGER_HZ,
        prescribes="insertion_gain",
        suits=f"{_ADULTS}, mild to severe sensorineural loss, linear aids",
        not_for=f"{_NO_CHILD}; conductive loss; maximum output (that part is not implemented)",
        constants=(Constants("constants", "simple_rules", "berger-undated", "slope_on_hl"),),
        gain=_same_for_every_input(berger_insertion_gain),
    ),
    Prescription(
        key="libby",
        name="Libby one-third gain",
        version="1986",
        options="linear, the rule for mild to moderate loss",
        reference="Libby 1986, as cited by Sammeth et al. 1993; not read",
        frequency_hz=LIBBY_HZ,
        prescribes="insertion_gain",
        suits=f"{_ADULTS}, mild to moderate sensorineural loss, linear aids",
        not_for=f"{_NO_CHILD}; severe loss; maximum output",
        constants=(Constants("constants", "simple_rules", "libby-undated", "constant_db"),),
        gain=_same_for_every_input(libby_insertion_gain),
    ),
    Prescription(
        key="fig6",
        name="FIG6",
        version="1993",
        options="compressive; inputs between 40, 65 and 95 dB interpolated (common practice, no source)",
        reference="Killion & Fikret-Pasa 1993; Gitles & Niquette 1995",
        frequency_hz=FIG6_HZ,
        prescribes="insertion_gain_by_input",
        suits=f"{_ADULTS}, mild to moderate sensorineural loss, compressive aids",
        not_for=f"{_NO_CHILD}; severe and profound loss; maximum output",
        constants=(Constants("constants", "prescription_constants", "killion-fikret-pasa-1993", "value"),),
        gain=fig6_insertion_gain,
    ),
    Prescription(
        key="dsl_io_1995",
        name="DSL[i/o] core mapping",
        version="1995",
        options="fixed ratio between threshold and discomfort level; own transforms and spectra of the method not used",
        reference="Cornelisse, Seewald & Jamieson 1995, J. Acoust. Soc. Am. 97, 1854",
        frequency_hz=DSL_IO_HZ,
        prescribes="aided_level_by_input",
        needs="thresholds_and_discomfort",
        suits="ears of any age whose discomfort levels are known, compressive aids; for study and comparison",
        not_for="standing in for a later version of the method: nothing here is equivalent to one; maximum output",
        constants=(Constants("formula", "prescription_formulas", "cornelisse-1995", "status"),),
    ),
)

#: The open prescriptions by key, in the order they are listed.
METHODS: Mapping[str, Prescription] = MappingProxyType({entry.key: entry for entry in _ALL})


def method(key: str) -> Prescription:
    """One open prescription by its key.

    Raises
    ------
    InputError
        If there is none of that key; the sentence names the nearest keys.
    """
    if key not in METHODS:
        near = difflib.get_close_matches(key, METHODS, n=3, cutoff=0.4) or list(METHODS)
        raise InputError(
            f"use the prescription '{key}'", "no open prescription has that key", f"use one of {', '.join(near)}"
        )
    return METHODS[key]
