"""Cell sizes within one layer: fine at both faces, growing towards the middle."""

from __future__ import annotations

import numpy as np

from hygro.physics.typing import FloatArray

FIRST_CELL = 2.5e-5
"""Size of the cell at every surface and interface [m]: where wetting fronts arrive, condensate collects and
humidity jumps."""

GROWTH_NEAR = 5.0
"""Ratio of neighbouring cells from there on: gradients near a face are steep, but smooth."""

FRONT_CELL = 0.003
"""Size up to which cells grow so fast [m]; wetting fronts that have gone so far are a few of these wide."""

GROWTH = 1.08
"""Ratio of neighbouring cells beyond."""

LARGEST_CELL = 0.02
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
    size = FIRST_CELL * scale
    sizes = [size]
    while sum(sizes) < thickness / 2:
        if size < FRONT_CELL * scale:
            size = min(size * GROWTH_NEAR**scale, FRONT_CELL * scale)
        else:
            size = min(size * GROWTH**scale, LARGEST_CELL * scale)
        sizes.append(size)
    half = np.array(sizes) * (thickness / 2 / sum(sizes))
    return np.concatenate([half, half[::-1]])
