"""Reports and figures: a stored record made visible. Nothing is measured, computed or judged here."""

from umbo.report._aid_figure import aid_figure
from umbo.report._aid_report import aid_report_pdf
from umbo.report._eardrum_figure import eardrum_chart
from umbo.report._recd_figures import coupler_comparison_figure, recd_figure
from umbo.report._report import report_pdf, self_test_pdf
from umbo.report._response_figure import response_figure
from umbo.report._targets_figure import targets_figure
from umbo.report._verify_figure import VERIFY_WIDTH_PX, verify_figure

__all__ = [
    "VERIFY_WIDTH_PX",
    "aid_figure",
    "aid_report_pdf",
    "coupler_comparison_figure",
    "eardrum_chart",
    "recd_figure",
    "report_pdf",
    "response_figure",
    "self_test_pdf",
    "targets_figure",
    "verify_figure",
]
