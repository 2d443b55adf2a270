"""The balance equations of one wall, solved hour by hour.

Plain functions of scalars and flat arrays; `hygro.solve.binding` compiles them for the CPU, and they run
undecorated as well. Nothing here allocates, raises or reads a global that changes.

Scheme
------
Nodes i = 0 .. n-1: a surface node, the cells, a surface node. Unknowns per node: temperature T [K] and x,
the log10 of suction in Pa. Stored per wall area: water W_i = w(x_i) d_i and enthalpy H_i = (rho c d_i + c_w
W_i)(T_i - T_0). Surface nodes store nothing, so their two equations are flux balances between climate and
wall.

Across face i, between nodes i and i+1, flow vapour, liquid and heat (positive from outside to inside):

    g_v = (p_i - p_i+1) / (sum of d mu / delta_air + film)
    g_l = (Theta_i - Theta_i+1) / distance          Theta: matric flux potential (Ross 2003)
    q   = (T_i - T_i+1) / (sum of d / lambda) + h_v g_v + c_w (T_up - T_0) (g_v + g_l)

Where two materials meet, the suction at the interface is solved for, so that both sides carry the same
liquid flux.

Time: two-stage, second-order, L-stable SDIRK (Alexander 1977) in the mixed form of Celia et al. 1990: each
stage balances the change of the stored quantities themselves. The climate jumps every hour; the first step of
an hour takes a larger diagonal coefficient, of first order but with far stronger damping of what is fast (the
idea of Rannacher 1984; one such step an hour leaves the order at two). A draft takes backward Euler instead.

The local error is taken as gamma dt (F_2 - F_1), filtered through the stage matrix (Hosea and Shampine 1996),
which falls out of the same elimination as the last Newton update, and weighed by how much of it will have died
away by the end of the hour. Newton iterations end when the next update is expected to be small.

What is carried from step to step is the content that the fluxes lead to, not one re-evaluated from the state:
what an iteration leaves over is put right by the next step, and balances close to round-off.

The march is one flat loop whose body is one Newton iteration; accept, reject and next hour are states of it.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars and flat arrays throughout, described in `march`

from __future__ import annotations

from hygro.constants import SECONDS_PER_HOUR, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from hygro.materials.tables import LOG_SUCTION_HIGH
from hygro.solve.flows import face_flow, node_state, surface_flow
from hygro.solve.layout import (
    B_FIXED_X,
    B_TEMPERATURE,
    BASE_H,
    BASE_W,
    C_FAILED,
    C_HOUR,
    C_REJECTED,
    C_STEPS,
    C_SWEEPS,
    C_WORST_NODE,
    DONE,
    E_HEAT,
    E_RAIN,
    E_RAIN_X,
    E_SENSIBLE,
    E_SENSIBLE_T,
    E_WATER,
    F_HEAT_EXT,
    F_HEAT_INT,
    F_RAIN_EXT,
    F_SENSIBLE_EXT,
    F_WATER_EXT,
    FLUX_COLUMNS,
    H_T,
    K_CURVATURE,
    K_STEP,
    K_WORST,
    OLD_H,
    OLD_T,
    OLD_W,
    OLD_X,
    S_LONGEST,
    S_MOST_STEPS,
    S_NEWTON,
    S_SHORTEST,
    S_STAGES,
    S_TOLERANCE_PHI,
    S_TOLERANCE_T,
    S_TOLERANCE_W,
    SLOPE_PHI,
    SLOPE_W,
    STAGE_H,
    STAGE_W,
    STEP_TOO_SHORT,
    TOO_MANY_STEPS,
    TRIAL_H,
    TRIAL_W,
    U_TT,
    U_TX,
    U_XT,
    U_XX,
    Y_T,
    Y_X,
    Z_T,
    Z_X,
)

GAMMA = 1.0 - 0.5 * 2.0**0.5  # second order, L-stable

# Diagonal coefficient of the first step of an hour, in which the climate jumps: of first order, once an
# hour, it damps what is fast far better (the idea of Rannacher 1984). Chosen from a work-precision diagram.
GAMMA_OPENING = 0.4

MOST_ITERATIONS = 25
MEMORY = 0.5  # of the measured curvature, from step to step
LARGEST_LEAP = 1.0  # change, in tolerances, beyond which the squaring is not relied on
STRICT = 1e-3  # share of the goal of an iteration that holds once a day

SAFETY = 0.9
LARGEST_GROWTH = 4.0
LARGEST_CUT = 0.2
OPENING_GROWTH = 2.0
LONGEST_STRIDE = 1.0  # decades of suction that one update may move a node

# Water that condenses where it cannot flow away (against a foil) fills a cell and more: its content goes on
# rising along the last slope of the table, and x, which has lost its meaning as a suction, falls as far as
# that takes.
LOWEST = -1.0e6


def eliminate(
    i, work, estimate,
    a_wt, a_wx, a_ht, a_hx, d_wt, d_wx, d_ht, d_hx, c_wt, c_wx, c_ht, c_hx, r_w, r_h, e_w, e_h,
):  # fmt: skip
    """Eliminate node i's rows (water, heat) of the block system; for the error as well, if asked."""
    if i > 0:
        y_t, y_x = work[i - 1, Y_T], work[i - 1, Y_X]
        u_tt, u_tx, u_xt, u_xx = work[i - 1, U_TT], work[i - 1, U_TX], work[i - 1, U_XT], work[i - 1, U_XX]
        r_w -= a_wt * y_t + a_wx * y_x
        r_h -= a_ht * y_t + a_hx * y_x
        d_wt -= a_wt * u_tt + a_wx * u_xt
        d_wx -= a_wt * u_tx + a_wx * u_xx
        d_ht -= a_ht * u_tt + a_hx * u_xt
        d_hx -= a_ht * u_tx + a_hx * u_xx
    inverse = 1.0 / (d_ht * d_wx - d_hx * d_wt)
    work[i, Y_T] = (d_wx * r_h - d_hx * r_w) * inverse
    work[i, Y_X] = (d_ht * r_w - d_wt * r_h) * inverse
    work[i, U_TT] = (d_wx * c_ht - d_hx * c_wt) * inverse
    work[i, U_TX] = (d_wx * c_hx - d_hx * c_wx) * inverse
    work[i, U_XT] = (d_ht * c_wt - d_wt * c_ht) * inverse
    work[i, U_XX] = (d_ht * c_wx - d_wt * c_hx) * inverse
    if estimate:
        if i > 0:
            z_t, z_x = work[i - 1, Z_T], work[i - 1, Z_X]
            e_w -= a_wt * z_t + a_wx * z_x
            e_h -= a_ht * z_t + a_hx * z_x
        work[i, Z_T] = (d_wx * e_h - d_hx * e_w) * inverse
        work[i, Z_X] = (d_ht * e_w - d_wt * e_h) * inverse


