"""Assemble the balances of a wall and eliminate them, from inside to outside, in one sweep.

Plain functions over flat arrays, as described in `hygro.solve.kernels`.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars and flat arrays throughout

from __future__ import annotations

from hygro.constants import FUSION_ENTHALPY, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from hygro.solve.flows import face_flow, surface_flow
from hygro.solve.layout import (
    B_FIXED_X,
    B_HEAT,
    B_TEMPERATURE,
    B_VAPOUR,
    D_TH,
    D_TW,
    D_XH,
    D_XW,
    E_BEHIND_HT,
    E_BEHIND_HX,
    E_BEHIND_WT,
    E_BEHIND_WX,
    E_BLOCK_HT,
    E_BLOCK_HX,
    E_BLOCK_WT,
    E_BLOCK_WX,
    E_CONDUCTANCE,
    E_CONDUCTED,
    E_HEAT,
    E_HEAT_COEFFICIENT,
    E_RAIN,
    E_RAIN_X,
    E_SENSIBLE,
    E_SENSIBLE_T,
    E_VAPOUR_COEFFICIENT,
    E_WATER,
    F_H,
    F_W,
    G_H,
    G_W,
    L_TT,
    L_TX,
    L_XT,
    L_XX,
    M_HT,
    M_HX,
    M_WX,
    OLD_H,
    OLD_W,
    Q_T,
    Q_X,
    R_H,
    R_W,
    SLOPE_PHI,
    U_TT,
    U_TX,
    U_XT,
    U_XX,
)
from hygro.solve.sources import record_gain, source_gain
from hygro.solve.state import node_state

NO_FLOW = (0.0,) * 10  # a flow of water and one of heat, each with four slopes


def inverse_block(d_wt, d_wx, d_ht, d_hx):
    """Invert a node's 2 x 2 block of rows (water, heat) over columns (T, x)."""
    inverse = 1.0 / (d_ht * d_wx - d_hx * d_wt)
    return -d_hx * inverse, d_wx * inverse, d_ht * inverse, -d_wt * inverse


def keep_inverse(work, i, i_tw, i_th, i_xw, i_xh, a_wt, a_wx, a_ht, a_hx):
    """Keep the inverse of a node's eliminated block, and that times its block of the node inside.

    Solves for other right-hand sides go from node to node through the product alone, which halves the time
    that each waits for the last.
    """
    work[i, D_TW], work[i, D_TH], work[i, D_XW], work[i, D_XH] = i_tw, i_th, i_xw, i_xh
    work[i, L_TT], work[i, L_TX] = i_tw * a_wt + i_th * a_ht, i_tw * a_wx + i_th * a_hx
    work[i, L_XT], work[i, L_XX] = i_xw * a_wt + i_xh * a_ht, i_xw * a_wx + i_xh * a_hx


def eliminate(
    work, i, y_t, y_x, u_tt, u_tx, u_xt, u_xx,
    a_wt, a_wx, a_ht, a_hx, d_wt, d_wx, d_ht, d_hx, c_wt, c_wx, c_ht, c_hx, r_w, r_h,
):  # fmt: skip
    """Eliminate node i's rows (water, heat) of the block system; y and u are those of the node inside.

    Keeps the factors, so that other right-hand sides can be solved for; returns its own y and u.
    """
    r_w -= a_wt * y_t + a_wx * y_x
    r_h -= a_ht * y_t + a_hx * y_x
    d_wt -= a_wt * u_tt + a_wx * u_xt
    d_wx -= a_wt * u_tx + a_wx * u_xx
    d_ht -= a_ht * u_tt + a_hx * u_xt
    d_hx -= a_ht * u_tx + a_hx * u_xx
    i_tw, i_th, i_xw, i_xh = inverse_block(d_wt, d_wx, d_ht, d_hx)
    y_t = i_tw * r_w + i_th * r_h
    y_x = i_xw * r_w + i_xh * r_h
    u_tt = i_tw * c_wt + i_th * c_ht
    u_tx = i_tw * c_wx + i_th * c_hx
    u_xt = i_xw * c_wt + i_xh * c_ht
    u_xx = i_xw * c_wx + i_xh * c_hx
    keep_inverse(work, i, i_tw, i_th, i_xw, i_xh, a_wt, a_wx, a_ht, a_hx)
    work[i, U_TT], work[i, U_TX], work[i, U_XT], work[i, U_XX] = u_tt, u_tx, u_xt, u_xx
    work[i, Q_T], work[i, Q_X] = y_t, y_x
    return y_t, y_x, u_tt, u_tx, u_xt, u_xx


