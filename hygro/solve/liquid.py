"""Flow of liquid between two nodes, across a contact of two materials as well, with slopes.

Plain scalar functions, as described in `hygro.solve.kernels`; states are tuples in the order of
`hygro.solve.state.node_state`, 0 is the outer and 1 the inner node.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars, flat arrays and tuples of scalars throughout

from __future__ import annotations

from hygro.materials.tables import LOG_SUCTION_LOW, STEPS_PER_DECADE
from hygro.solve.state import LN10, STEP, frozen, interval

NO_SLOPE = 1e-300  # a flux potential that does not change with suction
MOST_CONTACT_ITERATIONS = 60
SAME_SHARE = 1e-13  # of a flux: the iteration ends


def interface_flow(tables, left, right, x_left, x_right, theta_left, theta_right, size_left, size_right):
    """Liquid flux between two materials for equal suction at the interface; share of each side in its slopes.

    Both curves are linear between the same nodes, so the root is bracketed on nodes by bisection and then
    exact.
    """
    c_left = 2.0 / size_left
    c_right = 2.0 / size_right
    goal = c_left * theta_left + c_right * theta_right
    a, _ = interval(min(x_left, x_right), tables.shape[1])
    b, _ = interval(max(x_left, x_right), tables.shape[1])
    b += 1
    while b - a > 1:
        m = (a + b) // 2
        if c_left * tables[left, m, 2] + c_right * tables[right, m, 2] > goal:
            a = m
        else:
            b = m
    slope_left = c_left * tables[left, a, 3]
    slope_right = c_right * tables[right, a, 3]
    slope = slope_left + slope_right
    if slope == 0.0:
        return 0.0, 0.0, 0.0
    d = (goal - c_left * tables[left, a, 2] - c_right * tables[right, a, 2]) / slope
    flow_left = c_left * (theta_left - tables[left, a, 2] - tables[left, a, 3] * d)
    flow_right = c_right * (tables[right, a, 2] + tables[right, a, 3] * d - theta_right)
    share_left = slope_left / slope
    share_right = slope_right / slope
    # These weights cancel what a rounded root leaves over.
    return share_right * flow_left + share_left * flow_right, share_right, share_left


def suction_of(potential, tables, table, x_low, x_high):
    """Find suction where a material has a flux potential, between two log10 of it; its slope over that."""
    a, _ = interval(x_low, tables.shape[1])
    b, _ = interval(x_high, tables.shape[1])
    b += 1
    while b - a > 1:
        m = (a + b) // 2
        if tables[table, m, 2] > potential:
            a = m
        else:
            b = m
    slope = min(tables[table, a, 3], -NO_SLOPE)
    d = min(max((potential - tables[table, a, 2]) / slope, 0.0), STEP)
    suction = 10.0 ** (LOG_SUCTION_LOW + (a / STEPS_PER_DECADE + d))
    return suction, suction * LN10 / slope


def contact_flow(
    tables, left, right, x_left, x_right, theta_left, theta_right, size_left, size_right, contact
):
    """Liquid flux across a contact that costs suction, `contact` times the flux; shares as `interface_flow`.

    The flux lies between none and that of perfect contact, and is found by Newton's method within shrinking
    bounds. Where it is found, suction on either side is that of its material at the potential which is left
    there; the slopes follow from the same equation (implicit differentiation).
    """
    most, share_left, share_right = interface_flow(
        tables, left, right, x_left, x_right, theta_left, theta_right, size_left, size_right
    )
    if share_left == 0.0 and share_right == 0.0:
        return 0.0, 0.0, 0.0
    c_left, c_right = 2.0 / size_left, 2.0 / size_right
    low, high = min(x_left, x_right), max(x_left, x_right)
    if most == 0.0:
        _, slope_left = suction_of(theta_left, tables, left, low, high)
        _, slope_right = suction_of(theta_right, tables, right, low, high)
        by_left, by_right = -slope_left / c_left, -slope_right / c_right
        whole = contact + by_left + by_right
        return 0.0, by_left / whole, by_right / whole
    # As a share of perfect contact: what is left of the difference of suction falls from 0 to 1.
    done, much, share = 0.0, 1.0, 1.0
    by_left, by_right = 0.0, 0.0
    for _ in range(MOST_CONTACT_ITERATIONS):
        flow = share * most
        s_left, slope_left = suction_of(theta_left - flow / c_left, tables, left, low, high)
        s_right, slope_right = suction_of(theta_right + flow / c_right, tables, right, low, high)
        by_left, by_right = -slope_left / c_left, -slope_right / c_right
        off = (s_right - s_left - contact * flow) / (contact + by_left + by_right)
        ahead = off / most
        if ahead > 0.0:
            done = share
        else:
            much = share
        if abs(ahead) <= SAME_SHARE * share:
            break
        share += ahead
        if not done < share < much:
            share = 0.5 * (done + much)
    whole = contact + by_left + by_right
    return share * most, by_left / whole, by_right / whole


def liquid_flow(a, b, x0, x1, size0, size1, conductance, contact, tables, left, right, ice):
    """Liquid flux from node a to node b and its slopes over x and T of both."""
    theta0, theta_x0 = a[9], a[10]
    theta1, theta_x1 = b[9], b[10]
    # Slopes of potentials over the temperature of their own node, and of a surface over that of its cell: a
    # surface has no water of its own to freeze, what freezes is the cell behind it.
    own0, own1, other0, other1 = 0.0, 0.0, 0.0, 0.0
    if ice is not None:
        if size0 > 0.0:
            x0, theta0, own0, theta_x0 = a[20:24]
        else:
            x0, theta0, other0, theta_x0 = frozen(b[0], x0, tables, left, a)[0:4]
        if size1 > 0.0:
            x1, theta1, own1, theta_x1 = b[20:24]
        else:
            x1, theta1, other1, theta_x1 = frozen(a[0], x1, tables, right, b)[0:4]
    if contact > 0.0:
        flow, part0, part1 = contact_flow(tables, left, right, x0, x1, theta0, theta1, size0, size1, contact)
        by0 = 2.0 / size0 * part0
        by1 = -2.0 / size1 * part1
    elif left == right:
        flow = conductance * (theta0 - theta1)
        by0 = conductance
        by1 = -conductance
    else:
        flow, part0, part1 = interface_flow(tables, left, right, x0, x1, theta0, theta1, size0, size1)
        by0 = 2.0 / size0 * part0
        by1 = -2.0 / size1 * part1
    half = 0.5 * flow
    ratio = 0.5 * (a[16] + b[16])
    flow_t0 = half * a[17]
    flow_t1 = half * b[17]
    if ice is not None:
        flow_t0 += (by0 * own0 + by1 * other1) * ratio
        flow_t1 += (by1 * own1 + by0 * other0) * ratio
    return flow * ratio, by0 * theta_x0 * ratio, by1 * theta_x1 * ratio, flow_t0, flow_t1
