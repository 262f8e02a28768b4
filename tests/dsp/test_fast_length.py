"""Lengths of fast transforms against scipy.fft.next_fast_len."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import fft

from umbo.dsp._fast_length import fast_length


@given(st.integers(1, 10**8))
def test_any_length(least):
    assert fast_length(least) == fft.next_fast_len(least, real=True)


@pytest.mark.parametrize("block", [range(1, 3000), range(2**20 - 20, 2**20 + 20)])
def test_every_length(block):
    assert [fast_length(n) for n in block] == [fft.next_fast_len(n, real=True) for n in block]