def record_edge(edges, side, column, flow, t0, x0, t1, x1):
    """Keep a flow across an outermost face with its slopes."""
    edges[side, column] = flow
    edges[side, column + 1] = t0
    edges[side, column + 2] = x0
    edges[side, column + 3] = t1
    edges[side, column + 4] = x1


def record_surface(edges, side, rain, rain_x, sensible, sensible_t):
    """Keep what a surface gets from the climate."""
    edges[side, E_RAIN] = rain
    edges[side, E_RAIN_X] = rain_x
    edges[side, E_SENSIBLE] = sensible
    edges[side, E_SENSIBLE_T] = sensible_t


def boundary_flows(work, edges, sums):
    """Boundary flows after the last update, linear as the update is: contents and flows then agree."""
    n = work.shape[0]
    for side in range(2):
        inner = 0 if side == 0 else n - 2
        surface = 0 if side == 0 else n - 1
        sign = 1.0 - 2.0 * side
        for part in range(2):
            e = E_WATER if part == 0 else E_HEAT
            flow = edges[side, e]
            for k in range(2):
                flow -= (
                    edges[side, e + 1 + 2 * k] * work[inner + k, Y_T]
                    + edges[side, e + 2 + 2 * k] * work[inner + k, Y_X]
                )
            sums[(F_WATER_EXT if part == 0 else F_HEAT_EXT) + side * F_HEAT_INT] = sign * flow
        sums[F_RAIN_EXT + side * F_HEAT_INT] = (
            edges[side, E_RAIN] - edges[side, E_RAIN_X] * work[surface, Y_X]
        )
        sums[F_SENSIBLE_EXT + side * F_HEAT_INT] = (
            edges[side, E_SENSIBLE] - edges[side, E_SENSIBLE_T] * work[surface, Y_T]
        )


