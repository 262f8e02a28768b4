"""Reading a drawn chart back: paths, attributes and the boxes of all texts."""

import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass

import numpy as np

from umbo.chart import Chart, Frame, FrequencyAxis, LevelAxis, Line, Quantity, Series
from umbo.chart._text import text_width_px

SVG = "{http://www.w3.org/2000/svg}"
LEVEL = Quantity("level", Line.SOLID)


def parse(svg):
    return ET.fromstring(svg)  # noqa: S314  # our own text


def find(root, identity):
    return next(element for element in root.iter() if element.get("id") == identity)


def vertices(d):
    """Every subpath of absolute M and L commands as an array (n, 2)."""
    return [
        np.array([[float(v) for v in pair.split(",")] for pair in re.findall(r"-?[\d.]+,-?[\d.]+", part)])
        for part in d.split("M")[1:]
    ]


def drawn_runs(root, identity):
    """All subpaths of one curve, as (trust, vertices)."""
    group = find(root, identity)
    return [(p.get("data-trust"), v) for p in group if p.get("data-trust") for v in vertices(p.get("d"))]


def frame_of(root, chart_id):
    """The plot rectangle as the drawing itself states it."""
    data = find(root, f"{chart_id}-plot").attrib
    frequency = FrequencyAxis(float(data["data-low-hz"]), float(data["data-high-hz"]), margin_octaves=0.0)
    level = LevelAxis(
        float(data["data-low-db"]),
        float(data["data-high-db"]),
        "x",
        "x",
        inverted=data["data-inverted"] == "true",
    )
    place = (float(data[key]) for key in ("data-left", "data-top", "data-width", "data-height"))
    return Frame(*place, frequency, level)


@dataclass(frozen=True)
class Box:
    text: str
    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other):
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )


def text_boxes(root):
    """The box of every text, by the widest font of the stack: 0.75 em above the baseline, 0.2 em below."""
    boxes = []

    def walk(element, size, bold):
        size = float(element.get("font-size", size))
        bold = element.get("font-weight") == "bold" or bold
        if element.tag == f"{SVG}text":
            width = text_width_px(element.text, size, bold=bold)
            x, y = float(element.get("x")), float(element.get("y"))
            left = x - {"end": width, "middle": width / 2}.get(element.get("text-anchor"), 0.0)
            boxes.append(Box(element.text, left, y - 0.75 * size, left + width, y + 0.2 * size))
        for child in element:
            walk(child, size, bold)

    walk(root, 16.0, bold=False)
    return boxes


def small_chart(series=(), **changes):
    """A chart with as little as possible on it."""
    axis = LevelAxis(0.0, 100.0, "dB SPL at the eardrum", "dB SPL")
    return Chart(**({"id": "c", "title": "Title", "alt": "Words", "level": axis, "series": tuple(series)} | changes))


def curve(n=10, **changes):
    """A curve that rises from 30 to 80 dB."""
    hz = np.geomspace(125.0, 16000.0, n)
    return Series(
        **({"label": "curve", "quantity": LEVEL, "frequency_hz": hz, "level_db": np.linspace(30, 80, n)} | changes)
    )
