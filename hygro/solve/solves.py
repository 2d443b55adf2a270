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
    K_HALTED,
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
    S_TOLERANCE,
    S_TOLERANCE_T,
    SUM_T,
    SUM_X,
    U_TT,
    U_TX,
    U_XT,
    U_XX,
    WEIGHT,
    Z_T,
    Z_X,
)
from hygro.solve.state import FREEZING_SUCTION, MELTING, interval, liquid_pull

LONGEST_STRIDE = 1.0  # decades of suction that one update may move a node
LEAST_WATER = 1e-9  # share of free saturation by which rounding may overdraw a node
NEVER = 1e30  # size of a change that leaves less than no water, or a temperature out of reach
LONGEST_WARMING = 20.0  # kelvin that one update may move a node
LARGEST_WARMING = 50.0  # kelvin that a step may
USUAL = 1.0  # size of a change, in tolerances, that needs no restraint

# Middle and half the width of what is tabulated.
MIDDLE_T, HALF_T = 0.5 * (AIR_HIGH + AIR_LOW), 0.5 * (AIR_HIGH - AIR_LOW)
MIDDLE_X, HALF_X = 0.5 * (LOG_SUCTION_HIGH + LOG_SUCTION_LOW), 0.5 * (LOG_SUCTION_HIGH - LOG_SUCTION_LOW)

FIRST_COLD = 1e-3  # kelvin below its freezing point to which one update may cool a node that was above
LAST_COLD = 1e-6  # kelvin below its freezing point from which a node may be warmed across it
NEARER = 0.1  # of the distance to the freezing point is left where an update would cross it
HALTED = 1.01  # change of an update that was halted, over the largest with which an iteration may end

# Water that condenses where it cannot flow away (against a foil) fills a cell and more: its content goes on
# rising along the last slope of the table, and x, which has lost its meaning as a suction, falls as far as
# that takes.
LOWEST = -1.0e6


