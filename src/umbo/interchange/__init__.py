"""Exchange with files: case folders in, curves and answers out; no acoustics is computed here.

A case folder is read and never written. Everything wrong with one is one sentence: what was asked, what
disagrees, what to do. What needs acoustics to see (a leak, a coupler's response where an ear's should be) is
left to the layers that know.
"""

from umbo.interchange._atomic import json_text, write_bytes, write_json, write_text
from umbo.interchange._case import CaseFolder, open_case
from umbo.interchange._curve_table import CurveTable, curve_table
from umbo.interchange._read_curve import read_curve_csv
from umbo.interchange._read_target import read_target_json
from umbo.interchange._schema import case_schema
from umbo.interchange._write_curve import curve_csv, write_curve_csv

__all__ = [
    "CaseFolder",
    "CurveTable",
    "case_schema",
    "curve_csv",
    "curve_table",
    "json_text",
    "open_case",
    "read_curve_csv",
    "read_target_json",
    "write_bytes",
    "write_curve_csv",
    "write_json",
    "write_text",
]
