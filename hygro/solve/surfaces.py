"""What crosses the two surfaces in a step, and what a step gets wrong there.

Plain functions over flat arrays, as described in `hygro.solve.kernels`.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars and flat arrays throughout

from __future__ import annotations

from hygro.solve.layout import (
    B_RAIN,
    B_VAPOUR,
    E_BEYOND,
    E_CONDUCTANCE,
    E_CONDUCTED,
    E_HEAT,
    E_OWED,
    E_PRESSURE,
    E_PRESSURE_T,
    E_PRESSURE_X,
    E_RAIN,
    E_RAIN_X,
    E_SENSIBLE,
    E_SENSIBLE_T,
    E_WATER,
    F_HEAT_EXT,
    F_HEAT_INT,
    F_HEAT_SOURCE,
    F_RAIN_EXT,
    F_SENSIBLE_EXT,
    F_WATER_EXT,
    F_WATER_SOURCE,
    Q_T,
    Q_X,
    SUM_T,
    SUM_X,
    V_HEAT,
    V_HT,
    V_HX,
    V_WATER,
    V_WT,
    V_WX,
)
from hygro.solve.state import node_state

# Of the second-order part of a curve at the mean of a straight path from the point of its tangent, its mean
# over that path.
STRAIGHT_PATH = 4.0 / 3.0
FARTHEST_TANGENT = 1.0  # decades beyond which a tangent says nothing of a curve
MOST_BEYOND = 0.1  # of its vapour pressure by which a surface is given back what it is owed


def overtaken(work, edges, gamma, outside, inside, hour):
    """Rain that a step takes up beyond what falls, as a share of that; the larger of both surfaces.

    Where a wall begins to let water run off within a step, slopes at its end say that it could have taken
    more before than there was.
    """
    most = 0.0
    for side in range(2):
        falls = outside[hour, B_RAIN] if side == 0 else inside[hour, B_RAIN]
        surface = 0 if side == 0 else work.shape[0] - 1
        taken = edges[side, E_RAIN] + gamma * edges[side, E_RAIN_X] * work[surface, SUM_X]
        if falls > 0.0:
            most = max(most, taken / falls - 1.0, -taken / falls)
    return most


def owe(
    table, tables, air, exponentials, ice, outside, inside, fixed_out, fixed_in, hour, gamma, step,
    temperature, x, work, edges,
):  # fmt: skip
    """Note how much more vapour the surfaces gave off in a step than their vapour pressure was good for.

    The flow is linear in the state, vapour pressure is not: hour by hour that errs to the same side. At the
    mean state of the step both are known. The next steps make up for it, in proportion to vapour pressure: no
    surface is asked for what it does not hold.
    """
    for side in range(2):
        beta = outside[hour, B_VAPOUR] if side == 0 else inside[hour, B_VAPOUR]
        if (fixed_out if side == 0 else fixed_in) or not beta > 0.0:
            continue
        i = 0 if side == 0 else work.shape[0] - 1
        d_t, d_x = gamma * work[i, SUM_T], gamma * work[i, SUM_X]
        far = abs(d_x) > FARTHEST_TANGENT
        if far:  # nothing is known of the path but its end; what was given back counts all the same
            d_t, d_x = work[i, Q_T], work[i, Q_X]
        from_t, from_x = temperature[i] - work[i, Q_T], x[i] - work[i, Q_X]
        mean = node_state(from_t + d_t, from_x + d_x, 0.0, tables, table[i], air, exponentials, ice)
        tangent = edges[side, E_PRESSURE] + edges[side, E_PRESSURE_T] * d_t + edges[side, E_PRESSURE_X] * d_x
        off = 0.0 if far else STRAIGHT_PATH * (tangent - mean[1])
        edges[side, E_OWED] += beta * step * (off + edges[side, E_BEYOND] * mean[1])
        beyond = -edges[side, E_OWED] / (beta * mean[1] * step)
        edges[side, E_BEYOND] = min(max(beyond, -MOST_BEYOND), MOST_BEYOND)


def boundary_flows(work, edges, gamma, seconds, fixed_out, fixed_in, sums):
    """Add the boundary flows over a step, linear as the solves are: contents and flows then agree."""
    n = work.shape[0]
    for side in range(2):
        inner = 0 if side == 0 else n - 2
        surface = 0 if side == 0 else n - 1
        sign = (1.0 - 2.0 * side) * seconds
        shift = side * F_HEAT_INT
        for part in range(2):
            e = E_WATER if part == 0 else E_HEAT
            flow = edges[side, e]
            for k in range(2):
                flow += gamma * (
                    edges[side, e + 1 + 2 * k] * work[inner + k, SUM_T]
                    + edges[side, e + 2 + 2 * k] * work[inner + k, SUM_X]
                )
            sums[(F_WATER_EXT if part == 0 else F_HEAT_EXT) + shift] += sign * flow
        sums[F_RAIN_EXT + shift] += seconds * (
            edges[side, E_RAIN] + gamma * edges[side, E_RAIN_X] * work[surface, SUM_X]
        )
        if fixed_out if side == 0 else fixed_in:
            fall = work[inner, SUM_T] - work[inner + 1, SUM_T]
            sensible = sign * (edges[side, E_CONDUCTED] + gamma * edges[side, E_CONDUCTANCE] * fall)
        else:
            sensible = seconds * (
                edges[side, E_SENSIBLE] + gamma * edges[side, E_SENSIBLE_T] * work[surface, SUM_T]
            )
        sums[F_SENSIBLE_EXT + shift] += sensible


def source_flows(work, sources, gamma, seconds, sums):
    """Add what sources within the wall give over a step, linear as the solves are."""
    given = sources[5]
    for row in range(sources[1].shape[0]):
        d_t, d_x = gamma * work[sources[1][row], SUM_T], gamma * work[sources[1][row], SUM_X]
        water = given[row, V_WATER] + given[row, V_WT] * d_t + given[row, V_WX] * d_x
        heat = given[row, V_HEAT] + given[row, V_HT] * d_t + given[row, V_HX] * d_x
        sums[F_WATER_SOURCE] += seconds * water
        sums[F_HEAT_SOURCE] += seconds * heat
