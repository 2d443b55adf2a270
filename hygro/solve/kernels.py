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
which falls out of the same elimination as the last Newton update, and weighed by how much of it will have
died away by the end of the hour. Newton iterations end when the next update is expected to be small.

What is carried from step to step is the content that the fluxes lead to, not one re-evaluated from the state:
what an iteration leaves over is put right by the next step, and balances close to round-off.

The march is one flat loop whose body is one Newton iteration; accept, reject and next hour are states of it.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars and flat arrays throughout, described in `march`

from __future__ import annotations

from hygro.constants import SECONDS_PER_HOUR
from hygro.solve.layout import (
    BASE_H,
    BASE_W,
    C_FAILED,
    C_HOUR,
    C_REJECTED,
    C_STEPS,
    C_SWEEPS,
    C_WORST_NODE,
    DONE,
    FLUX_COLUMNS,
    K_CURVATURE,
    K_STEP,
    K_STRIDE,
    K_WORST,
    OLD_H,
    OLD_T,
    OLD_W,
    OLD_X,
    S_END,
    S_LONGEST,
    S_MOST_STEPS,
    S_NEWTON,
    S_SHORTEST,
    S_STAGES,
    STAGE_H,
    STAGE_W,
    STEP_TOO_SHORT,
    TOO_MANY_STEPS,
    TRIAL_H,
    TRIAL_W,
)
from hygro.solve.sweep import LONGEST_STRIDE, boundary_flows, sweep, update

GAMMA = 1.0 - 0.5 * 2.0**0.5  # second order, L-stable

# Diagonal coefficient of the first step of an hour, in which the climate jumps: of first order, once an
# hour, it damps what is fast far better (the idea of Rannacher 1984). Chosen from a work-precision diagram.
GAMMA_OPENING = 0.4

MOST_ITERATIONS = 25
MEMORY = 0.5  # of the measured curvature, from step to step
LARGEST_LEAP = 1.0  # change, in tolerances, beyond which the squaring is not relied on
STRICT = 1e-4  # share of the goal of an iteration that holds once a day

SAFETY = 0.9
LARGEST_GROWTH = 4.0
LARGEST_CUT = 0.2
OPENING_GROWTH = 2.0


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
        # What a step gets wrong has died away by the end of the hour the more, the shorter it was and the
        # earlier.
        fading = (step / (SECONDS_PER_HOUR - elapsed)) ** 2
        change, error = update(temperature, x, work, reference, stage == 2, fading, settings, control)
        counters[C_SWEEPS] += 1
        iterations += 1
        # Once a day and at the end state and carried content are brought together: balances are taken there.
        done = since + hour + 1
        goal = settings[S_NEWTON] * (STRICT if done % 24 == 0 or done == settings[S_END] else 1.0)
        settled = has_settled(change, before, iterations, goal, control)
        before = change
        if settled and stage < stages:
            begin_second_stage(work, gamma)
            boundary_flows(work, edges, sums[1])
            stage, iterations = 2, 0
            control[K_STRIDE] = LONGEST_STRIDE
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
            control[K_STRIDE] = LONGEST_STRIDE
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
            control[K_STRIDE] = LONGEST_STRIDE
            restore(temperature, x, work)
        if taken > settings[S_MOST_STEPS]:
            return TOO_MANY_STEPS
    control[K_STEP] = opening_step
    return DONE
