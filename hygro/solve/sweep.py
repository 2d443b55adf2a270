"""Assemble the balances of a wall and eliminate them, from inside to outside, in one sweep.

Plain functions over flat arrays, as described in `hygro.solve.kernels`.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars and flat arrays throughout

from __future__ import annotations

from hygro.constants import FUSION_ENTHALPY, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from hygro.solve.elimination import eliminate, meet, onward, record_surface
from hygro.solve.flows import face_flow, surface_flow
from hygro.solve.layout import (
    B_FIXED_X,
    B_HEAT,
    B_TEMPERATURE,
    B_VAPOUR,
    DRIFT,
    E_BEHIND_HT,
    E_BEHIND_HX,
    E_BEHIND_WT,
    E_BEHIND_WX,
    E_BEYOND,
    E_BLOCK_HT,
    E_BLOCK_HX,
    E_BLOCK_WT,
    E_BLOCK_WX,
    E_CONDUCTANCE,
    E_CONDUCTED,
    E_HEAT,
    E_HEAT_COEFFICIENT,
    E_PRESSURE,
    E_PRESSURE_T,
    E_PRESSURE_X,
    E_VAPOUR_COEFFICIENT,
    E_WATER,
    F_H,
    F_W,
    G_H,
    G_W,
    J_HT,
    J_HTI,
    J_HX,
    J_HXI,
    J_WT,
    J_WTI,
    J_WX,
    J_WXI,
    M_HT,
    M_HX,
    M_WX,
    OLD_H,
    OLD_W,
    Q_T,
    Q_X,
    R_H,
    R_W,
    U_TT,
    U_TX,
    U_XT,
    U_XX,
    WEIGHT,
)
from hygro.solve.sources import record_gain, source_gain
from hygro.solve.state import node_state

NO_FLOW = (0.0,) * 10  # a flow of water and one of heat, each with four slopes


def record_edge(edges, side, flow):
    """Keep the flows across an outermost face with their slopes."""
    for k in range(5):
        edges[side, E_WATER + k] = flow[k]
        edges[side, E_HEAT + k] = flow[5 + k]
    edges[side, E_CONDUCTED] = flow[10]
    edges[side, E_CONDUCTANCE] = flow[11]


def surface_row(fixed, climate, hour, state, x, edges, side):
    """Net flow from the climate into a surface node and its slopes, or how far it is from a given state.

    The vapour pressure of the surface counts for more or less, as it is owed vapour from steps before.
    """
    if fixed:
        off_w = climate[hour, B_FIXED_X] - x
        off_h = climate[hour, B_TEMPERATURE] - state[0]
        return off_w, 0.0, -1.0, off_h, -1.0, 0.0, 0.0, 0.0, 0.0, 0.0
    edges[side, E_PRESSURE], edges[side, E_PRESSURE_T], edges[side, E_PRESSURE_X] = state[1:4]
    share = 1.0 + edges[side, E_BEYOND]
    return surface_flow(climate, hour, (state[0], share * state[1], share * state[2], share * state[3]), x)


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
    work[0, WEIGHT] = abs(slope_phi)
    work[0, DRIFT] = 0.0
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
    size, table, film, opening, contact, capacity, tables, film_s_d, air, exponentials, ice, sources,
    reference, outside, inside, fixed_out, fixed_in, hour, rate, flow_weight, mismatch_weight, innermost,
    behind, temperature, x, work, edges,
):  # fmt: skip
    """Assemble and eliminate from inside to outside; leave factors in `work`, boundary flows in `edges`.

    `rate` is 1 / (gamma dt); rows are divided by gamma dt. The right-hand side is that of the first solve.
    The outer surface comes last, so that its row can be changed when the climate does. Nodes beyond
    `innermost`, if any, go on with the linear model that they have: `behind` is what `carry_on` or `go_on`
    returned for them.
    """
    n = size.shape[0]
    i = innermost
    b = node_state(temperature[i], x[i], 0.5 * size[i], tables, table[i], air, exponentials, ice)
    # Flow out of the node inwards, with slopes over the node and over the node inside.
    gr_ti, gr_xi, qr_ti, qr_xi = 0.0, 0.0, 0.0, 0.0
    y_t, y_x, u_tt, u_tx, u_xt, u_xx = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    if i == n - 1:
        climate = surface_row(fixed_in, inside, hour, b, x[i], edges, 1)
        record_surface(edges, 1, climate)
        edges[1, E_HEAT_COEFFICIENT], edges[1, E_VAPOUR_COEFFICIENT] = (
            inside[hour, B_HEAT],
            inside[hour, B_VAPOUR],
        )
        gr, gr_t, gr_x, qr, qr_t, qr_x = (
            -climate[0], -climate[1], -climate[2], -climate[3], -climate[4], -climate[5],
        )  # fmt: skip
    else:
        gr_t, gr_x, gr_ti, gr_xi = work[i, J_WT], work[i, J_WX], work[i, J_WTI], work[i, J_WXI]
        qr_t, qr_x, qr_ti, qr_xi = work[i, J_HT], work[i, J_HX], work[i, J_HTI], work[i, J_HXI]
        gr, qr, y_t, y_x = behind
        u_tt, u_tx, u_xt, u_xx = work[i + 1, U_TT], work[i + 1, U_TX], work[i + 1, U_XT], work[i + 1, U_XX]

    for i in range(innermost, 0, -1):
        a = node_state(
            temperature[i - 1], x[i - 1], 0.5 * size[i - 1], tables, table[i - 1], air, exponentials, ice
        )
        flow = face_flow(
            a, b, x[i - 1], x[i], size[i - 1], size[i], tables, table[i - 1], table[i], film_s_d,
            film[i - 1], opening[i - 1], contact[i - 1], ice,
        )  # fmt: skip
        work[i - 1, J_WT], work[i - 1, J_WX], work[i - 1, J_WTI], work[i - 1, J_WXI] = flow[1:5]
        work[i - 1, J_HT], work[i - 1, J_HX], work[i - 1, J_HTI], work[i - 1, J_HXI] = flow[6:10]
        if i == 1:
            record_edge(edges, 0, flow)
        if i == n - 1:
            record_edge(edges, 1, flow)
        # The row of a surface whose state is given holds that alone; its flow enters the next row only.
        work[i, DRIFT] = 0.0
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
        work[i, WEIGHT] = max(abs(b[6]), abs(b[8]) * size[i] * reference[i])
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
        work, edges, fixed_out, surface_row(fixed_out, outside, hour, b, x[0], edges, 0), b[6],
        gr, gr_t, gr_x, gr_ti, gr_xi, qr, qr_t, qr_x, qr_ti, qr_xi,
        y_t, y_x, u_tt, u_tx, u_xt, u_xx, flow_weight,
    )  # fmt: skip
