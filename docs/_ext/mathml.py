"""Render mathematics as MathML while the pages are built, so that they need no script and no network."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

from docutils import nodes
from latex2mathml.converter import convert
from sphinx.util import logging

if TYPE_CHECKING:
    from sphinx.application import Sphinx
    from sphinx.writers.html5 import HTML5Translator

logger = logging.getLogger(__name__)


def mathml(latex: str, display: str) -> str:
    """Translate one formula; a formula that cannot be translated raises ValueError."""
    known = latex.replace("{aligned}", "{split}").strip()
    if r"\\" in known and r"\begin" not in known:
        known = rf"\begin{{split}}{known}\end{{split}}"
    try:
        text = convert(known, display=display)
        left_over = re.search(r"\\\w+", "".join(ET.fromstring(text).itertext()))  # noqa: S314 - our own text
    except Exception as error:
        raise ValueError(f"cannot be read: {error!r}") from error
    if left_over:
        raise ValueError(f"has an unknown command {left_over.group()}")
    return text


def formula(latex: str, display: str, node: nodes.Node) -> str:
    """MathML of a formula, or nothing and a warning that says where it stands."""
    try:
        return mathml(latex, display)
    except ValueError as reason:
        logger.warning("the formula %r %s", latex, reason, location=node, type="mathml")
        return ""


def visit_inline(self: HTML5Translator, node: nodes.math) -> None:
    self.body.append(formula(node.astext(), "inline", node) or f"<code>{self.encode(node.astext())}</code>")
    raise nodes.SkipNode


def visit_block(self: HTML5Translator, node: nodes.math_block) -> None:
    self.body.append(self.starttag(node, "div", CLASS="math"))
    if node["number"]:
        self.body.append(f'<span class="eqno">({node["number"]})</span>')
    parts = [node.astext()] if r"\begin" in node.astext() else re.split(r"\n\s*\n", node.astext())
    parts = [part for part in parts if part.strip()]
    self.body.extend(formula(part, "block", node) or f"<pre>{self.encode(part)}</pre>" for part in parts)
    self.body.append("</div>\n")
    raise nodes.SkipNode


def setup(app: Sphinx) -> dict[str, bool]:
    app.add_html_math_renderer("mathml", (visit_inline, None), (visit_block, None))
    return {"parallel_read_safe": True, "parallel_write_safe": True}
