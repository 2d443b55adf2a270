"""Carry a state from one grid of a wall to another, water conserved layer by layer."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import PchipInterpolator

from hygro.grid.cells import Grid
from hygro.materials.tables import LOG_SUCTION, LOG_SUCTION_LOW, STEPS_PER_DECADE
from hygro.physics.typing import FloatArray
from hygro.solve.balance import water_at

SAME_WATER = 1e-12
"""Change of water content, as a share of the largest in the table, below which suction is left as it is."""


def suction_of_water(grid: Grid, water: FloatArray, near: FloatArray) -> FloatArray:
    """Find the suction at which the nodes hold a given water content.

    Parameters
    ----------
    grid : Grid
        The grid.
    water : array, shape (nodes,)
        [kg/m3]; what is drier than the table counts as its dry end, what is wetter than its wet end is
        condensate and lies on the line through its last two points, as in `water_at`.
    near : array, shape (nodes,)
        log10 of suction in Pa for the surface nodes, which store nothing, and wherever the water is already
        that.

    Returns
    -------
    array, shape (nodes,)
        log10 of suction in Pa.
    """
    found = near.copy()
    present = water_at(grid, near)
    for table in np.unique(grid.table):
        curve = grid.tables[table, :, 0]
        nodes = (grid.table == table) & (grid.size > 0.0)
        nodes &= np.abs(water - present) > SAME_WATER * curve[0]
        within = np.interp(-water[nodes], -curve, LOG_SUCTION)
        beyond = LOG_SUCTION_LOW + (water[nodes] - curve[0]) / ((curve[1] - curve[0]) * STEPS_PER_DECADE)
        found[nodes] = np.where(water[nodes] > curve[0], beyond, within)
    return found


def carried(
    source: Grid, target: Grid, temperature: FloatArray, log_suction: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Carry a state of a wall to another grid of the same wall.

    The water of each layer stays what it is: the water up to a depth is interpolated between the faces, by a
    curve that rises wherever the data do (Fritsch and Carlson 1980).

    Parameters
    ----------
    source, target : Grid
        Two grids of one wall.
    temperature, log_suction : array, shape (source nodes,)
        [K], [log10 Pa].

    Returns
    -------
    temperature, log_suction : array, shape (target nodes,)
    """
    held = water_at(source, log_suction)
    water = np.zeros(target.nodes)
    for layer in np.unique(source.layer):
        old = (source.layer == layer) & (source.size > 0.0)
        new = (target.layer == layer) & (target.size > 0.0)
        old_faces, new_faces = (
            np.cumsum([0.0, *grid.size[part]]) for grid, part in ((source, old), (target, new))
        )
        up_to = PchipInterpolator(old_faces / old_faces[-1], np.cumsum([0.0, *(held * source.size)[old]]))
        water[new] = np.diff(up_to(new_faces / new_faces[-1])) / target.size[new]
    near = np.interp(target.depth, source.depth, log_suction)
    return np.interp(target.depth, source.depth, temperature), suction_of_water(target, water, near)
