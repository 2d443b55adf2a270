"""States of a march at places that lie on no node."""

import numpy as np

from hygro.physics.moist_air import relative_humidity
from hygro.results.places import FARTHEST
from hygro.solve.balance import water_at


def at_interfaces(grid, values):
    """Mean of what the lines through the two nearest cells of either side have at each interface.

    `values` has the nodes of the whole grid last; so results state the place (docs/solver.md). Lines do not
    go far beyond a node: cells filled with condensate have no suction.
    """
    inner = np.flatnonzero(np.diff(grid.layer[1:-1])) + 2
    outer = inner - 1
    depth = grid.depth[outer] + grid.size[outer] / 2

    def line(node, other):
        share = (depth - grid.depth[node]) / (grid.depth[node] - grid.depth[other])
        beyond = share * (values[..., node] - values[..., other])
        return values[..., node] + np.clip(beyond, -FARTHEST, FARTHEST)

    return 0.5 * (line(outer, outer - 1) + line(inner, inner + 1))


def interface_states(grid, temperature, log_suction):
    """Temperature [K] and relative humidity [1] at each interface."""
    t, x = at_interfaces(grid, temperature), at_interfaces(grid, log_suction)
    return t, relative_humidity(10.0**x, t)


def layer_water(grid, log_suction):
    """Water in each layer [kg/m2], snapshots first."""
    water = water_at(grid, log_suction)[..., 1:-1] * grid.size[1:-1]
    layer = grid.layer[1:-1]
    return np.stack([water[..., layer == k].sum(axis=-1) for k in range(layer.max() + 1)], axis=-1)
