"""The visual language: contrast, lightness, and difference without colour."""

import numpy as np
import pytest

from umbo.chart import Line, contrast, hue
from umbo.chart._draw_curves import BAND_OPACITY
from umbo.chart._language import (
    FRAME,
    HATCH,
    INK,
    LEFT_BLUE,
    MUTED,
    PAPER,
    RIGHT_RED,
    UNTRUSTED,
    WASH,
    _srgb,
    level_lightness,
)

LEVELS = (40, 50, 55, 65, 75, 80, 90, 100)


def over(colour, opacity, ground):
    """A colour with some opacity on a ground, mixed in sRGB as SVG does."""
    mix = [round(opacity * int(colour[i : i + 2], 16) + (1 - opacity) * int(ground[i : i + 2], 16)) for i in (1, 3, 5)]
    return "#" + "".join(f"{v:02x}" for v in mix)


def test_contrast_ratio_of_published_pairs():
    # WCAG 2.2: black on white is 21:1; #767676 is the lightest grey that passes 4.5:1 on white.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)
    assert contrast("#777777", "#ffffff") < 4.5


def test_oklch_of_published_colours():
    # CSS Color 4 gives sRGB red as oklch(0.62796 0.25768 29.234).
    assert _srgb(0.62796, 0.25768, 29.234) == "#ff0000"
    assert _srgb(1.0, 0.0, 0.0) == "#ffffff"
    assert _srgb(0.0, 0.0, 0.0) == "#000000"


@pytest.mark.parametrize("ground", [PAPER, WASH])
@pytest.mark.parametrize("colour", [INK, MUTED])
def test_text_reaches_the_aa_ratio(colour, ground):
    assert contrast(colour, ground) >= 4.5


@pytest.mark.parametrize("colour", [hue(), UNTRUSTED, RIGHT_RED, LEFT_BLUE, MUTED, *(hue(level) for level in LEVELS)])
def test_lines_and_symbols_reach_the_graphics_ratio_on_paper_and_wash(colour):
    assert contrast(colour, PAPER) >= 3.0
    assert contrast(colour, WASH) >= 3.0


@pytest.mark.parametrize("colour", [FRAME, HATCH])
def test_frame_and_hatching_are_visible_on_paper(colour):
    assert contrast(colour, PAPER) >= 3.0


@pytest.mark.parametrize("level", [55, 65, 75])
def test_a_curve_stands_out_from_its_own_band(level):
    assert contrast(hue(level), over(hue(level), BAND_OPACITY, PAPER)) >= 3.0


def test_louder_is_darker_and_clinical_levels_differ_in_greyscale():
    lightness = [level_lightness(level) for level in LEVELS]
    assert all(np.diff(lightness) <= 0)
    luminance_ratio = [contrast(hue(a), hue(b)) for a, b in ((55, 65), (65, 75), (75, 90))]
    assert min(luminance_ratio) >= 1.25


def test_every_line_style_has_a_dash_pattern_of_its_own():
    assert len({line.dash for line in Line}) == len(Line)