def onward(work, i, r_w, r_h, y_t, y_x):
    """Eliminate a right-hand side of node i with the factors kept; y is that of the node inside."""
    return (
        (work[i, D_TW] * r_w + work[i, D_TH] * r_h) - work[i, L_TT] * y_t - work[i, L_TX] * y_x,
        (work[i, D_XW] * r_w + work[i, D_XH] * r_h) - work[i, L_XT] * y_t - work[i, L_XX] * y_x,
    )


def record_edge(edges, side, flow):
    """Keep the flows across an outermost face with their slopes."""
    for k in range(5):
        edges[side, E_WATER + k] = flow[k]
        edges[side, E_HEAT + k] = flow[5 + k]
    edges[side, E_CONDUCTED] = flow[10]
    edges[side, E_CONDUCTANCE] = flow[11]


def record_surface(edges, side, climate):
    """Keep what a surface gets from the climate."""
    edges[side, E_RAIN] = climate[6]
    edges[side, E_RAIN_X] = climate[7]
    edges[side, E_SENSIBLE] = climate[8]
    edges[side, E_SENSIBLE_T] = climate[9]


def surface_row(fixed, climate, hour, state, x):
    """Net flow from the climate into a surface node and its slopes, or how far it is from a given state."""
    if fixed:
        off_w = climate[hour, B_FIXED_X] - x
        off_h = climate[hour, B_TEMPERATURE] - state[0]
        return off_w, 0.0, -1.0, off_h, -1.0, 0.0, 0.0, 0.0, 0.0, 0.0
    return surface_flow(climate, hour, state, x)


def meet(work, edges, climate):
    """Close the row of the outer surface with the slopes of a climate."""
    record_surface(edges, 0, climate)
    i_tw, i_th, i_xw, i_xh = inverse_block(
        edges[0, E_BLOCK_WT] - climate[1], edges[0, E_BLOCK_WX] - climate[2],
        edges[0, E_BLOCK_HT] - climate[4], edges[0, E_BLOCK_HX] - climate[5],
    )  # fmt: skip
    keep_inverse(
        work, 0, i_tw, i_th, i_xw, i_xh,
        edges[0, E_BEHIND_WT], edges[0, E_BEHIND_WX], edges[0, E_BEHIND_HT], edges[0, E_BEHIND_HX],
    )  # fmt: skip


def finish(
    work, edges, fixed_out, climate, slope_phi, gr, gr_t, gr_x, gr_ti, gr_xi, qr, qr_t, qr_x, qr_ti, qr_xi,
    y_t, y_x, u_tt, u_tx, u_xt, u_xx, flow_weight,
):  # fmt: skip
    """Eliminate the outer surface, the last row."""
    if fixed_out:
        gr, gr_t, gr_x, gr_ti, gr_xi = 0.0, 0.0, 0.0, 0.0, 0.0
        qr, qr_t, qr_x, qr_ti, qr_xi = 0.0, 0.0, 0.0, 0.0, 0.0
    edges[0, E_BLOCK_WT] = gr_t - gr_ti * u_tt - gr_xi * u_xt
    edges[0, E_BLOCK_WX] = gr_x - gr_ti * u_tx - gr_xi * u_xx
    edges[0, E_BLOCK_HT] = qr_t - qr_ti * u_tt - qr_xi * u_xt
    edges[0, E_BLOCK_HX] = qr_x - qr_ti * u_tx - qr_xi * u_xx
    edges[0, E_BEHIND_WT], edges[0, E_BEHIND_WX] = gr_ti, gr_xi
    edges[0, E_BEHIND_HT], edges[0, E_BEHIND_HX] = qr_ti, qr_xi
    work[0, SLOPE_PHI] = slope_phi
    meet(work, edges, climate)
    work[0, F_W], work[0, F_H] = climate[0] - gr, climate[3] - qr
    work[0, Q_T], work[0, Q_X] = onward(
        work, 0, flow_weight * work[0, F_W], flow_weight * work[0, F_H], y_t, y_x
    )


def stored(state, size, capacity, rate, ice):
    """Return water of a cell, its slope over x, heat, its slopes over T and x; slopes times `rate`."""
    celsius = state[0] - ZERO_CELSIUS
    water = state[7] * size
    by_x = state[8] * size * rate
    heat_t = capacity + WATER_HEAT_CAPACITY * water
    heat_x = WATER_HEAT_CAPACITY * celsius * by_x
    heat = heat_t * celsius
    if ice is not None:
        melt = FUSION_ENTHALPY * size
        heat -= melt * state[24]
        heat_t -= melt * state[25]
        heat_x -= melt * state[26] * rate
    return water, by_x, heat, heat_t * rate, heat_x


