"""Array types of this layer."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["BoolArray", "ComplexArray", "FloatArray"]

FloatArray = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]
BoolArray = NDArray[np.bool_]
