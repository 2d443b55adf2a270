"""One Newton iteration: a sweep that assembles and eliminates, a pass back that moves the state.

Plain functions over flat arrays, as described in `hygro.solve.kernels`.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars and flat arrays throughout

from __future__ import annotations

from hygro.constants import WATER_HEAT_CAPACITY, ZERO_CELSIUS
from hygro.materials.tables import LOG_SUCTION_HIGH
from hygro.solve.flows import face_flow, node_state, surface_flow
from hygro.solve.layout import (
    AIR_HIGH,
    AIR_LOW,
    B_FIXED_X,
    B_TEMPERATURE,
    BASE_H,
    BASE_W,
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
    H_T,
    K_STRIDE,
    K_TURN,
    K_WORST,
    OLD_H,
    OLD_W,
    S_TOLERANCE_PHI,
    S_TOLERANCE_T,
    S_TOLERANCE_W,
    SLOPE_PHI,
    SLOPE_W,
    STAGE_H,
    STAGE_W,
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

LONGEST_STRIDE = 1.0  # decades of suction that one update may move a node
LONGEST_WARMING = 20.0  # kelvin that one update may move a node

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


def update(temperature, x, work, reference, estimate, fading, settings, control):
    """Substitute back from inside to outside, move the state and leave the contents it leads to.

    `reference` is the inverse of the storage at free saturation per node [m2/kg]. Returns the size of the
    change against the tolerances and, if asked, that of the local error, humidity and temperature weighed by
    `fading`, water not, for nothing drains a layer that has filled; leaves the node of the largest
    change in `control`.
    """
    phi_scale = 1.0 / settings[S_TOLERANCE_PHI]
    t_scale = 1.0 / settings[S_TOLERANCE_T]
    w_scale = 1.0 / settings[S_TOLERANCE_W]
    change, error, worst, turn = 0.0, 0.0, 0, 0.0
    d_t, d_x, e_t, e_x = 0.0, 0.0, 0.0, 0.0
    for j in range(temperature.shape[0]):
        i = temperature.shape[0] - 1 - j
        d_t, d_x = (
            work[i, Y_T] - work[i, U_TT] * d_t - work[i, U_TX] * d_x,
            work[i, Y_X] - work[i, U_XT] * d_t - work[i, U_XX] * d_x,
        )
        by_phi = abs(work[i, SLOPE_PHI]) * phi_scale
        by_w = abs(work[i, SLOPE_W]) * w_scale * reference[i]
        size = max(abs(d_t) * t_scale, abs(d_x) * max(by_phi, by_w))
        if estimate:
            e_t, e_x = (
                work[i, Z_T] - work[i, U_TT] * e_t - work[i, U_TX] * e_x,
                work[i, Z_X] - work[i, U_XT] * e_t - work[i, U_XX] * e_x,
            )
            error = max(error, fading * max(abs(e_t) * t_scale, abs(e_x) * by_phi), abs(e_x) * by_w)
        if not size <= change:  # a NaN lands here and stays
            change = size
            worst = i
            turn = d_x
        work[i, Y_T] = d_t
        work[i, Y_X] = d_x
        celsius = temperature[i] - ZERO_CELSIUS
        work[i, TRIAL_W] -= work[i, SLOPE_W] * d_x
        work[i, TRIAL_H] -= work[i, H_T] * d_t + WATER_HEAT_CAPACITY * work[i, SLOPE_W] * celsius * d_x
        warm = LONGEST_WARMING * control[K_STRIDE]
        temperature[i] = min(max(temperature[i] - min(max(d_t, -warm), warm), AIR_LOW), AIR_HIGH)
        stride = max(control[K_STRIDE], -0.5 * x[i])
        x[i] = min(max(x[i] - min(max(d_x, -stride), stride), LOWEST), LOG_SUCTION_HIGH)
    # Where rain sets in on a dry surface, updates overshoot to and fro; a shorter stride at each turn
    # brings them in.
    turned = turn * control[K_TURN] < 0.0
    control[K_STRIDE] = 0.5 * control[K_STRIDE] if turned else min(1.5 * control[K_STRIDE], LONGEST_STRIDE)
    control[K_TURN] = turn
    control[K_WORST] = worst
    return change, error
