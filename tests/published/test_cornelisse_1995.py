"""Cornelisse, Seewald & Jamieson 1995, J. Acoust. Soc. Am. 97:1854: core mapping by hand (formula from memory)."""

import numpy as np
import pytest

from umbo.prescription import dsl_io_output, dsl_io_share

NORMAL = {"normal_threshold_db_spl": 10.0, "normal_limit_db_spl": 110.0}
IMPAIRED = {"threshold_db_spl": 60.0, "limit_db_spl": 110.0}


def test_fixed_ratio():
    """100 dB of normal range onto 50 dB: a compression ratio of 2, threshold on threshold, limit on limit."""
    level = np.array([10.0, 35.0, 60.0, 110.0])
    assert dsl_io_output(dsl_io_share(level, **NORMAL), exponent=1.0, **IMPAIRED).tolist() == [60.0, 72.5, 85.0, 110.0]


def test_curvilinear():
    """An exponent of 2 at half the range: 60 + 0.25 x 50."""
    assert dsl_io_output(dsl_io_share(60.0, **NORMAL), exponent=2.0, **IMPAIRED) == pytest.approx(72.5)


def test_output_is_limited_above_the_normal_limit():
    assert dsl_io_output(dsl_io_share(125.0, **NORMAL), exponent=1.0, **IMPAIRED) == pytest.approx(110.0)
