"""Cell sizes within one layer: fine at both faces, growing towards the middle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hygro.physics.typing import FloatArray

GROWTH_NEAR = 10.0
"""Ratio of neighbouring cells near a face: gradients are steep there, but smooth."""

FRONT_CELL = 0.003
"""Size up to which cells grow so fast [m]; wetting fronts that have gone so far are a few of these wide."""

GROWTH = 1.08
"""Ratio of neighbouring cells beyond, as far as fronts are steep."""

LARGEST_CELL = 0.02
"""Size at which growth stops [m]."""


@dataclass(frozen=True)
class Spacing:
    """How cells grow in a kind of material.

    Parameters
    ----------
    first : float
        Size of the cell at every surface and interface [m].
    steep_until : float
        Size of cells up to which fronts are steep [m].
    growth : float
        Ratio of neighbouring cells beyond [1].
    """

    first: float
    steep_until: float
    growth: float


CAPILLARY = Spacing(first=3e-5, steep_until=0.01, growth=1.25)
"""Where liquid carries more than vapour can: wetting fronts arrive at faces, and are wide 90 mm from them."""

HYGROSCOPIC = Spacing(first=3e-5, steep_until=FRONT_CELL, growth=1.25)
"""Where vapour carries more: profiles are as smooth as those of diffusion."""

NO_LIQUID = Spacing(first=1.5e-5, steep_until=FRONT_CELL, growth=1.35)
"""Where no liquid moves: what condenses at a face collects in the middle of its cell, too warm or too cold
and too near the vapour by half of it, for a whole winter. Beyond, cells may grow faster than elsewhere: the
errors of the library in docs/benchmarks.md are as small as with 1.15."""


def layer_cells(thickness: float, scale: float = 1.0, spacing: Spacing = CAPILLARY) -> FloatArray:
    """Divide a layer into cells, symmetric about its middle.

    Parameters
    ----------
    thickness : float
        Of the layer [m].
    scale : float
        Factor on all sizes; 0.5 gives about twice as many cells with half the size everywhere.
    spacing : Spacing
        How they grow.

    Returns
    -------
    array
        Cell sizes from one face to the other [m]; at least two.
    """
    size = spacing.first * scale
    sizes = [size]
    while sum(sizes) < thickness / 2:
        if size < FRONT_CELL * scale:
            size = min(size * GROWTH_NEAR**scale, FRONT_CELL * scale)
        else:
            growth = GROWTH if size < spacing.steep_until * scale else spacing.growth
            size = min(size * growth**scale, LARGEST_CELL * scale)
        sizes.append(size)
    half = np.array(sizes) * (thickness / 2 / sum(sizes))
    return np.concatenate([half, half[::-1]])
