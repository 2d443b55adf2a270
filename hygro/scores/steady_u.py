"""Steady-state heat transmission of ISO 6946."""

from __future__ import annotations

import numpy as np

from hygro.constants import EXTERNAL_RESISTANCE, INTERNAL_RESISTANCE
from hygro.errors import ResultError
from hygro.physics.typing import FloatArray


def total_resistance(thickness: FloatArray, conductivity: FloatArray) -> float:
    """Thermal resistance from room to outdoors.

    Parameters
    ----------
    thickness : array, shape (layers,)
        [m].
    conductivity : array, shape (layers,)
        [W/(m K)].

    Returns
    -------
    float
        [m2 K/W].

    Raises
    ------
    ResultError
        Where a thickness or a conductivity is not above 0.
    """
    d, k = np.asarray(thickness, dtype=np.float64), np.asarray(conductivity, dtype=np.float64)
    if d.shape != k.shape or not (np.all(d > 0.0) and np.all(k > 0.0)):
        raise ResultError(
            "thickness and conductivity of the layers are unusable",
            found=(d.tolist(), k.tolist()),
            expected="one number above 0 a layer",
        )
    return INTERNAL_RESISTANCE + float(np.sum(d / k)) + EXTERNAL_RESISTANCE


def u_value(thickness: FloatArray, conductivity: FloatArray) -> float:
    """Thermal transmittance U [W/(m2 K)]; parameters and errors as in `total_resistance`."""
    return 1.0 / total_resistance(thickness, conductivity)