def sweep(
    size, table, film, opening, capacity, tables, film_s_d, air, outside, inside, fixed_out, fixed_in,
    settings, hour, gdt, estimate, temperature, x, work, edges,
):  # fmt: skip
    """Assemble and eliminate from outside to inside; leave factors in `work`, boundary flows in `edges`."""
    n = size.shape[0]
    b = node_state(temperature[0], x[0], tables, table[0], air)
    gin, gin_t, gin_x, qin, qin_t, qin_x, rain, rain_x, sensible, sensible_t = surface_flow(
        outside, hour, b, x[0]
    )
    record_surface(edges, 0, rain, rain_x, sensible, sensible_t)
    # Slopes over the node to the left; the climate has none.
    gin_tl, gin_xl, qin_tl, qin_xl = 0.0, 0.0, 0.0, 0.0

    for i in range(n):
        a = b
        if i < n - 1:
            b = node_state(temperature[i + 1], x[i + 1], tables, table[i + 1], air)
            flow = face_flow(
                a, b, x[i], x[i + 1], size[i], size[i + 1], tables, table[i], table[i + 1], film_s_d,
                film[i], opening[i],
            )  # fmt: skip
            gout, gout_t, gout_x, gout_tr, gout_xr = flow[0:5]
            qout, qout_t, qout_x, qout_tr, qout_xr = flow[5:10]
            if i == 0 or i == n - 2:
                side = 0 if i == 0 else 1
                record_edge(edges, side, E_WATER, gout, gout_t, gout_x, gout_tr, gout_xr)
                record_edge(edges, side, E_HEAT, qout, qout_t, qout_x, qout_tr, qout_xr)
                if (side == 0 and fixed_out) or (side == 1 and fixed_in):
                    record_surface(edges, side, 0.0, 0.0, flow[10] * (1.0 - 2.0 * side), 0.0)
        else:
            g, g_t, g_x, q, q_t, q_x, rain, rain_x, sensible, sensible_t = surface_flow(inside, hour, a, x[i])
            gout, gout_t, gout_x, qout, qout_t, qout_x = -g, -g_t, -g_x, -q, -q_t, -q_x
            gout_tr, gout_xr, qout_tr, qout_xr = 0.0, 0.0, 0.0, 0.0
            if not fixed_in:
                record_surface(edges, 1, rain, rain_x, sensible, sensible_t)

        celsius = a[0] - ZERO_CELSIUS
        water = a[6] * size[i]
        water_x = a[7] * size[i]
        heat_t = capacity[i] + WATER_HEAT_CAPACITY * water
        net_w = gdt * (gin - gout)
        net_h = gdt * (qin - qout)
        store = 1.0 if size[i] > 0.0 else 0.0
        work[i, TRIAL_W] = water
        work[i, TRIAL_H] = heat_t * celsius
        work[i, H_T] = heat_t * store
        work[i, SLOPE_PHI] = a[5]
        work[i, SLOPE_W] = water_x
        if (i == 0 and fixed_out) or (i == n - 1 and fixed_in):
            goal = outside if i == 0 else inside
            off_x = x[i] - goal[hour, B_FIXED_X]
            off_t = temperature[i] - goal[hour, B_TEMPERATURE]
            eliminate(
                i, work, estimate,
                0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0, off_x, off_t, 0.0, 0.0,
            )  # fmt: skip
        else:
            eliminate(
                i, work, estimate,
                -gdt * gin_tl, -gdt * gin_xl, -gdt * qin_tl, -gdt * qin_xl,
                gdt * (gout_t - gin_t), water_x + gdt * (gout_x - gin_x),
                heat_t + gdt * (qout_t - qin_t),
                WATER_HEAT_CAPACITY * water_x * celsius + gdt * (qout_x - qin_x),
                gdt * gout_tr, gdt * gout_xr, gdt * qout_tr, gdt * qout_xr,
                water - work[i, BASE_W] - net_w, heat_t * celsius - work[i, BASE_H] - net_h,
                store * (net_w - work[i, STAGE_W] + work[i, OLD_W]),
                store * (net_h - work[i, STAGE_H] + work[i, OLD_H]),
            )  # fmt: skip
        gin, gin_t, gin_x, gin_tl, gin_xl = gout, gout_tr, gout_xr, gout_t, gout_x
        qin, qin_t, qin_x, qin_tl, qin_xl = qout, qout_tr, qout_xr, qout_t, qout_x


