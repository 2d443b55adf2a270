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

The linear model of the last step goes on where the state has left it by little, and with it the factors of
the nodes from the innermost outwards: elimination runs from inside to outside, and begins anew at the first
node that has drifted. Where the end of the step is near enough to where its model was taken, the step is
done; elsewhere sweeps about that end follow, which begin anew at the first node that has gone too far. The
outer surface, whose slopes change with wind and rain, is the last row, and is closed each time.

Tangents of vapour pressure err to the same side, hour by hour. What the surfaces gave off too much or too
little for that is measured at the mean state of a step and given back in the next (`hygro.solve.surfaces`).

What is carried from step to step is the content that the linear flows lead to, not one re-evaluated from the
state: what the linear model gets wrong enters the next step as r, and balances close to round-off.

The local error is estimated from the difference between the flow at the end of a step and its mean, which is
what a method of first order gets wrong, brought back to changes of state by S.

The march is one flat loop whose body is one iteration; accept, reject and next hour are states of it.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars and flat arrays throughout, described in `march`

from __future__ import annotations

from hygro.constants import SECONDS_PER_HOUR
from hygro.solve.elimination import carry_on, go_on, go_on_outside
from hygro.solve.layout import (
    B_HEAT,
    B_RAIN,
    B_VAPOUR,
    C_GUESSED,
    C_HOUR,
    C_STEPS,
    C_SWEEPS,
    DONE,
    DRIFT,
    E_HEAT_COEFFICIENT,
    E_VAPOUR_COEFFICIENT,
    FLUX_COLUMNS,
    K_CURVATURE,
    K_DRIFT,
    K_HALTED,
    K_LAST,
    K_STEP,
    K_TOOK,
    METHOD_FLOW,
    METHOD_GAMMA,
    METHOD_MISMATCH,
    S_END,
    S_EXCESS,
    S_FRESH_EVERY,
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
from hygro.solve.solves import NEVER, local_error, solve_rest, update
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
from hygro.solve.surfaces import boundary_flows, overtaken, owe, source_flows
from hygro.solve.sweep import surface_row, sweep

LEAST_STEP = 1e-5  # of the shortest that error control asks for: a dry cell of 0.03 mm fills as fast
DAMPED_FROM = 3  # iteration from which the whole wall is swept, and nodes that turn to and fro slow down
RENEWAL = 6.0  # as far from its linear model as a node may be without a sweep, over what it may be in one

SAME_LENGTH = 1e-6  # share by which steps of the same length may differ
GROWTH_WITHIN = 0.02  # error of a step below which the next one of the hour is twice as long

NOTHING_BEHIND = (0.0, 0.0, 0.0, 0.0)  # no flow and no right-hand side from nodes farther inside


def model_goes_on(inside, hour, sources, x, edges):
    """Tell whether the linear model of the last step goes on to this one, where the state has not left it.

    The row of the inner surface has the slopes of the hour in which it was assembled, and so have sources.
    """
    same = inside[hour, B_HEAT] == edges[1, E_HEAT_COEFFICIENT] and inside[hour, B_RAIN] == 0.0
    return same and inside[hour, B_VAPOUR] == edges[1, E_VAPOUR_COEFFICIENT] and same_slopes(sources, hour, x)


def is_near(drift, settings, control):
    """Tell whether a linear model still holds where the state has left it by `drift`."""
    return drift <= settings[S_GUESS] and control[K_CURVATURE] * drift * drift <= settings[S_NEWTON]


def innermost_drifted(work, settings, control):
    """Innermost node that is to have a new linear model, with its neighbour inside; 0 for none."""
    n = work.shape[0]
    i = n - 1
    while i >= 0 and is_near(RENEWAL * work[i, DRIFT], settings, control):
        i -= 1
    return min(i + 1, n - 1)


def take_on(
    table, tables, air, exponentials, ice, sources, outside, inside, fixed_out, fixed_in, hour, innermost,
    flow_weight, temperature, x, work, edges,
):  # fmt: skip
    """Take the linear model of the last step on to this one, from the inside to `innermost`, 0 for all.

    Returns what the sweep of the others needs.
    """
    n = x.shape[0]
    renew_gains(sources, hour, temperature, x, tables, table, air, exponentials, ice, work)
    inner = node_state(temperature[n - 1], x[n - 1], 0.0, tables, table[n - 1], air, exponentials, ice)
    last = surface_row(fixed_in, inside, hour, inner, x[n - 1], edges, 1)
    behind = go_on(work, edges, sources, innermost + 1, flow_weight, last, fixed_in)
    if innermost == 0:
        outer = node_state(temperature[0], x[0], 0.0, tables, table[0], air, exponentials, ice)
        first = surface_row(fixed_out, outside, hour, outer, x[0], edges, 0)
        go_on_outside(work, edges, first, fixed_out, flow_weight, behind)
    return behind


def iterate(
    size, table, film, opening, contact, capacity, tables, film_s_d, air, exponentials, ice, sources,
    reference, outside, inside, fixed_out, fixed_in, method, settings, hour, step, strict, fresh, iterations,
    before, temperature, x, work, edges, control, counters,
):  # fmt: skip
    """Make one iteration of a step; the first guesses with as much of the last linear model as holds.

    A guess that is not expected to do, as that of the step before did not, only has to lead to where the wall
    is to be taken linear: it takes all of the last model. Where steps differ in length, factors belong to
    another gamma; two solves then give the change of slow nodes to first order and that of stiff ones.

    Returns whether the step has settled, the size of the change, how far the state is from that of the linear
    model (for the next iteration), the iterations made and the local error.
    """
    n = size.shape[0]
    gdt = method[0, METHOD_GAMMA] * step
    flow_weight, mismatch_weight = method[-1, METHOD_FLOW], method[-1, METHOD_MISMATCH]
    guesses = iterations == 0 and control[K_LAST] > 0.0
    foreign = guesses and abs(control[K_LAST] - step) > SAME_LENGTH * step
    same, innermost, behind = False, n - 1, NOTHING_BEHIND
    if guesses:
        if foreign:
            flow_weight = step / (method[0, METHOD_GAMMA] * control[K_LAST]) - 1.0
        same = not (fresh or foreign) and model_goes_on(inside, hour, sources, x, edges)
        does = same and control[K_TOOK] <= 1.0
        innermost = innermost_drifted(work, settings, control) if does else 0
        innermost = 0 if innermost == n - 1 else innermost
        behind = take_on(
            table, tables, air, exponentials, ice, sources, outside, inside, fixed_out, fixed_in, hour,
            innermost, flow_weight, temperature, x, work, edges,
        )  # fmt: skip
    elif 0 < iterations < DAMPED_FROM and not strict:
        innermost = max(innermost_drifted(work, settings, control), 1)
        if innermost < n - 1:
            behind = carry_on(work, edges, sources, innermost + 1, flow_weight, mismatch_weight)
    elif iterations == 0:
        begin_step(temperature, x, work)
    if innermost > 0:
        sweep(
            size, table, film, opening, contact, capacity, tables, film_s_d, air, exponentials, ice, sources,
            reference, outside, inside, fixed_out, fixed_in, hour, 1.0 / gdt, flow_weight, mismatch_weight,
            innermost, behind, temperature, x, work, edges,
        )  # fmt: skip
    solve_rest(work, sources, method, foreign)
    change, mismatch = update(
        temperature, x, work, size, table, capacity, tables, reference, gdt, guesses,
        iterations >= DAMPED_FROM, ice, settings, control,
    )  # fmt: skip
    if guesses and control[K_HALTED] > 0.0:  # it leads too far to be a start
        control[K_LAST] = 0.0
        restore(temperature, x, work)
        return False, 0.0, 0.0, 0, 0.0
    iterations += 1
    settled = mismatch <= (settings[S_STRICT] if strict else settings[S_NEWTON])
    if guesses:
        settled = settled and same and not strict and is_near(control[K_DRIFT], settings, control)
        if not same:
            work[n - 1, DRIFT] = NEVER  # what follows has no use for its factors
    else:
        counters[C_SWEEPS] += 1
        settled = has_settled(change, before, iterations, strict, settings, control) and settled
    error = 0.0
    if settled:
        error = local_error(work, method, gdt, settings, control)
        settled = not guesses or error <= 1.0
    if settled:
        counters[C_GUESSED] += 1 if guesses else 0
    return settled, change, control[K_DRIFT], iterations, error


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
    air : array, shape (points * AIR_COLUMNS,)
        Table of what depends on temperature alone, see `hygro.solve.layout`.
    exponentials : array, shape (2 * points,)
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
    sums[:] = 0.0
    while hour < last:
        # Now and then, and at the end, state and carried content are brought together, for balances.
        done = since + hour + 1
        strict = done % settings[S_STRICT_EVERY] == 0 or done == settings[S_END]
        fresh = done % settings[S_FRESH_EVERY] == 0
        settled, change, before, iterations, error = iterate(
            size, table, film, opening, contact, capacity, tables, film_s_d, air, exponentials, ice, sources,
            reference, outside, inside, fixed_out, fixed_in, method, settings, hour, step, strict, fresh,
            iterations, before, temperature, x, work, edges, control, counters,
        )  # fmt: skip
        if settled and wet:
            excess = overtaken(work, edges, method[0, METHOD_GAMMA], outside, inside, hour)
            error = max(error, excess / settings[S_EXCESS])
        if settled and (error <= 1.0 or step <= settings[S_SHORTEST]):
            accept_step(work)
            boundary_flows(work, edges, method[0, METHOD_GAMMA], step, fixed_out, fixed_in, sums)
            owe(
                table, tables, air, exponentials, ice, outside, inside, fixed_out, fixed_in, hour,
                method[0, METHOD_GAMMA], step, temperature, x, work, edges,
            )  # fmt: skip
            source_flows(work, sources, method[0, METHOD_GAMMA], step, sums)
            counters[C_STEPS] += 1
            control[K_TOOK] = iterations
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
