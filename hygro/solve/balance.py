"""Water and heat stored in a state, from the same tables as the kernels."""

from __future__ import annotations

import numpy as np

from hygro.constants import WATER_HEAT_CAPACITY, ZERO_CELSIUS
from hygro.grid.cells import Grid
from hygro.materials.tables import LOG_SUCTION_LOW, STEPS_PER_DECADE
from hygro.physics.typing import FloatArray


def water_at(grid: Grid, log_suction: FloatArray) -> FloatArray:
    """Water content of the nodes.

    Parameters
    ----------
    grid : Grid
        The grid.
    log_suction : array, shape (..., nodes)
        log10 of suction in Pa.

    Returns
    -------
    array, shape (..., nodes)
        [kg/m3]
    """
    place = (log_suction - LOG_SUCTION_LOW) * STEPS_PER_DECADE
    k = np.clip(place.astype(np.int64), 0, grid.tables.shape[1] - 2)
    rows = np.broadcast_to(grid.table, k.shape)
    return grid.tables[rows, k, 0] + grid.tables[rows, k, 1] * (place - k) / STEPS_PER_DECADE


def contents(grid: Grid, temperature: FloatArray, water: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Water and enthalpy of each node.

    Parameters
    ----------
    grid : Grid
        The grid.
    temperature : array, shape (nodes,)
        [K]
    water : array, shape (nodes,)
        [kg/m2]

    Returns
    -------
    water, heat : array, shape (nodes,)
        [kg/m2], [J/m2 above 0 degC]
    """
    return water, (grid.heat_capacity + WATER_HEAT_CAPACITY * water) * (temperature - ZERO_CELSIUS)
