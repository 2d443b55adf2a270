"""Cell sizes within one layer: fine at both faces, growing towards the middle."""

from __future__ import annotations

import numpy as np

from hygro.physics.typing import FloatArray

FIRST_CELL = 1.0e-4
"""Size of the cell at every surface and interface [m]; where wetting fronts and humidity jumps sit."""

GROWTH = 1.7
"""Ratio of neighbouring cells."""

LARGEST_CELL = 0.008
"""Size at which growth stops [m]."""


def layer_cells(thickness: float, scale: float = 1.0) -> FloatArray:
    """Divide a layer into cells, symmetric about its middle.

    Parameters
    ----------
    thickness : float
        Of the layer [m].
    scale : float
        Factor on all sizes; 0.5 gives about twice as many cells with half the size everywhere.

    Returns
    -------
    array
        Cell sizes from one face to the other [m]; at least two.
    """
    growth = GROWTH**scale
    sizes = [FIRST_CELL * scale]
    while sum(sizes) < thickness / 2:
        sizes.append(min(sizes[-1] * growth, LARGEST_CELL * scale))
    half = np.array(sizes) * (thickness / 2 / sum(sizes))
    return np.concatenate([half, half[::-1]])
