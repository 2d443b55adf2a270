"""Further solves with the factors of a sweep, and what they do to the state.

Plain functions over flat arrays, as described in `hygro.solve.kernels`.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars and flat arrays throughout

from __future__ import annotations

from hygro.constants import FUSION_ENTHALPY, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from hygro.materials.tables import LOG_SUCTION_HIGH, LOG_SUCTION_LOW
from hygro.solve.layout import (
    AIR_HIGH,
    AIR_LOW,
    B_RAIN,
    E_CONDUCTANCE,
    E_CONDUCTED,
    E_HEAT,
    E_RAIN,
    E_RAIN_X,
    E_SENSIBLE,
    E_SENSIBLE_T,
    E_WATER,
    F_H,
    F_HEAT_EXT,
    F_HEAT_INT,
    F_HEAT_SOURCE,
    F_RAIN_EXT,
    F_SENSIBLE_EXT,
    F_W,
    F_WATER_EXT,
    F_WATER_SOURCE,
    G_H,
    G_W,
    K_CHANGE,
    K_GONE,
    K_WORST,
    M_HT,
    M_HX,
    M_WX,
    METHOD_FLOW,
    METHOD_GAMMA,
    METHOD_MISMATCH,
    MOVED,
    NEW_H,
    NEW_W,
    OLD_H,
    OLD_T,
    OLD_W,
    OLD_X,
    Q_T,
    Q_X,
    R_H,
    R_W,
    S_ERROR,
    S_LEAP,
    S_LONGEST,
    S_TOLERANCE_PHI,
    S_TOLERANCE_T,
    S_TOLERANCE_W,
    SLOPE_PHI,
    SUM_T,
    SUM_X,
    U_TT,
    U_TX,
    U_XT,
    U_XX,
    V_HEAT,
    V_HT,
    V_HX,
    V_MORE_H,
    V_MORE_W,
    V_WATER,
    V_WT,
    V_WX,
    Z_T,
    Z_X,
)
from hygro.solve.state import FREEZING_SUCTION, MELTING, interval, liquid_pull
from hygro.solve.sweep import meet, onward, record_surface

LONGEST_STRIDE = 1.0  # decades of suction that one update may move a node
LEAST_WATER = 1e-9  # share of free saturation by which rounding may overdraw a node
NEVER = 1e30  # size of a change that leaves less than no water, or a temperature out of reach
LONGEST_WARMING = 20.0  # kelvin that one update may move a node
LARGEST_WARMING = 50.0  # kelvin that a step may

FIRST_COLD = 1e-3  # kelvin below its freezing point to which one update may cool a node that was above
LAST_COLD = 1e-6  # kelvin below its freezing point from which a node may be warmed across it
NEARER = 0.1  # of the distance to the freezing point is left where an update would cross it
HALTED = 1.01  # change of an update that was halted, over the largest with which an iteration may end

# Water that condenses where it cannot flow away (against a foil) fills a cell and more: its content goes on
# rising along the last slope of the table, and x, which has lost its meaning as a suction, falls as far as
# that takes.
LOWEST = -1.0e6


def backward(work, i, y_t, y_x, d_t, d_x):
    """Solution of node i from its eliminated right-hand side y and the solution d of the node outside."""
    return (
        y_t - work[i, U_TT] * d_t - work[i, U_TX] * d_x,
        y_x - work[i, U_XT] * d_t - work[i, U_XX] * d_x,
    )


def back(work, first):
    """Substitute back from outside to inside, and add the solution to the sum of the iteration."""
    d_t, d_x = 0.0, 0.0
    for i in range(work.shape[0]):
        d_t, d_x = backward(work, i, work[i, Q_T], work[i, Q_X], d_t, d_x)
        work[i, Q_T], work[i, Q_X] = d_t, d_x
        work[i, SUM_T] = d_t if first else work[i, SUM_T] + d_t
        work[i, SUM_X] = d_x if first else work[i, SUM_X] + d_x


def again(work, flow_weight, mismatch_weight):
    """Eliminate the right-hand side of the next solve: stored change of the last and some flow."""
    y_t, y_x = 0.0, 0.0
    for j in range(work.shape[0]):
        i = work.shape[0] - 1 - j
        kept_w = work[i, M_WX] * work[i, Q_X] - mismatch_weight * work[i, R_W]
        kept_h = work[i, M_HX] * work[i, Q_X] + work[i, M_HT] * work[i, Q_T] - mismatch_weight * work[i, R_H]
        work[i, G_W], work[i, G_H] = kept_w, kept_h
        r_w, r_h = flow_weight * work[i, F_W] + kept_w, flow_weight * work[i, F_H] + kept_h
        y_t, y_x = onward(work, i, r_w, r_h, y_t, y_x)
        work[i, Q_T], work[i, Q_X] = y_t, y_x


def solve_rest(work, method):
    """Substitute back after an elimination and solve on as often as the method asks."""
    back(work, True)
    for k in range(method.shape[0] - 1):
        row = method.shape[0] - 2 - k
        again(work, method[row, METHOD_FLOW], method[row, METHOD_MISMATCH])
        back(work, False)


def end_flow(work, i):
    """Net flow into a node at the end of the step, as the linear model of the last iteration has it."""
    w = work[i, M_WX] * work[i, Q_X] - work[i, G_W]
    h = work[i, M_HX] * work[i, Q_X] + work[i, M_HT] * work[i, Q_T] - work[i, G_H]
    return w, h


def advance_edge(edges, side, work, i):
    """Move the flows across an outermost face, between nodes i and i + 1, to the end of the step."""
    for e in (E_WATER, E_HEAT):
        edges[side, e] += (
            edges[side, e + 1] * work[i, Q_T]
            + edges[side, e + 2] * work[i, Q_X]
            + edges[side, e + 3] * work[i + 1, Q_T]
            + edges[side, e + 4] * work[i + 1, Q_X]
        )
    edges[side, E_CONDUCTED] += edges[side, E_CONDUCTANCE] * (work[i, Q_T] - work[i + 1, Q_T])


def go_on(work, edges, sources, flow_weight, first, last, fixed_out, fixed_in):
    """Eliminate the right-hand side of a step that goes on from the last one with its factors.

    `first` and `last` are what the two surfaces get from the climate of the new hour; `sources` hold what
    that adds within the wall.
    """
    n = work.shape[0]
    advance_edge(edges, 0, work, 0)
    advance_edge(edges, 1, work, n - 2)
    record_surface(edges, 1, last)
    meet(work, edges, first)
    y_t, y_x = 0.0, 0.0
    for j in range(n):
        i = n - 1 - j
        f_w, f_h = end_flow(work, i)
        row = sources[0][i]
        if row >= 0:
            f_w += sources[5][row, V_MORE_W]
            f_h += sources[5][row, V_MORE_H]
        if i == n - 1:
            f_w = last[0] if fixed_in else last[0] + edges[1, E_WATER]
            f_h = last[3] if fixed_in else last[3] + edges[1, E_HEAT]
        if i == 0:
            f_w = first[0] if fixed_out else first[0] - edges[0, E_WATER]
            f_h = first[3] if fixed_out else first[3] - edges[0, E_HEAT]
        work[i, F_W], work[i, F_H] = f_w, f_h
        work[i, R_W], work[i, R_H], work[i, G_W], work[i, G_H] = 0.0, 0.0, 0.0, 0.0
        y_t, y_x = onward(work, i, flow_weight * f_w, flow_weight * f_h, y_t, y_x)
        work[i, Q_T], work[i, Q_X] = y_t, y_x


def guess(work, edges, sources, method, ratio, first, last, fixed_out, fixed_in):
    """Solve for the next step with the factors of the last, whose length is `ratio` times as large.

    Where the lengths differ, the factors belong to another gamma; two solves then give the change of slow
    nodes to first order and that of stiff ones.
    """
    if abs(ratio - 1.0) < 1e-6:
        weight = method[method.shape[0] - 1, METHOD_FLOW]
        go_on(work, edges, sources, weight, first, last, fixed_out, fixed_in)
        solve_rest(work, method)
    else:
        pole = method[0, METHOD_GAMMA] * ratio
        go_on(work, edges, sources, (1.0 - pole) / pole, first, last, fixed_out, fixed_in)
        back(work, True)
        again(work, 1.0, 0.0)
        back(work, False)


def farthest(work):
    """Largest change of the last solve, in decades of suction or LONGEST_WARMING."""
    largest = 0.0
    for i in range(work.shape[0]):
        change = max(abs(work[i, Q_X]), abs(work[i, Q_T]) / LONGEST_WARMING)
        if not change <= largest:
            largest = change
    return largest


def freezing_stop(before, after, x):
    """Temperature at which an update halts that would cross the freezing point of a node.

    Heat capacity jumps by orders of magnitude there: Newton's method would go to and fro.
    """
    point = MELTING - 10.0**x / FREEZING_SUCTION
    if before > point and after < point - FIRST_COLD:
        return point - FIRST_COLD
    if after > point and before < point - LAST_COLD:
        return point - NEARER * (point - before)
    return after


def held_heat(temperature, x, water, size, table, capacity, tables):
    """Heat of a node that holds `water`, of which part may be ice [J/m2]."""
    heat = (capacity + WATER_HEAT_CAPACITY * water) * (temperature - ZERO_CELSIUS)
    pull = liquid_pull(temperature, x)
    if pull == x:
        return heat
    k, d = interval(pull, tables.shape[1])
    return heat - FUSION_ENTHALPY * (water - size * (tables[table, k, 0] + tables[table, k, 1] * d))


def update(
    temperature, x, work, size, table, capacity, tables, reference, gdt, damped, ice, settings, control
):  # fmt: skip
    """Move the state and leave the contents that the flows lead to.

    `reference` is the inverse of the storage at free saturation per node [m2/kg]. Returns the size of the
    change against the tolerances, and how far the contents that the flows lead to are from those of the state
    against that of water (where it freezes, heat as well, as the ice that it would melt); leaves the node of
    the largest in `control`.
    """
    phi_scale = 1.0 / settings[S_TOLERANCE_PHI]
    t_scale = 1.0 / settings[S_TOLERANCE_T]
    w_scale = 1.0 / settings[S_TOLERANCE_W]
    change, mismatch, gone, worst = 0.0, 0.0, 0.0, 0
    for i in range(temperature.shape[0]):
        d_t, d_x = work[i, Q_T], work[i, Q_X]
        by_phi = abs(work[i, SLOPE_PHI]) * phi_scale
        by_w = abs(work[i, M_WX]) * gdt * w_scale * reference[i]
        gained_w = work[i, R_W] + work[i, M_WX] * d_x
        gained_h = work[i, R_H] + work[i, M_HX] * d_x + work[i, M_HT] * d_t
        work[i, NEW_W] = work[i, OLD_W] + gained_w * gdt
        work[i, NEW_H] = work[i, OLD_H] + gained_h * gdt
        # What fills a cell beyond its pores changes nothing but its content, along a straight line.
        filled = x[i] < LOG_SUCTION_LOW and x[i] + d_x < LOG_SUCTION_LOW
        by_x = 0.0 if filled else max(by_phi, by_w)
        moves = max(abs(d_t) * t_scale, abs(d_x) * by_x)
        if work[i, NEW_W] * reference[i] < -LEAST_WATER:
            moves = NEVER
        if not moves <= change:  # a NaN lands here and stays
            change = moves
            worst = i
        warmed = min(
            max(temperature[i] + min(max(d_t, -LONGEST_WARMING), LONGEST_WARMING), AIR_LOW), AIR_HIGH
        )
        if ice is not None and work[i, M_HT] != 0.0:
            stop = freezing_stop(temperature[i], warmed, x[i])
            if stop != warmed:
                warmed = stop
                change = max(change, HALTED * settings[S_LEAP])
        temperature[i] = warmed
        stride = max(LONGEST_STRIDE, -0.5 * x[i])
        # Where curves bend sharply, or rain sets in on a dry surface, a node overshoots to and fro; a shorter
        # stride at each turn brings it in.
        if damped and d_x * work[i, MOVED] < 0.0:
            stride = 0.5 * abs(work[i, MOVED])
        moved = min(max(d_x, -stride), stride)
        work[i, MOVED] = moved
        x[i] = min(max(x[i] + moved, LOWEST), LOG_SUCTION_HIGH)
        warming = abs(temperature[i] - work[i, OLD_T])
        gone = max(gone, warming * t_scale, abs(x[i] - work[i, OLD_X]) * by_x)
        if warming > LARGEST_WARMING:
            change, worst = NEVER, i
        k, d = interval(x[i], tables.shape[1])
        held = size[i] * (tables[table[i], k, 0] + tables[table[i], k, 1] * d)
        mismatch = max(mismatch, abs(held - work[i, NEW_W]) * reference[i])
        if ice is not None:
            # Heat capacity jumps where water begins and ends to freeze: the linear model may freeze more than
            # there is, or have a temperature with ice for which no heat was taken.
            heat = held_heat(temperature[i], x[i], held, size[i], table[i], capacity[i], tables)
            mismatch = max(mismatch, abs(heat - work[i, NEW_H]) * reference[i] / FUSION_ENTHALPY)
    control[K_WORST] = worst
    control[K_CHANGE] = change
    control[K_GONE] = gone
    return change, mismatch * w_scale


def local_error(work, method, gdt, reference, settings, control):
    """Local error against the tolerances, through the matrix of the step.

    The difference between the flow at the end of the step and its mean is what a method of first order
    would get wrong; the factors bring it back to changes of state. A step as long as steps may be that moves
    no node farther than the tolerances needs no estimate: of a decay, that is a third of what it moves at
    most. What it moves is returned instead. Backward Euler takes the flow at the end for the mean: it errs
    by half of what it moves at most.
    """
    if method.shape[0] == 1:
        return 0.5 * control[K_GONE]
    gamma = method[0, METHOD_GAMMA]
    longest = gdt >= gamma * settings[S_LONGEST] * (1.0 - 1e-9)
    if longest and control[K_GONE] * settings[S_ERROR] <= 1.0:
        return control[K_GONE] * settings[S_ERROR]
    y_t, y_x = 0.0, 0.0
    for j in range(work.shape[0]):
        i = work.shape[0] - 1 - j
        r_w, r_h = end_flow(work, i)
        r_w -= gamma * (work[i, R_W] + work[i, M_WX] * work[i, Q_X])
        r_h -= gamma * (work[i, R_H] + work[i, M_HX] * work[i, Q_X] + work[i, M_HT] * work[i, Q_T])
        y_t, y_x = onward(work, i, r_w, r_h, y_t, y_x)
        work[i, Z_T], work[i, Z_X] = y_t, y_x
    phi_scale = 1.0 / settings[S_TOLERANCE_PHI]
    t_scale = 1.0 / settings[S_TOLERANCE_T]
    w_scale = gdt / settings[S_TOLERANCE_W]
    error, d_t, d_x = 0.0, 0.0, 0.0
    for i in range(work.shape[0]):
        d_t, d_x = backward(work, i, work[i, Z_T], work[i, Z_X], d_t, d_x)
        by_x = max(abs(work[i, SLOPE_PHI]) * phi_scale, abs(work[i, M_WX]) * w_scale * reference[i])
        error = max(error, abs(d_t) * t_scale, abs(d_x) * by_x)
    return error * settings[S_ERROR]


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
