"""Cell sizes within one layer: fine at both faces, growing towards the middle."""

from __future__ import annotations

import numpy as np

from hygro.physics.typing import FloatArray

FIRST_CELL = 3e-5
"""Size of the cell at every surface and interface [m]: where wetting fronts arrive and humidity jumps."""

FIRST_CELL_DRY = 1.5e-5
"""The same in a material that no liquid moves in [m]: what condenses at its face collects in the middle of
this cell, too warm or too cold and too near the vapour by half of it, for a whole winter."""

GROWTH_NEAR = 10.0
"""Ratio of neighbouring cells from there on: gradients near a face are steep, but smooth."""

FRONT_CELL = 0.003
"""Size up to which cells grow so fast [m]; wetting fronts that have gone so far are a few of these wide."""

GROWTH = 1.08
"""Ratio of neighbouring cells beyond."""

LARGEST_CELL = 0.02
"""Size at which growth stops [m]."""


def layer_cells(thickness: float, scale: float = 1.0, moves_liquid: bool = True) -> FloatArray:
    """Divide a layer into cells, symmetric about its middle.

    Parameters
    ----------
    thickness : float
        Of the layer [m].
    scale : float
        Factor on all sizes; 0.5 gives about twice as many cells with half the size everywhere.
    moves_liquid : bool
        Whether liquid moves in the material.

    Returns
    -------
    array
        Cell sizes from one face to the other [m]; at least two.
    """
    size = (FIRST_CELL if moves_liquid else FIRST_CELL_DRY) * scale
    sizes = [size]
    while sum(sizes) < thickness / 2:
        if size < FRONT_CELL * scale:
            size = min(size * GROWTH_NEAR**scale, FRONT_CELL * scale)
        else:
            size = min(size * GROWTH**scale, LARGEST_CELL * scale)
        sizes.append(size)
    half = np.array(sizes) * (thickness / 2 / sum(sizes))
    return np.concatenate([half, half[::-1]])