def update(temperature, x, work, reference, estimate, settings, control):
    """Substitute back from inside to outside, move the state and leave the contents it leads to.

    `reference` is the inverse of the storage at free saturation per node [m2/kg]. Returns the size of the
    change against the tolerances and, if asked, that of the local error; leaves the node of the largest
    change in `control`.
    """
    phi_scale = 1.0 / settings[S_TOLERANCE_PHI]
    t_scale = 1.0 / settings[S_TOLERANCE_T]
    w_scale = 1.0 / settings[S_TOLERANCE_W]
    change, error, worst = 0.0, 0.0, 0
    d_t, d_x, e_t, e_x = 0.0, 0.0, 0.0, 0.0
    for j in range(temperature.shape[0]):
        i = temperature.shape[0] - 1 - j
        d_t, d_x = (
            work[i, Y_T] - work[i, U_TT] * d_t - work[i, U_TX] * d_x,
            work[i, Y_X] - work[i, U_XT] * d_t - work[i, U_XX] * d_x,
        )
        weight = max(abs(work[i, SLOPE_PHI]) * phi_scale, abs(work[i, SLOPE_W]) * w_scale * reference[i])
        size = max(abs(d_t) * t_scale, abs(d_x) * weight)
        if estimate:
            e_t, e_x = (
                work[i, Z_T] - work[i, U_TT] * e_t - work[i, U_TX] * e_x,
                work[i, Z_X] - work[i, U_XT] * e_t - work[i, U_XX] * e_x,
            )
            error = max(error, abs(e_t) * t_scale, abs(e_x) * weight)
        if not size <= change:  # a NaN lands here and stays
            change = size
            worst = i
        work[i, Y_T] = d_t
        work[i, Y_X] = d_x
        celsius = temperature[i] - ZERO_CELSIUS
        work[i, TRIAL_W] -= work[i, SLOPE_W] * d_x
        work[i, TRIAL_H] -= work[i, H_T] * d_t + WATER_HEAT_CAPACITY * work[i, SLOPE_W] * celsius * d_x
        temperature[i] -= d_t
        stride = max(LONGEST_STRIDE, -0.5 * x[i])
        x[i] = min(max(x[i] - min(max(d_x, -stride), stride), LOWEST), LOG_SUCTION_HIGH)
    control[K_WORST] = worst
    return change, error


def has_settled(change, before, iterations, goal, control):
    """Tell whether an iteration may end: what the next update would change is within the goal.

    Newton's method squares the change; the factor is measured whenever two changes of a stage are known and
    kept from step to step, so that an hour in which little happens takes one sweep a stage.
    """
    if iterations > 1:
        curvature = change / (before * before)
        control[K_CURVATURE] = max(curvature, MEMORY * control[K_CURVATURE])
    expected = control[K_CURVATURE] * change * change
    return change <= goal or (change <= LARGEST_LEAP and expected <= goal)


def stage_share(opening, stages):
    """Diagonal coefficient: of one stage, of the step after a jump of the climate, of any other."""
    if stages == 1:
        return 1.0
    return GAMMA_OPENING if opening else GAMMA


