"""The code against the formulas as the tables carry them in words, evaluated as they stand there."""

import numpy as np
import pytest

from umbo import refdata
from umbo.prescription import (
    NAL_R_HZ,
    dsl_io_output,
    dsl_io_share,
    fig6_insertion_gain,
    nal_r_constants,
    nal_r_insertion_gain,
    nal_rp_insertion_gain,
    pogo_ii_insertion_gain,
    pogo_insertion_gain,
)

HZ = np.array(NAL_R_HZ)


def text_of(source, name):
    return refdata.table("prescription_formulas", source=source).text_at(name, "formula")


def value(expression, **names):
    return eval(expression, {"__builtins__": {}}, names)  # noqa: S307  (our own table)


@pytest.mark.parametrize("flat", [-10.0, 30.0, 60.0, 61.0, 85.0, 94.0])
def test_nal_r_and_nal_rp(flat):
    k, _ = nal_r_constants()
    names = {"H500": flat, "H1k": flat, "H2k": flat, "H": lambda _f: flat, "k": k.get}
    level = np.full(HZ.size, flat)
    linear = text_of("byrne-dillon-1986", "NAL-R").partition("=")[2]
    found = nal_r_insertion_gain(HZ, level)
    assert found == pytest.approx([value(linear, f=f, **names) for f in NAL_R_HZ])
    total, x, gain = (part.partition("=")[2] for part in text_of("byrne-1990", "NAL-RP").split("; "))
    names["X"] = value(x, S=value(total, **names))
    gain = gain.removesuffix("+PC(f,H2k>=95)")
    assert "PC" not in gain
    assert nal_rp_insertion_gain(HZ, level) == pytest.approx([value(gain, f=f, **names) for f in NAL_R_HZ])


@pytest.mark.parametrize("flat", [0.0, 40.0, 64.0, 66.0, 100.0])
def test_pogo_and_pogo_ii(flat):
    c = refdata.table("simple_rules", source="mccandless-lyregaard-1983")
    hz = np.array(c.column("frequency_hz"))
    names = {"H": flat, "c": lambda f: c.at(f, "constant_db")}
    first = text_of("mccandless-lyregaard-1983", "POGO").partition("=")[2]
    level = np.full(hz.size, flat)
    assert pogo_insertion_gain(hz, level) == pytest.approx([value(first, f=f, **names) for f in hz])
    second, _, condition = text_of("schwartz-1988", "POGO II").partition("=")[2].partition(" for ")
    used = second if value(condition, H=flat) else first
    assert pogo_ii_insertion_gain(hz, level) == pytest.approx([value(used, f=f, **names) for f in hz])


def pieces(text):
    """Expression and condition of each piece of "0 for H<20; H-20 for 20-60; ..."."""
    for piece in text.split("; "):
        expression, _, condition = piece.partition(" for ")
        low, dash, high = condition.partition("-")
        yield expression.replace("^", "**"), f"{low} <= H <= {high}" if dash else condition


@pytest.mark.parametrize("overall", [40.0, 65.0, 95.0])
@pytest.mark.parametrize("level", [0.0, 19.0, 21.0, 39.0, 41.0, 59.0, 61.0, 90.0, 120.0])
def test_fig6(overall, level):
    text = text_of("killion-fikret-pasa-1993", f"FIG6 {overall:g} dB input")
    (expected,) = [value(e, H=level) for e, condition in pieces(text) if value(condition, H=level)]
    assert fig6_insertion_gain(np.array([500.0]), np.array([level]), overall) == pytest.approx([expected])


@pytest.mark.parametrize("exponent", [0.5, 1.0, 2.0])
def test_dsl_io(exponent):
    text = text_of("cornelisse-1995", "DSL[i/o] core mapping").partition(";")[0].partition("=")[2].replace("^", "**")
    names = {"I": 62.0, "Imin": 7.0, "Imax": 105.0, "Omin": 71.0, "Omax": 118.0, "M": exponent}
    share = dsl_io_share(62.0, normal_threshold_db_spl=7.0, normal_limit_db_spl=105.0)
    found = dsl_io_output(share, threshold_db_spl=71.0, limit_db_spl=118.0, exponent=exponent)
    assert found == pytest.approx(value(text, **names))
