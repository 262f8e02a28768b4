"""Formulas in the documentation become MathML, or a warning; never a page that shows raw commands."""

import importlib.util
from types import ModuleType
from xml.etree import ElementTree as ET

import pytest
from house_sources import ROOT

NAMESPACE = "{http://www.w3.org/1998/Math/MathML}"


@pytest.fixture(scope="module")
def extension() -> ModuleType:
    spec = importlib.util.spec_from_file_location("mathml", ROOT / "docs" / "_ext" / "mathml.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(
    ("latex", "rows"),
    [
        (r"L = 20\,\lg\frac{p}{p_0}", 0),
        (r"T = \begin{bmatrix} \cosh\Gamma l & Z_c \sinh\Gamma l \\ a & b \end{bmatrix}", 2),
        (r"a &= b \\ c &= d", 2),
        (r"\begin{aligned} a &= b \\ c &= d \\ e &= f \end{aligned}", 3),
    ],
)
def test_formula_becomes_mathml(extension: ModuleType, latex: str, rows: int) -> None:
    root = ET.fromstring(extension.mathml(latex, "block"))  # noqa: S314 - our own text
    assert root.tag == f"{NAMESPACE}math"
    assert root.get("display") == "block"
    assert len(root.findall(f".//{NAMESPACE}mtr")) == rows
    assert "&" not in "".join(root.itertext())


@pytest.mark.parametrize("latex", ["", r"\frac{a}{", r"x = \nosuchcommand y", r"\begin{gathered} a & b \end{gathered}"])
def test_formula_that_cannot_be_shown_is_refused(extension: ModuleType, latex: str) -> None:
    with pytest.raises(ValueError, match=r"cannot be read|unknown command"):
        extension.mathml(latex, "inline")