def following_step(step, error, opening, settings):
    """Length of the next step of the hour after an accepted or rejected one."""
    growth = LARGEST_GROWTH
    if settings[S_STAGES] > 1:
        growth = min(LARGEST_GROWTH, max(LARGEST_CUT, SAFETY * max(error, 1e-9) ** (-1.0 / 3.0)))
    if opening:
        growth = min(growth, OPENING_GROWTH)
    return min(max(step * growth, settings[S_SHORTEST]), settings[S_LONGEST])


def fitted_step(step, elapsed):
    """Step that ends with the hour: two equal ones beat a long one and a sliver."""
    left = SECONDS_PER_HOUR - elapsed
    if step >= left:
        return left
    return 0.5 * left if step > 0.5 * left else step


def begin_step(temperature, x, work):
    """Remember the state at the start of a step and make it the base of the first stage."""
    for i in range(temperature.shape[0]):
        work[i, OLD_T] = temperature[i]
        work[i, OLD_X] = x[i]
        work[i, BASE_W] = work[i, OLD_W]
        work[i, BASE_H] = work[i, OLD_H]


def restore(temperature, x, work):
    """Go back to the start of the step."""
    for i in range(temperature.shape[0]):
        temperature[i] = work[i, OLD_T]
        x[i] = work[i, OLD_X]
        work[i, BASE_W] = work[i, OLD_W]
        work[i, BASE_H] = work[i, OLD_H]


def begin_second_stage(work, gamma):
    """Keep the content reached by the first stage and set the base of the second."""
    ratio = (1.0 - gamma) / gamma
    for i in range(work.shape[0]):
        work[i, STAGE_W] = work[i, TRIAL_W]
        work[i, STAGE_H] = work[i, TRIAL_H]
        work[i, BASE_W] = work[i, OLD_W] + ratio * (work[i, STAGE_W] - work[i, OLD_W])
        work[i, BASE_H] = work[i, OLD_H] + ratio * (work[i, STAGE_H] - work[i, OLD_H])


def accept_step(work):
    """Carry the content that the fluxes lead to."""
    for i in range(work.shape[0]):
        work[i, OLD_W] = work[i, TRIAL_W]
        work[i, OLD_H] = work[i, TRIAL_H]


def record_hour(hour, temperature, x, watched, history, since, field_every, field_t, field_x):
    """Write the hour's end state at the watched nodes and, where due, of the whole wall."""
    for k in range(watched.shape[0]):
        history[hour, k, 0] = temperature[watched[k]]
        history[hour, k, 1] = x[watched[k]]
    if (since + hour + 1) % field_every == 0:
        row = (since + hour + 1) // field_every - since // field_every - 1
        for i in range(temperature.shape[0]):
            field_t[row, i] = temperature[i]
            field_x[row, i] = x[i]


