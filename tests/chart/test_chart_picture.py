"""The picture file is drawn from the same SVG."""

import struct
import zlib

import numpy as np
import pytest
from chart_reading import curve, frame_of, parse, small_chart

from umbo.chart import hue, render_png, render_svg
from umbo.errors import InputError


def read_png(data):
    """Pixels (rows, columns, 3) of a plain 8-bit RGB or RGBA picture, without any image library."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    chunks, at = {}, 8
    while at < len(data):
        size, kind = struct.unpack(">I4s", data[at : at + 8])
        chunks[kind] = chunks.get(kind, b"") + data[at + 8 : at + 8 + size]
        at += 12 + size
    width, height, depth, colour, *_, interlace = struct.unpack(">IIBBBBB", chunks[b"IHDR"])
    assert (depth, interlace) == (8, 0)
    channels = {2: 3, 6: 4}[colour]
    raw = np.frombuffer(zlib.decompress(chunks[b"IDAT"]), np.uint8).reshape(height, 1 + width * channels).astype(int)
    rows = np.zeros((height + 1, width + 1, channels), int)
    for y in range(height):
        _unfilter(raw[y, 0], raw[y, 1:].reshape(width, channels), rows, y)
    return rows[1:, 1:, :3]


def _unfilter(kind, line, rows, y):
    above, here = rows[y], rows[y + 1]
    for x in range(1, line.shape[0] + 1):
        a, b, c = here[x - 1], above[x], above[x - 1]
        p = a + b - c
        near = np.where(
            (abs(p - a) <= abs(p - b)) & (abs(p - a) <= abs(p - c)),
            a,
            np.where(abs(p - b) <= abs(p - c), b, c),
        )
        here[x] = (line[x - 1] + (0, a, b, (a + b) // 2, near)[kind]) & 255


def test_the_curve_is_where_the_drawing_says_in_its_own_colour():
    chart = small_chart([curve(2, level_db=[50, 50], show_label=False)], height_px=80.0)
    picture = read_png(render_png(chart, 1.0, width_px=260.0))
    svg = parse(render_svg(chart, width_px=260.0))
    assert picture.shape[:2] == (round(float(svg.get("height"))), 260)
    frame = frame_of(svg, "c")
    x, y = round(float(frame.x_px(1414.0))), float(frame.y_px(50.0))
    colour = np.array([int(hue()[i : i + 2], 16) for i in (1, 3, 5)])
    column = np.abs(picture[:, x] - colour).max(axis=1)
    assert column.min() < 60
    assert abs(np.argmin(column) + 0.5 - y) <= 1.0


def test_scale_multiplies_the_picture_points():
    chart = small_chart([curve()])
    header = struct.unpack(">II", render_png(chart, 3.0)[16:24])
    height = float(parse(render_svg(chart)).get("height"))
    assert header[0] == 2160
    assert header[1] == pytest.approx(3 * height, abs=2)


@pytest.mark.parametrize("scale", [0.0, -1.0, 11.0, float("nan")])
def test_a_scale_out_of_range_is_refused(scale):
    with pytest.raises(InputError, match="scale"):
        render_png(small_chart(), scale)
