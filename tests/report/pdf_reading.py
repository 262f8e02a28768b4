"""Reading a printed page back: its objects, its words and where they stand."""

import re
import shutil
import subprocess
import xml.etree.ElementTree as ET
import zlib
from dataclasses import dataclass

import numpy as np
import pytest

XHTML = "{http://www.w3.org/1999/xhtml}"


@dataclass(frozen=True)
class Word:
    page: int
    text: str
    left: float
    top: float
    right: float
    bottom: float


def objects(pdf):
    """All objects as bytes: the file itself and every stream that can be inflated."""
    parts = [pdf]
    for found in re.finditer(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL):
        try:
            parts.append(zlib.decompress(found[1]))
        except zlib.error:
            continue
    return b"\n".join(parts)


def page_count(pdf):
    return len(re.findall(rb"/Type\s*/Page(?![a-zA-Z])", objects(pdf)))


def _pdftotext(pdf, *options):
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext (poppler-utils) is not installed: the printed text was not read back")
    done = subprocess.run(["pdftotext", *options, "-", "-"], input=pdf, capture_output=True, check=True)
    return done.stdout.decode()


def pages_of(pdf):
    """Text of every page, on one line, without the marks where a long word may be broken."""
    pages = _pdftotext(pdf, "-raw").replace("\u200b", "").split("\f")
    return [" ".join(page.split()) for page in pages if page.strip()]


def words_of(pdf):
    root = ET.fromstring(_pdftotext(pdf, "-bbox"))  # noqa: S314  # pdftotext's own text
    found = []
    for n, page in enumerate(root.iter(f"{XHTML}page"), 1):
        for word in page.iter(f"{XHTML}word"):
            box = (float(word.get(key)) for key in ("xMin", "yMin", "xMax", "yMax"))
            found.append(Word(n, word.text or "", *box))
    return found


def covered_words(words, share=0.25):
    """Pairs of words of one page that cover each other by more than a share of the smaller one."""
    page, left, top, right, bottom = np.array([(w.page, w.left, w.top, w.right, w.bottom) for w in words]).T
    wide = np.minimum.outer(right, right) - np.maximum.outer(left, left)
    high = np.minimum.outer(bottom, bottom) - np.maximum.outer(top, top)
    area = (right - left) * (bottom - top)
    found = (np.clip(wide, 0, None) * np.clip(high, 0, None) > share * np.minimum.outer(area, area)) & np.equal.outer(
        page, page
    )
    return [(words[i].text, words[j].text) for i, j in zip(*np.nonzero(np.triu(found, 1)), strict=True)]
