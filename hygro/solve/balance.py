"""Water and heat stored in a state, from the same tables as the kernels."""

from __future__ import annotations

import numpy as np

from hygro.constants import FUSION_ENTHALPY, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from hygro.grid.cells import Grid
from hygro.materials.tables import LOG_SUCTION_LOW, STEPS_PER_DECADE
from hygro.physics.typing import FloatArray
from hygro.solve.state import FREEZING_SUCTION, LEAST_COLD, MELTING


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


def ice_at(grid: Grid, temperature: FloatArray, log_suction: FloatArray) -> FloatArray:
    """Part of the water content that is ice where water freezes: what suction at freezing does not hold.

    Parameters
    ----------
    grid : Grid
        The grid.
    temperature, log_suction : array, shape (..., nodes)
        [K], log10 of suction in Pa.

    Returns
    -------
    array, shape (..., nodes)
        [kg/m3]
    """
    below = np.maximum(MELTING - temperature, LEAST_COLD)
    freezing = np.maximum(np.log10(below * FREEZING_SUCTION), log_suction)
    freezing = np.where(temperature < MELTING - LEAST_COLD, freezing, log_suction)
    left: FloatArray = water_at(grid, log_suction) - water_at(grid, freezing)
    return left


def contents(
    grid: Grid, temperature: FloatArray, water: FloatArray, ice: FloatArray | float = 0.0
) -> tuple[FloatArray, FloatArray]:
    """Water and enthalpy of each node.

    Parameters
    ----------
    grid : Grid
        The grid.
    temperature : array, shape (nodes,)
        [K]
    water : array, shape (nodes,)
        Ice included [kg/m2].
    ice : array, shape (nodes,)
        [kg/m2].

    Returns
    -------
    water, heat : array, shape (nodes,)
        [kg/m2], [J/m2 above that of liquid water and dry material at 0 degC]
    """
    heat = (grid.heat_capacity + WATER_HEAT_CAPACITY * water) * (temperature - ZERO_CELSIUS)
    return water, heat - FUSION_ENTHALPY * ice
