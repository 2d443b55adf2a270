"""What nodes get from sources within the wall: heat, vapour exchanged with air that passes, liquid.

Plain functions over flat arrays, as described in `hygro.solve.kernels`. `sources` is a tuple of arrays:

row_of : int array, shape (nodes,)
    Row of the node in the three that follow, -1 where it has no source.
node, record : int array, shape (rows,); share : array, shape (rows,)
    The node, the source it draws on, and its share of that.
records : array, shape (hours, sources, SOURCE_COLUMNS)
    Constant within each hour, see `hygro.solve.layout`.
given : array, shape (rows, GIVEN_COLUMNS)
    Scratch, kept between calls.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars and flat arrays throughout

from __future__ import annotations

from hygro.constants import EVAPORATION_ENTHALPY, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from hygro.solve.flows import WET_HIGH, WET_LOW
from hygro.solve.layout import (
    N_HEAT,
    N_HEAT_AIR,
    N_LIQUID,
    N_VAPOUR,
    N_VAPOUR_AIR,
    Q_T,
    Q_X,
    SOURCE_COLUMNS,
    V_HEAT,
    V_HT,
    V_HX,
    V_MORE_H,
    V_MORE_W,
    V_RECORD,
    V_WATER,
    V_WT,
    V_WX,
)
from hygro.solve.state import node_state


def gain(heat, heat_air, vapour, vapour_air, liquid, state, x):
    """Water and heat that a node gets from its part of a source.

    Air leaves with the temperature and the vapour pressure of the node. Liquid comes at the temperature of
    the node, and only as far as its pores have room (as with rain on a surface).

    Returns
    -------
    tuple
        Water, its slopes over T and x, heat, its slopes over T and x [kg/(m2 s), W/m2].
    """
    temperature, pressure, p_t, p_x = state[0:4]
    celsius = temperature - ZERO_CELSIUS
    place = (x - WET_LOW) / (WET_HIGH - WET_LOW)
    taken = liquid * min(max(place, 0.0), 1.0)
    taken_x = liquid / (WET_HIGH - WET_LOW) if 0.0 < place < 1.0 else 0.0
    out = vapour_air * pressure
    each = EVAPORATION_ENTHALPY + WATER_HEAT_CAPACITY * celsius
    return (
        vapour - out + taken,
        -vapour_air * p_t,
        -vapour_air * p_x + taken_x,
        heat - heat_air * temperature + EVAPORATION_ENTHALPY * vapour - each * out
        + WATER_HEAT_CAPACITY * celsius * taken,
        -heat_air - each * vapour_air * p_t + WATER_HEAT_CAPACITY * (taken - out),
        -each * vapour_air * p_x + WATER_HEAT_CAPACITY * celsius * taken_x,
    )  # fmt: skip


def source_gain(sources, row, hour, state, x):
    """Return what a node gets in an hour: `gain` of its share."""
    share = sources[3][row]
    now = sources[4][hour, sources[2][row]]
    return gain(
        share * now[N_HEAT], share * now[N_HEAT_AIR], share * now[N_VAPOUR], share * now[N_VAPOUR_AIR],
        share * now[N_LIQUID], state, x,
    )  # fmt: skip


def last_gain(sources, row, state, x):
    """Return what a node would get now in the last hour that was computed."""
    share = sources[3][row]
    last = sources[5][row]
    return gain(
        share * last[V_RECORD + N_HEAT], share * last[V_RECORD + N_HEAT_AIR],
        share * last[V_RECORD + N_VAPOUR], share * last[V_RECORD + N_VAPOUR_AIR],
        share * last[V_RECORD + N_LIQUID], state, x,
    )  # fmt: skip


def remember(sources, row, hour):
    """Note the source record of the hour."""
    for k in range(SOURCE_COLUMNS):
        sources[5][row, V_RECORD + k] = sources[4][hour, sources[2][row], k]


def record_gain(sources, row, hour, flow):
    """Keep what a node gets with its slopes."""
    given = sources[5]
    given[row, V_WATER], given[row, V_WT], given[row, V_WX] = flow[0], flow[1], flow[2]
    given[row, V_HEAT], given[row, V_HT], given[row, V_HX] = flow[3], flow[4], flow[5]
    remember(sources, row, hour)


def same_slopes(sources, hour, x):
    """Tell whether the sources of an hour have the slopes of those of the last."""
    same = True
    for row in range(sources[1].shape[0]):
        now, last = sources[4][hour, sources[2][row]], sources[5][row]
        same = same and now[N_HEAT_AIR] == last[V_RECORD + N_HEAT_AIR]
        same = same and now[N_VAPOUR_AIR] == last[V_RECORD + N_VAPOUR_AIR]
        if x[sources[1][row]] < WET_HIGH:
            same = same and now[N_LIQUID] == last[V_RECORD + N_LIQUID]
    return same


def advance_gain(given, row, d_t, d_x):
    """Move what a node gets to another state of it, along the slopes."""
    given[row, V_WATER] += given[row, V_WT] * d_t + given[row, V_WX] * d_x
    given[row, V_HEAT] += given[row, V_HT] * d_t + given[row, V_HX] * d_x


def renew_gains(sources, hour, temperature, x, tables, table, air, exponentials, ice, work):
    """Move what nodes get to the end of the last step, and add what the new hour changes there."""
    given = sources[5]
    for row in range(sources[1].shape[0]):
        i = sources[1][row]
        state = node_state(temperature[i], x[i], 0.0, tables, table[i], air, exponentials, ice)
        before = last_gain(sources, row, state, x[i])
        now = source_gain(sources, row, hour, state, x[i])
        given[row, V_MORE_W], given[row, V_MORE_H] = now[0] - before[0], now[3] - before[3]
        advance_gain(given, row, work[i, Q_T], work[i, Q_X])
        given[row, V_WATER] += given[row, V_MORE_W]
        given[row, V_HEAT] += given[row, V_MORE_H]
        remember(sources, row, hour)
