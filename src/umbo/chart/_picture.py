"""From a specification to a PNG picture, through the same SVG."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typst

from umbo.chart._language import FONT_FOLDER
from umbo.chart._render import render_svg
from umbo.errors import InputError

if TYPE_CHECKING:
    from umbo.chart._figure import Chart, Figure

__all__ = ["render_png"]

_PAGE = b"""#set page(width: auto, height: auto, margin: 0pt, fill: white)
#image(bytes(sys.inputs.svg), format: "svg", width: float(sys.inputs.width) * 1pt, alt: sys.inputs.alt)
"""


def render_png(spec: Chart | Figure, scale: float = 2.0, *, width_px: float = 720.0) -> bytes:
    """Draw a chart or a figure as a PNG picture.

    Parameters
    ----------
    spec : Chart or Figure
        What to draw.
    scale : float
        Picture points for one unit of the drawing, above 0 and at most 10. [1]
    width_px : float
        Width of the drawing. [px]

    Returns
    -------
    bytes
        The PNG file.

    Raises
    ------
    InputError
        If the scale is out of range.
    """
    if not 0.0 < scale <= 10.0:
        raise InputError("draw a picture", f"its scale is {scale:g}", "give a scale above 0 and at most 10")
    svg = render_svg(spec, width_px=width_px, interactive=False)
    inputs = {"svg": svg, "width": f"{width_px:g}", "alt": spec.alt}
    picture: bytes = typst.compile(
        _PAGE,
        format="png",
        ppi=72.0 * scale,
        sys_inputs=inputs,
        font_paths=typst.Fonts(include_system_fonts=False, font_paths=[FONT_FOLDER]),
    )
    return picture