def back(work):
    """Substitute back from outside to inside.

    Two nodes at a time, so that each waits for the one two before it: with d_i = y_i - U_i d_i-1, that is
    d_i+1 = (y_i+1 - U_i+1 y_i) + (U_i+1 U_i) d_i-1.
    """
    n = work.shape[0]
    d_t, d_x = work[0, Q_T], work[0, Q_X]
    for pair in range((n - 1) // 2):
        i, k = 2 * pair + 1, 2 * pair + 2
        a_tt, a_tx, a_xt, a_xx = work[i, U_TT], work[i, U_TX], work[i, U_XT], work[i, U_XX]
        b_tt, b_tx, b_xt, b_xx = work[k, U_TT], work[k, U_TX], work[k, U_XT], work[k, U_XX]
        y_t, y_x = work[i, Q_T], work[i, Q_X]
        z_t, z_x = backward(work, k, work[k, Q_T], work[k, Q_X], y_t, y_x)
        work[i, Q_T], work[i, Q_X] = y_t - a_tt * d_t - a_tx * d_x, y_x - a_xt * d_t - a_xx * d_x
        d_t, d_x = (
            z_t + (b_tt * a_tt + b_tx * a_xt) * d_t + (b_tt * a_tx + b_tx * a_xx) * d_x,
            z_x + (b_xt * a_tt + b_xx * a_xt) * d_t + (b_xt * a_tx + b_xx * a_xx) * d_x,
        )
        work[k, Q_T], work[k, Q_X] = d_t, d_x
    if n % 2 == 0:
        work[n - 1, Q_T], work[n - 1, Q_X] = backward(
            work, n - 1, work[n - 1, Q_T], work[n - 1, Q_X], d_t, d_x
        )


def add_up(work, i, first):
    """Add the solution of a node to the sum of the iteration."""
    d_t, d_x = work[i, Q_T], work[i, Q_X]
    work[i, SUM_T] = d_t if first else work[i, SUM_T] + d_t
    work[i, SUM_X] = d_x if first else work[i, SUM_X] + d_x


def add_up_gains(work, sources, first):
    """Add the solution of nodes with a source to their sums: those next to the surfaces have theirs."""
    for row in range(sources[1].shape[0]):
        i = sources[1][row]
        if 1 < i < work.shape[0] - 2:
            add_up(work, i, first)


def substitute(work, sources, first):
    """Substitute back, and add the solution to the sums of those nodes whose mean over the step is needed."""
    n = work.shape[0]
    back(work)
    for i in range(2):
        add_up(work, i, first)
        add_up(work, n - 2 + i, first)
    if sources[1].shape[0] > 0:
        add_up_gains(work, sources, first)


def again(work, flow_weight, mismatch_weight):
    """Eliminate the right-hand side of the next solve: stored change of the last and some flow."""
    y_t, y_x = 0.0, 0.0
    for i in range(work.shape[0] - 1, -1, -1):
        kept_w = work[i, M_WX] * work[i, Q_X] - mismatch_weight * work[i, R_W]
        kept_h = work[i, M_HX] * work[i, Q_X] + work[i, M_HT] * work[i, Q_T] - mismatch_weight * work[i, R_H]
        work[i, G_W], work[i, G_H] = kept_w, kept_h
        r_w, r_h = flow_weight * work[i, F_W] + kept_w, flow_weight * work[i, F_H] + kept_h
        y_t, y_x = onward(work, i, r_w, r_h, y_t, y_x)
        work[i, Q_T], work[i, Q_X] = y_t, y_x


def solve_rest(work, sources, method, foreign):
    """Substitute back after an elimination and solve on as often as the method asks.

    Once where the factors are `foreign`, of a step of another length.
    """
    substitute(work, sources, True)
    if foreign:
        again(work, 1.0, 0.0)
        substitute(work, sources, False)
        return
    for k in range(method.shape[0] - 1):
        row = method.shape[0] - 2 - k
        again(work, method[row, METHOD_FLOW], method[row, METHOD_MISMATCH])
        substitute(work, sources, False)


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


def restrained(temperature, x, work, i, d_t, d_x, moves, scale, damped, ice, settings):
    """Move a node whose change is large, or leads out of what is tabulated, as far as one update may.

    Returns
    -------
    tuple
        Size of the change, what a decade of x counts for in it, and the new temperature and x.
    """
    by_x = work[i, WEIGHT] * scale
    stride = max(LONGEST_STRIDE, -0.5 * x[i])
    # What fills a cell beyond its pores changes nothing but its content, along a straight line.
    if x[i] < LOG_SUCTION_LOW and x[i] + d_x < LOG_SUCTION_LOW:
        moves, by_x = abs(d_t) / settings[S_TOLERANCE_T], 0.0
    elif abs(min(d_x, LOG_SUCTION_HIGH - x[i])) > stride and moves < HALTED * settings[S_LEAP]:
        # Humidity changes little where it is wet, however far a node is from where it will be: a face that
        # takes up less of the rain, a cell whose condensate dries up. Another iteration follows.
        moves = HALTED * settings[S_LEAP]
    warmed = min(max(temperature[i] + min(max(d_t, -LONGEST_WARMING), LONGEST_WARMING), AIR_LOW), AIR_HIGH)
    if ice is not None and work[i, M_HT] != 0.0:
        stop = freezing_stop(temperature[i], warmed, x[i])
        if stop != warmed:
            warmed = stop
            moves = max(moves, HALTED * settings[S_LEAP])
    # Where curves bend sharply, or rain sets in on a dry surface, a node overshoots to and fro; a shorter
    # stride at each turn brings it in.
    if damped and d_x * work[i, MOVED] < 0.0:
        stride = 0.5 * abs(work[i, MOVED])
    work[i, MOVED] = min(max(d_x, -stride), stride)
    return moves, by_x, warmed, min(max(x[i] + work[i, MOVED], LOWEST), LOG_SUCTION_HIGH)


def update(
    temperature, x, work, size, table, capacity, tables, reference, gdt, first, damped, ice, settings, control
):  # fmt: skip
    """Move the state and leave the contents that the flows lead to.

    `reference` is the inverse of the storage at free saturation per node [m2/kg]. Returns the size of the
    change against the tolerances, and how far the contents that the flows lead to are from those of the state
    against that of water (where it freezes, heat as well, as the ice that it would melt); leaves the node of
    the largest in `control`.
    """
    scale, t_scale = 1.0 / settings[S_TOLERANCE], 1.0 / settings[S_TOLERANCE_T]
    farthest_off = settings[S_NEWTON] * settings[S_TOLERANCE]
    most = min(USUAL, LONGEST_WARMING * t_scale)
    restrains = damped or ice is not None
    change, mismatch, gone, drift, worst, wild = 0.0, 0.0, 0.0, 0.0, 0, False
    for i in range(temperature.shape[0]):
        d_t, d_x = work[i, Q_T], work[i, Q_X]
        if first:
            work[i, OLD_T], work[i, OLD_X] = temperature[i], x[i]
        new_w = work[i, OLD_W] + (work[i, R_W] + work[i, M_WX] * d_x) * gdt
        work[i, NEW_W] = new_w
        work[i, NEW_H] = work[i, OLD_H] + (work[i, R_H] + work[i, M_HX] * d_x + work[i, M_HT] * d_t) * gdt
        by_x = work[i, WEIGHT] * scale
        moves = max(abs(d_t) * t_scale, abs(d_x) * by_x)
        warmed, moved = temperature[i] + d_t, x[i] + d_x
        overdrawn = new_w * reference[i] < -LEAST_WATER
        usual = moves < most and abs(d_x) < LONGEST_STRIDE
        usual = usual and abs(warmed - MIDDLE_T) < HALF_T and abs(moved - MIDDLE_X) < HALF_X
        halted = False
        if restrains or overdrawn or not usual:
            moves, by_x, warmed, moved = restrained(
                temperature, x, work, i, d_t, d_x, moves, scale, damped, ice, settings
            )
            halted = warmed != temperature[i] + d_t or moved != x[i] + d_x
            moves = NEVER if overdrawn else moves
            wild = wild or halted
        else:
            work[i, MOVED] = d_x
        if not moves <= change:  # a NaN lands here and stays
            change, worst = moves, i
        temperature[i], x[i] = warmed, moved
        if first:
            gone = max(gone, moves)
        else:
            warming = abs(warmed - work[i, OLD_T])
            gone = max(gone, warming * t_scale, abs(moved - work[i, OLD_X]) * by_x)
            if warming > LARGEST_WARMING:
                change, worst = NEVER, i
        k, d = interval(moved, tables.shape[1])
        held = size[i] * (tables[table[i], k, 0] + tables[table[i], k, 1] * d)
        off = abs(held - new_w) * reference[i]
        if ice is not None:
            # Heat capacity jumps where water begins and ends to freeze: the linear model may freeze more than
            # there is, or have a temperature with ice for which no heat was taken.
            heat = held_heat(warmed, moved, held, size[i], table[i], capacity[i], tables)
            off = max(off, abs(heat - work[i, NEW_H]) * reference[i] / FUSION_ENTHALPY)
        mismatch = max(mismatch, off)
        moves += work[i, DRIFT]
        drift = max(drift, moves)
        work[i, DRIFT] = NEVER if halted or off > farthest_off else moves
    control[K_HALTED] = 1.0 if wild else 0.0
    control[K_WORST] = worst
    control[K_CHANGE] = change
    control[K_GONE] = gone
    control[K_DRIFT] = drift
    return change, mismatch * scale


def local_error(work, method, gdt, settings, control):
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
    for i in range(work.shape[0] - 1, -1, -1):
        r_w, r_h = end_flow(work, i)
        r_w -= gamma * (work[i, R_W] + work[i, M_WX] * work[i, Q_X])
        r_h -= gamma * (work[i, R_H] + work[i, M_HX] * work[i, Q_X] + work[i, M_HT] * work[i, Q_T])
        y_t, y_x = onward(work, i, r_w, r_h, y_t, y_x)
        work[i, Z_T], work[i, Z_X] = y_t, y_x
    scale, t_scale = 1.0 / settings[S_TOLERANCE], 1.0 / settings[S_TOLERANCE_T]
    error, d_t, d_x = 0.0, 0.0, 0.0
    for i in range(work.shape[0]):
        d_t, d_x = backward(work, i, work[i, Z_T], work[i, Z_X], d_t, d_x)
        error = max(error, abs(d_t) * t_scale, abs(d_x) * work[i, WEIGHT] * scale)
    return error * settings[S_ERROR]
