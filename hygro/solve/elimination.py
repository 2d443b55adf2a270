"""Gaussian elimination of a wall's block tridiagonal system from inside to outside, and what goes on with it.

Plain functions over flat arrays, as described in `hygro.solve.kernels`.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars and flat arrays throughout

from __future__ import annotations

from hygro.solve.layout import (
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
    E_PRESSURE,
    E_PRESSURE_T,
    E_PRESSURE_X,
    E_RAIN,
    E_RAIN_X,
    E_SENSIBLE,
    E_SENSIBLE_T,
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
    Q_T,
    Q_X,
    R_H,
    R_W,
    U_TT,
    U_TX,
    U_XT,
    U_XX,
    V_HEAT,
    V_MORE_H,
    V_MORE_W,
    V_WATER,
)
from hygro.solve.sources import advance_gain


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


def backward(work, i, y_t, y_x, d_t, d_x):
    """Solution of node i from its eliminated right-hand side y and the solution d of the node outside."""
    return (
        y_t - work[i, U_TT] * d_t - work[i, U_TX] * d_x,
        y_x - work[i, U_XT] * d_t - work[i, U_XX] * d_x,
    )


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


def record_surface(edges, side, climate):
    """Keep what a surface gets from the climate."""
    edges[side, E_RAIN] = climate[6]
    edges[side, E_RAIN_X] = climate[7]
    edges[side, E_SENSIBLE] = climate[8]
    edges[side, E_SENSIBLE_T] = climate[9]


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


def carry_on(work, edges, sources, outermost, flow_weight, mismatch_weight):
    """Move the linear model of the nodes from `outermost` inwards to the state it led to; eliminate there.

    The step is the same, so that contents are as far from those carried as the last solution left them.

    Returns
    -------
    tuple
        Flow of water and heat into `outermost` across its outer face, and its eliminated right-hand side.
    """
    n = work.shape[0]
    advance_edge(edges, 1, work, n - 2)
    edges[1, E_SENSIBLE] += edges[1, E_SENSIBLE_T] * work[n - 1, Q_T]
    edges[1, E_RAIN] += edges[1, E_RAIN_X] * work[n - 1, Q_X]
    edges[1, E_PRESSURE] += (
        edges[1, E_PRESSURE_T] * work[n - 1, Q_T] + edges[1, E_PRESSURE_X] * work[n - 1, Q_X]
    )
    water, heat, y_t, y_x = edges[1, E_WATER], edges[1, E_HEAT], 0.0, 0.0
    for i in range(n - 1, outermost - 1, -1):
        f_w, f_h = end_flow(work, i)
        work[i, R_W] += work[i, M_WX] * work[i, Q_X]
        work[i, R_H] += work[i, M_HX] * work[i, Q_X] + work[i, M_HT] * work[i, Q_T]
        work[i, F_W], work[i, F_H] = f_w, f_h
        work[i, G_W], work[i, G_H] = -mismatch_weight * work[i, R_W], -mismatch_weight * work[i, R_H]
        row = sources[0][i]
        if row >= 0:
            advance_gain(sources[5], row, work[i, Q_T], work[i, Q_X])
            water, heat = water - sources[5][row, V_WATER], heat - sources[5][row, V_HEAT]
        y_t, y_x = onward(
            work, i, flow_weight * f_w + work[i, G_W], flow_weight * f_h + work[i, G_H], y_t, y_x
        )
        work[i, Q_T], work[i, Q_X] = y_t, y_x
        if i < n - 1:
            water, heat = water + f_w, heat + f_h
    return water, heat, y_t, y_x


def go_on(work, edges, sources, outermost, flow_weight, last, fixed_in):
    """Take the linear model of the nodes from `outermost` inwards on to the next step; eliminate there.

    `last` is what the inner surface gets from the climate of the new hour; `sources` hold what that adds
    within the wall.

    Returns
    -------
    tuple
        As `carry_on`.
    """
    n = work.shape[0]
    advance_edge(edges, 0, work, 0)
    advance_edge(edges, 1, work, n - 2)
    record_surface(edges, 1, last)
    water, heat, y_t, y_x = edges[1, E_WATER], edges[1, E_HEAT], 0.0, 0.0
    for i in range(n - 1, outermost - 1, -1):
        f_w, f_h = end_flow(work, i)
        row = sources[0][i]
        if row >= 0:
            f_w += sources[5][row, V_MORE_W]
            f_h += sources[5][row, V_MORE_H]
            water, heat = water - sources[5][row, V_WATER], heat - sources[5][row, V_HEAT]
        if i == n - 1:
            f_w = last[0] if fixed_in else last[0] + edges[1, E_WATER]
            f_h = last[3] if fixed_in else last[3] + edges[1, E_HEAT]
        else:
            water, heat = water + f_w, heat + f_h
        work[i, F_W], work[i, F_H] = f_w, f_h
        work[i, R_W], work[i, R_H], work[i, G_W], work[i, G_H] = 0.0, 0.0, 0.0, 0.0
        y_t, y_x = onward(work, i, flow_weight * f_w, flow_weight * f_h, y_t, y_x)
        work[i, Q_T], work[i, Q_X] = y_t, y_x
    return water, heat, y_t, y_x


def go_on_outside(work, edges, first, fixed_out, flow_weight, behind):
    """Close the outer surface for the next step: it gets `first` from the climate of the new hour."""
    meet(work, edges, first)
    f_w = first[0] if fixed_out else first[0] - edges[0, E_WATER]
    f_h = first[3] if fixed_out else first[3] - edges[0, E_HEAT]
    work[0, F_W], work[0, F_H] = f_w, f_h
    work[0, R_W], work[0, R_H], work[0, G_W], work[0, G_H] = 0.0, 0.0, 0.0, 0.0
    work[0, Q_T], work[0, Q_X] = onward(work, 0, flow_weight * f_w, flow_weight * f_h, behind[2], behind[3])
