"""Types shared by the physics functions."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
FloatOrArray = TypeVar("FloatOrArray", float, NDArray[np.float64])
