"""The balance equations of one wall, solved hour by hour.

Plain functions of scalars and flat arrays; `hygro.solve.binding` compiles them for the CPU, and they run
undecorated as well. Nothing here allocates, raises or reads a global that changes.

Space
-----
Nodes i = 0 .. n-1: a surface node, the cells, a surface node. Unknowns y per node: temperature T [K] and x,
the log10 of suction in Pa. Stored per wall area, u(y): water W_i = w(x_i) d_i and enthalpy H_i = (rho c d_i
+ c_w W_i)(T_i - T_0). Surface nodes store nothing, so their two equations are flux balances between climate
and wall.

Across face i, between nodes i and i+1, flow vapour, liquid and heat (positive from outside to inside):

    g_v = (p_i - p_i+1) / (sum of d mu / delta_air + film)
    g_l = (Theta_i - Theta_i+1) / distance          Theta: matric flux potential (Ross 2003)
    q   = (T_i - T_i+1) / (sum of d / lambda) + h_v g_v + c_w (T_up - T_0) (g_v + g_l)

Where two materials meet, the suction at the interface is solved for, so that both sides carry the same
liquid flux.

Time
----
Within an hour the climate is constant and du/dt = F(y). A step of length h takes the equations linear about a
state y* near its end (M = du/dy, A = dF/dy there) and solves that linear problem with a rational
approximation of its exponential which has a single pole, so that all solves share one elimination:

    S = (M - gamma h A)^-1                       r = u(y*) - u carried
    q_s = S (b_s h F - r_s r),  q_j = S (b_j h F - r_j r + M q_j+1),  y = y* + q_1

The weights b_j make sum b_j w^j, w = 1 / (1 - gamma z), an L-stable approximation of phi(z) = (exp(z) - 1)
/ z, and r_j follow from R(z) = 1 + z phi(z) (rational methods of Rosenbrock type, Hairer and Wanner 1996,
chapter IV.7; linear in the end state rather than in the start state). Of those with two or three solves
that are of first or second order the weights with the smallest largest error on the negative axis are
taken: a jump of the climate excites all of it every hour. If F is not linear the sweep is repeated about
the new state, as Newton's method would, until what the next repetition would change is expected to be
small.

The state is first guessed with the factors of the last step, from the flows at its end and those of the new
climate. Where that moves so little that a new sweep would hardly change it, the guess is the step: the
linear model simply goes on. The outer surface, whose slopes change with wind and rain, is the last row of the
elimination, and is closed anew each time.

What is carried from step to step is the content that the linear flows lead to, not one re-evaluated from the
state: what the linear model gets wrong enters the next step as r, and balances close to round-off.

The local error is estimated from the difference between the flow at the end of a step and its mean, which is
what a method of first order gets wrong, brought back to changes of state by S.

The march is one flat loop whose body is one iteration; accept, reject and next hour are states of it.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars and flat arrays throughout, described in `march`

from __future__ import annotations

from hygro.constants import SECONDS_PER_HOUR
from hygro.solve.layout import (
    B_HEAT,
    B_RAIN,
    B_VAPOUR,
    C_GUESSED,
    C_HOUR,
    C_STEPS,
    C_SWEEPS,
    DONE,
    E_HEAT_COEFFICIENT,
    E_VAPOUR_COEFFICIENT,
    FLUX_COLUMNS,
    K_CURVATURE,
    K_DRIFT,
    K_GUESSES,
    K_LAST,
    K_STEP,
    METHOD_FLOW,
    METHOD_GAMMA,
    METHOD_MISMATCH,
    S_END,
    S_EXCESS,
    S_GUESS,
    S_LONGEST,
    S_MOST_STEPS,
    S_NEWTON,
    S_SHORTEST,
    S_STRICT,
    S_STRICT_EVERY,
    STEP_TOO_SHORT,
    TOO_MANY_STEPS,
)
from hygro.solve.solves import (
    boundary_flows,
    farthest,
    guess,
    local_error,
    overtaken,
    solve_rest,
    source_flows,
    update,
)
from hygro.solve.sources import renew_gains, same_slopes
from hygro.solve.state import node_state
from hygro.solve.steps import (
    accept_step,
    begin_step,
    first_step,
    fitted_step,
    has_settled,
    is_hopeless,
    longer_step,
    record_hour,
    restore,
    shortened,
)
from hygro.solve.sweep import surface_row, sweep

LEAST_STEP = 1e-5  # of the shortest that error control asks for: a dry cell of 0.025 mm fills as fast
MOST_GUESSES = 24  # steps in a row that go on with one linear model
DAMPED_FROM = 3  # iteration from which a node that turns to and fro is slowed down

FARTHEST_GUESS = 1.0  # decades, or 20 K: a guess that moves farther is not taken as a start

GROWTH_WITHIN = 0.02  # error of a step below which the next one of the hour is twice as long


def try_guess(
    size, table, capacity, tables, air, exponentials, ice, sources, reference, outside, inside, fixed_out,
    fixed_in, method, settings, hour, step, temperature, x, work, edges, control,
):  # fmt: skip
    """Guess the state at the end of the step with the factors of the last one, and move there.

    Returns how far it moved against the tolerances, negative where the guess is too far to be of use, and how
    far that takes the contents from those of the state.
    """
    n = temperature.shape[0]
    outer = node_state(temperature[0], x[0], 0.0, tables, table[0], air, exponentials, ice)
    inner = node_state(temperature[n - 1], x[n - 1], 0.0, tables, table[n - 1], air, exponentials, ice)
    renew_gains(sources, hour, temperature, x, tables, table, air, exponentials, ice, work)
    guess(
        work, edges, sources, method, control[K_LAST] / step,
        surface_row(fixed_out, outside, hour, outer, x[0]),
        surface_row(fixed_in, inside, hour, inner, x[n - 1]), fixed_out, fixed_in,
    )  # fmt: skip
    if not farthest(work) < FARTHEST_GUESS:
        return -1.0, 0.0
    gamma = method[0, METHOD_GAMMA]
    return update(
        temperature, x, work, size, table, capacity, tables, reference, gamma * step, False, ice, settings,
        control,
    )  # fmt: skip


def guess_holds(drift, step, inside, hour, edges, same, settings, control):
    """Tell whether the linear model of the last sweep, which the state has left by `drift`, is still good.

    The row of the inner surface has the slopes of the hour of that sweep, and so have the sources, whose
    slopes are the `same` in this hour or not.
    """
    same = same and abs(control[K_LAST] - step) < 1e-6 * step
    same = same and control[K_GUESSES] < MOST_GUESSES and inside[hour, B_HEAT] == edges[1, E_HEAT_COEFFICIENT]
    same = same and inside[hour, B_VAPOUR] == edges[1, E_VAPOUR_COEFFICIENT] and inside[hour, B_RAIN] == 0.0
    expected = control[K_CURVATURE] * drift * drift
    return same and drift <= settings[S_GUESS] and expected <= settings[S_NEWTON]


def iterate(
    size, table, film, opening, contact, capacity, tables, film_s_d, air, exponentials, ice, sources,
    reference, outside, inside, fixed_out, fixed_in, method, settings, hour, step, strict, iterations, before,
    temperature, x, work, edges, control, counters,
):  # fmt: skip
    """Make one iteration of a step: the guess if that holds, else a sweep (the first one after the guess).

    Returns whether the step has settled, the size of the change, that of all changes since the last
    linear model (for the next iteration), the iterations made and the local error.
    """
    gdt = method[0, METHOD_GAMMA] * step
    if iterations == 0 and control[K_LAST] > 0.0:
        same = same_slopes(sources, hour, x)
        change, mismatch = try_guess(
            size, table, capacity, tables, air, exponentials, ice, sources, reference, outside, inside,
            fixed_out, fixed_in, method, settings, hour, step, temperature, x, work, edges, control,
        )  # fmt: skip
        if change >= 0.0:
            iterations = 1
            before = control[K_DRIFT] + change
            if (
                not strict
                and mismatch <= settings[S_NEWTON]
                and guess_holds(before, step, inside, hour, edges, same, settings, control)
            ):
                error = local_error(work, method, gdt, reference, settings, control)
                if error <= 1.0:
                    control[K_DRIFT] = before
                    control[K_GUESSES] += 1.0
                    counters[C_GUESSED] += 1
                    return True, change, before, iterations, error
    first = method.shape[0] - 1
    sweep(
        size, table, film, opening, contact, capacity, tables, film_s_d, air, exponentials, ice, sources,
        outside, inside, fixed_out, fixed_in, hour, 1.0 / gdt, method[first, METHOD_FLOW], method[first,
        METHOD_MISMATCH], temperature, x, work, edges,
    )  # fmt: skip
    solve_rest(work, method)
    change, mismatch = update(
        temperature,
        x,
        work,
        size,
        table,
        capacity,
        tables,
        reference,
        gdt,
        iterations >= DAMPED_FROM,
        ice,
        settings,
        control,
    )
    counters[C_SWEEPS] += 1
    iterations += 1
    settled = has_settled(change, before, iterations, strict, settings, control)
    settled = settled and mismatch <= (settings[S_STRICT] if strict else settings[S_NEWTON])
    error = 0.0
    if settled:
        error = local_error(work, method, gdt, reference, settings, control)
        control[K_DRIFT] = change
        control[K_GUESSES] = 0.0
    return settled, change, change, iterations, error


def march(
    size, table, film, opening, contact, capacity, tables, film_s_d, air, exponentials, ice, sources,
    reference, outside, inside, fixed_out, fixed_in, methods, settings, first, last, temperature, x, work,
    edges, sums, control, watched, history, since, field_every, field_t, field_x, fluxes, counters,
):  # fmt: skip
    """Advance a wall from the start of hour `first` to the start of hour `last`.

    Parameters
    ----------
    size, table, film, capacity, tables, film_s_d
        The grid, as in `hygro.grid.cells.Grid`.
    opening : array, shape (nodes - 1,)
        Inverse of the distance between neighbouring nodes, 0 where a film blocks liquid [1/m].
    contact : array, shape (nodes - 1,)
        Resistance of the contact between neighbouring nodes to liquid, 0 for none [m/s].
    air : array, shape (points, AIR_COLUMNS)
        Table of what depends on temperature alone, see `hygro.solve.layout`.
    exponentials : array, shape (points, 2)
        Table of suction and of exp(-m), see `hygro.solve.layout`.
    ice : None or bool
        None where water never freezes; compiled apart, so that it costs nothing.
    sources : tuple of array
        Sources within the wall, see `hygro.solve.sources`.
    reference : array, shape (nodes,)
        Inverse of the water stored at free saturation [m2/kg]; 0 for the surface nodes.
    outside, inside : array, shape (hours, BOUNDARY_COLUMNS)
        Climate, constant within each hour.
    fixed_out, fixed_in : bool
        Whether a side gives the state of the surface itself.
    methods : tuple of array, shape (solves, 3)
        Weights of the method of choice and of the one for steps in which that finds no solution: one solve,
        which is backward Euler and Newton's method. See `hygro.solve.layout`.
    settings : array, shape (SETTINGS,)
        See `hygro.solve.layout`.
    first, last : int
        Range of hours.
    temperature, x : array, shape (nodes,)
        State; changed in place.
    work : array, shape (nodes, WORK_COLUMNS)
        Workspace, kept between calls; columns OLD_W and OLD_H carry the stored contents.
    edges : array, shape (2, EDGE_COLUMNS)
        Flows at both sides and their slopes, kept between calls.
    sums : array, shape (FLUX_COLUMNS,)
        Scratch for boundary flows over the hour.
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
    method = methods[0]
    hour = first
    opening_step = min(max(control[K_STEP], settings[S_SHORTEST]), settings[S_LONGEST])
    left, taken = SECONDS_PER_HOUR, 0
    step, wet = first_step(outside, inside, first, last, opening_step, settings, control)
    iterations, before = 0, 0.0
    begin_step(temperature, x, work)
    sums[:] = 0.0
    while hour < last:
        # Now and then, and at the end, state and carried content are brought together, for balances.
        done = since + hour + 1
        strict = done % settings[S_STRICT_EVERY] == 0 or done == settings[S_END]
        settled, change, before, iterations, error = iterate(
            size, table, film, opening, contact, capacity, tables, film_s_d, air, exponentials, ice, sources,
            reference, outside, inside, fixed_out, fixed_in, method, settings, hour, step, strict, iterations,
            before, temperature, x, work, edges, control, counters,
        )  # fmt: skip
        if settled and wet:
            excess = overtaken(work, edges, method[0, METHOD_GAMMA], outside, inside, hour)
            error = max(error, excess / settings[S_EXCESS])
        if settled and (error <= 1.0 or step <= settings[S_SHORTEST]):
            accept_step(work)
            boundary_flows(work, edges, method[0, METHOD_GAMMA], step, fixed_out, fixed_in, sums)
            source_flows(work, sources, method[0, METHOD_GAMMA], step, sums)
            counters[C_STEPS] += 1
            left -= step
            control[K_LAST] = step
            if taken == 0 and not wet:
                opening_step = longer_step(step, error, settings[S_LONGEST])
            if error < GROWTH_WITHIN:
                step = min(2.0 * step, settings[S_LONGEST])
            taken += 1
            if left <= SECONDS_PER_HOUR * 1e-7:
                for k in range(FLUX_COLUMNS):
                    fluxes[hour, k] = sums[k]
                    sums[k] = 0.0
                record_hour(hour, temperature, x, watched, history, since, field_every, field_t, field_x)
                hour += 1
                counters[C_HOUR] = hour
                left, taken = SECONDS_PER_HOUR, 0
                step, wet = first_step(outside, inside, hour, last, opening_step, settings, control)
            else:
                step = fitted_step(step, left)
            if method.shape[0] < methods[0].shape[0]:
                method = methods[0]
                control[K_LAST] = 0.0
            iterations = 0
            begin_step(temperature, x, work)
        elif settled or is_hopeless(change, iterations, method):
            step = shortened(step, settled, error, method, settings, control, counters)
            restore(temperature, x, work)
            iterations = 0
            if not settled:
                method = methods[1]
                if step < LEAST_STEP * settings[S_SHORTEST]:
                    return STEP_TOO_SHORT
        if taken > settings[S_MOST_STEPS]:
            return TOO_MANY_STEPS
    control[K_STEP] = opening_step
    return DONE
