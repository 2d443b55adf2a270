"""Means over days."""

from __future__ import annotations

import numpy as np

from hygro.physics.typing import FloatArray


def daily_mean(values: FloatArray) -> FloatArray:
    """Return the mean of each day, repeated for its 24 hours.

    Parameters
    ----------
    values : array, shape (24 n,)
        From the begin of the first day.

    Returns
    -------
    array, shape (24 n,)
        Same unit.
    """
    return np.repeat(values.reshape(-1, 24).mean(axis=1), 24)
