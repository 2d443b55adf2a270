"""Further solves with the factors of a sweep, and what they do to the state.

Plain functions over flat arrays, as described in `hygro.solve.kernels`.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars and flat arrays throughout

from __future__ import annotations

from hygro.constants import FUSION_ENTHALPY, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from hygro.materials.tables import LOG_SUCTION_HIGH, LOG_SUCTION_LOW
from hygro.solve.elimination import backward, end_flow, onward
from hygro.solve.layout import (
    AIR_HIGH,
    AIR_LOW,
    DRIFT,
    F_H,
    F_W,
    G_H,
    G_W,
    K_CHANGE,
    K_DRIFT,
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
    S_NEWTON,
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
    Z_T,
    Z_X,
)
from hygro.solve.state import FREEZING_SUCTION, MELTING, interval, liquid_pull

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


def keep_solution(work, i, d_t, d_x, first):
    """Keep the solution of a node, and add it to the sum of the iteration."""
    work[i, Q_T], work[i, Q_X] = d_t, d_x
    work[i, SUM_T] = d_t if first else work[i, SUM_T] + d_t
    work[i, SUM_X] = d_x if first else work[i, SUM_X] + d_x


def back(work, first):
    """Substitute back from outside to inside, and add the solution to the sum of the iteration.

    Two nodes at a time, so that each waits for the one two before it: with d_i = y_i - U_i d_i-1, that is
    d_i+1 = (y_i+1 - U_i+1 y_i) + (U_i+1 U_i) d_i-1.
    """
    n = work.shape[0]
    d_t, d_x = work[0, Q_T], work[0, Q_X]
    keep_solution(work, 0, d_t, d_x, first)
    for pair in range((n - 1) // 2):
        i, k = 2 * pair + 1, 2 * pair + 2
        a_tt, a_tx, a_xt, a_xx = work[i, U_TT], work[i, U_TX], work[i, U_XT], work[i, U_XX]
        b_tt, b_tx, b_xt, b_xx = work[k, U_TT], work[k, U_TX], work[k, U_XT], work[k, U_XX]
        y_t, y_x = work[i, Q_T], work[i, Q_X]
        z_t, z_x = backward(work, k, work[k, Q_T], work[k, Q_X], y_t, y_x)
        keep_solution(work, i, y_t - a_tt * d_t - a_tx * d_x, y_x - a_xt * d_t - a_xx * d_x, first)
        d_t, d_x = (
            z_t + (b_tt * a_tt + b_tx * a_xt) * d_t + (b_tt * a_tx + b_tx * a_xx) * d_x,
            z_x + (b_xt * a_tt + b_xx * a_xt) * d_t + (b_xt * a_tx + b_xx * a_xx) * d_x,
        )
        keep_solution(work, k, d_t, d_x, first)
    if n % 2 == 0:
        d_t, d_x = backward(work, n - 1, work[n - 1, Q_T], work[n - 1, Q_X], d_t, d_x)
        keep_solution(work, n - 1, d_t, d_x, first)


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


def solve_rest(work, method, foreign):
    """Substitute back after an elimination and solve on as often as the method asks.

    Once where the factors are `foreign`, of a step of another length.
    """
    back(work, True)
    if foreign:
        again(work, 1.0, 0.0)
        back(work, False)
        return
    for k in range(method.shape[0] - 1):
        row = method.shape[0] - 2 - k
        again(work, method[row, METHOD_FLOW], method[row, METHOD_MISMATCH])
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
    change, mismatch, gone, drift, worst = 0.0, 0.0, 0.0, 0.0, 0
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
        halted = warmed != temperature[i] + d_t
        temperature[i] = warmed
        stride = max(LONGEST_STRIDE, -0.5 * x[i])
        # Where curves bend sharply, or rain sets in on a dry surface, a node overshoots to and fro; a shorter
        # stride at each turn brings it in.
        if damped and d_x * work[i, MOVED] < 0.0:
            stride = 0.5 * abs(work[i, MOVED])
        moved = min(max(d_x, -stride), stride)
        work[i, MOVED] = moved
        goal = x[i] + d_x
        x[i] = min(max(x[i] + moved, LOWEST), LOG_SUCTION_HIGH)
        halted = halted or x[i] != goal
        warming = abs(temperature[i] - work[i, OLD_T])
        gone = max(gone, warming * t_scale, abs(x[i] - work[i, OLD_X]) * by_x)
        if warming > LARGEST_WARMING:
            change, worst = NEVER, i
        k, d = interval(x[i], tables.shape[1])
        held = size[i] * (tables[table[i], k, 0] + tables[table[i], k, 1] * d)
        off = abs(held - work[i, NEW_W]) * reference[i]
        if ice is not None:
            # Heat capacity jumps where water begins and ends to freeze: the linear model may freeze more than
            # there is, or have a temperature with ice for which no heat was taken.
            heat = held_heat(temperature[i], x[i], held, size[i], table[i], capacity[i], tables)
            off = max(off, abs(heat - work[i, NEW_H]) * reference[i] / FUSION_ENTHALPY)
        mismatch = max(mismatch, off)
        work[i, DRIFT] += moves
        drift = max(drift, work[i, DRIFT])
        if halted or off * w_scale > settings[S_NEWTON]:
            work[i, DRIFT] = NEVER
    control[K_WORST] = worst
    control[K_CHANGE] = change
    control[K_GONE] = gone
    control[K_DRIFT] = drift
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