def sweep(
    size, table, film, opening, contact, capacity, tables, film_s_d, air, exponentials, ice, sources, outside,
    inside, fixed_out, fixed_in, hour, rate, flow_weight, mismatch_weight, temperature, x, work, edges,
):  # fmt: skip
    """Assemble and eliminate from inside to outside; leave factors in `work`, boundary flows in `edges`.

    `rate` is 1 / (gamma dt); rows are divided by gamma dt. The right-hand side is that of the first solve.
    The outer surface comes last, so that its row can be changed when the climate does.
    """
    n = size.shape[0]
    i = n - 1
    b = node_state(temperature[i], x[i], 0.5 * size[i], tables, table[i], air, exponentials, ice)
    c = node_state(
        temperature[i - 1], x[i - 1], 0.5 * size[i - 1], tables, table[i - 1], air, exponentials, ice
    )
    climate = surface_row(fixed_in, inside, hour, b, x[i])
    record_surface(edges, 1, climate)
    edges[1, E_HEAT_COEFFICIENT], edges[1, E_VAPOUR_COEFFICIENT] = (
        inside[hour, B_HEAT],
        inside[hour, B_VAPOUR],
    )
    # Flow out of the node inwards, with slopes over the node and over the node inside.
    gr, gr_t, gr_x, qr, qr_t, qr_x = (
        -climate[0], -climate[1], -climate[2], -climate[3], -climate[4], -climate[5],
    )  # fmt: skip
    gr_ti, gr_xi, qr_ti, qr_xi = 0.0, 0.0, 0.0, 0.0
    y_t, y_x, u_tt, u_tx, u_xt, u_xx = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0

    for j in range(n - 1):
        i = n - 1 - j
        a = c
        # The next node but one is looked up early: processors do both at once.
        k = max(i - 2, 0)
        c = node_state(temperature[k], x[k], 0.5 * size[k], tables, table[k], air, exponentials, ice)
        flow = face_flow(
            a, b, x[i - 1], x[i], size[i - 1], size[i], tables, table[i - 1], table[i], film_s_d,
            film[i - 1], opening[i - 1], contact[i - 1], ice,
        )  # fmt: skip
        if i == 1:
            record_edge(edges, 0, flow)
        if i == n - 1:
            record_edge(edges, 1, flow)
        # The row of a surface whose state is given holds that alone; its flow enters the next row only.
        gl, gl_to, gl_xo, gl_t, gl_x, ql, ql_to, ql_xo, ql_t, ql_x = (
            NO_FLOW if i == n - 1 and fixed_in else flow[0:10]
        )
        water, by_x, heat, heat_t, heat_x = stored(b, size[i], capacity[i], rate, ice)
        off_w = (water - work[i, OLD_W]) * rate
        off_h = (heat - work[i, OLD_H]) * rate
        net_w = gl - gr
        net_h = ql - qr
        if sources[0][i] >= 0:
            source = source_gain(sources, sources[0][i], hour, b, x[i])
            record_gain(sources, sources[0][i], hour, source)
            net_w, net_h = net_w + source[0], net_h + source[3]
            gl_t, gl_x = gl_t + source[1], gl_x + source[2]
            ql_t, ql_x = ql_t + source[4], ql_x + source[5]
        work[i, F_W], work[i, F_H] = net_w, net_h
        work[i, R_W], work[i, R_H] = off_w, off_h
        work[i, M_WX], work[i, M_HX], work[i, M_HT] = by_x, heat_x, heat_t
        work[i, G_W], work[i, G_H] = -mismatch_weight * off_w, -mismatch_weight * off_h
        work[i, SLOPE_PHI] = b[6]
        y_t, y_x, u_tt, u_tx, u_xt, u_xx = eliminate(
            work, i, y_t, y_x, u_tt, u_tx, u_xt, u_xx,
            gr_ti, gr_xi, qr_ti, qr_xi,
            gr_t - gl_t, by_x + gr_x - gl_x, heat_t + qr_t - ql_t, heat_x + qr_x - ql_x,
            -gl_to, -gl_xo, -ql_to, -ql_xo,
            flow_weight * net_w - mismatch_weight * off_w, flow_weight * net_h - mismatch_weight * off_h,
        )  # fmt: skip
        gr, gr_t, gr_x, gr_ti, gr_xi = flow[0:5]
        qr, qr_t, qr_x, qr_ti, qr_xi = flow[5:10]
        b = a
    finish(
        work, edges, fixed_out, surface_row(fixed_out, outside, hour, b, x[0]), b[6],
        gr, gr_t, gr_x, gr_ti, gr_xi, qr, qr_t, qr_x, qr_ti, qr_xi,
        y_t, y_x, u_tt, u_tx, u_xt, u_xx, flow_weight,
    )  # fmt: skip