def march(
    size, table, film, opening, capacity, tables, film_s_d, air, reference, outside, inside, fixed_out,
    fixed_in, settings, first, last, temperature, x, work, edges, sums, control, watched, history, since,
    field_every, field_t, field_x, fluxes, counters,
):  # fmt: skip
    """Advance a wall from the start of hour `first` to the start of hour `last`.

    Parameters
    ----------
    size, table, film, opening, capacity, tables, film_s_d
        The grid, as in `hygro.grid.cells.Grid`.
    air : array, shape (points, 6)
        Table of what depends on temperature alone, see `hygro.solve.layout`.
    reference : array, shape (nodes,)
        Inverse of the water stored at free saturation [m2/kg]; 0 for the surface nodes.
    outside, inside : array, shape (hours, BOUNDARY_COLUMNS)
        Climate, constant within each hour.
    fixed_out, fixed_in : bool
        Whether a side gives the state of the surface itself.
    settings : array, shape (SETTINGS,)
        See `hygro.solve.layout`.
    first, last : int
        Range of hours.
    temperature, x : array, shape (nodes,)
        State; changed in place.
    work : array, shape (nodes, WORK_COLUMNS)
        Workspace; columns OLD_W and OLD_H carry the stored contents between calls.
    edges : array, shape (2, EDGE_COLUMNS)
        Scratch for the flows at both sides.
    sums : array, shape (3, FLUX_COLUMNS)
        Scratch for boundary flows: of the second stage, of the first stage, over the hour.
    control : array, shape (CONTROL,)
        Step controller, kept between calls.
    watched : int array
        Nodes whose history is kept.
    history : array, shape (hours, watched, 2)
        Temperature and x at the end of each hour; filled.
    since : int
        Hours since the start of the run at hour 0 of these arrays.
    field_every : int
        Hours between snapshots of the whole wall.
    field_t, field_x : array, shape (snapshots, nodes)
        Filled.
    fluxes : array, shape (hours, FLUX_COLUMNS)
        Filled with the sums over each hour [J/m2, kg/m2].
    counters : int array, shape (COUNTERS,)
        Added to.

    Returns
    -------
    int
        Status, see `hygro.solve.layout`.
    """
    hour = first
    stages = settings[S_STAGES]
    opening_step = control[K_STEP]
    step = fitted_step(opening_step, 0.0)
    elapsed, before = 0.0, 0.0
    stage, iterations, taken = 1, 0, 0
    begin_step(temperature, x, work)
    sums[:] = 0.0
    while hour < last:
        gamma = stage_share(taken == 0, stages)
        sweep(
            size, table, film, opening, capacity, tables, film_s_d, air, outside, inside, fixed_out,
            fixed_in, settings, hour, gamma * step, stage == 2, temperature, x, work, edges,
        )  # fmt: skip
        change, error = update(temperature, x, work, reference, stage == 2, settings, control)
        counters[C_SWEEPS] += 1
        iterations += 1
        # Once a day state and carried content are brought together, so that balances can be taken there.
        goal = settings[S_NEWTON] * (STRICT if (since + hour + 1) % 24 == 0 else 1.0)
        settled = has_settled(change, before, iterations, goal, control)
        before = change
        # What a step gets wrong has died away by the end of the hour the more, the shorter it was and the
        # earlier.
        error *= (step / (SECONDS_PER_HOUR - elapsed)) ** 2
        if settled and stage < stages:
            begin_second_stage(work, gamma)
            boundary_flows(work, edges, sums[1])
            stage, iterations = 2, 0
        elif settled and (error <= 1.0 or step <= settings[S_SHORTEST]):
            accept_step(work)
            boundary_flows(work, edges, sums[0])
            for k in range(FLUX_COLUMNS):
                sums[2, k] += step * ((1.0 - gamma) * sums[1, k] + gamma * sums[0, k])
            counters[C_STEPS] += 1
            elapsed += step
            if taken == 0:
                opening_step = following_step(step, error, True, settings)
            step = following_step(step, error, False, settings)
            taken += 1
            if elapsed >= SECONDS_PER_HOUR * (1.0 - 1e-12):
                for k in range(FLUX_COLUMNS):
                    fluxes[hour, k] = sums[2, k]
                    sums[2, k] = 0.0
                record_hour(hour, temperature, x, watched, history, since, field_every, field_t, field_x)
                hour += 1
                counters[C_HOUR] = hour
                elapsed, taken, step = 0.0, 0, opening_step
            step = fitted_step(step, elapsed)
            stage, iterations = 1, 0
            begin_step(temperature, x, work)
        elif settled or not change < 1e300 or iterations >= MOST_ITERATIONS:
            if settled:
                counters[C_REJECTED] += 1
                step = following_step(step, error, False, settings)
            else:
                counters[C_FAILED] += 1
                counters[C_WORST_NODE] = int(control[K_WORST])
                step *= 0.25
                if step < 1e-3 * settings[S_SHORTEST]:
                    restore(temperature, x, work)
                    return STEP_TOO_SHORT
            stage, iterations = 1, 0
            restore(temperature, x, work)
        if taken > settings[S_MOST_STEPS]:
            return TOO_MANY_STEPS
    control[K_STEP] = opening_step
    return DONE
