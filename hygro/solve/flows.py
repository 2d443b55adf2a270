"""Flows of vapour, liquid and heat between two nodes, and from the climate into a surface, with slopes.

Plain scalar functions; `hygro.solve.binding` compiles them. A node's state is a tuple in the order of
`node_state`. Every flow comes with its derivatives over (T_0, x_0, T_1, x_1), where 0 is the outer and 1
the inner node.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars, flat arrays and tuples of scalars throughout

from __future__ import annotations

import numpy as np

from hygro.constants import (
    EVAPORATION_ENTHALPY,
    FUSION_ENTHALPY,
    WATER_DENSITY,
    WATER_HEAT_CAPACITY,
    ZERO_CELSIUS,
)
from hygro.materials.tables import LOG_SUCTION_LOW, STEPS_PER_DECADE
from hygro.solve.layout import (
    AIR_LOW,
    AIR_STEPS,
    B_AIR,
    B_HEAT,
    B_PRESSURE,
    B_RAIN,
    B_TEMPERATURE,
    B_VAPOUR,
    DECAY_END,
    DECAY_STEPS,
)

LN10 = 2.302585092994046
SIXTH, TWENTY_FOURTH, HUNDRED_TWENTIETH = 1.0 / 6.0, 1.0 / 24.0, 1.0 / 120.0
STEP, AIR_STEP, DECAY_STEP = 1.0 / STEPS_PER_DECADE, 1.0 / AIR_STEPS, 1.0 / DECAY_STEPS

# Rain is taken up whole while the surface suction is above 10 Pa, not at all below 1 Pa: in between the
# surface finds the suction at which the wall passes inward what it takes up, so uptake is the smaller of
# what falls and what the wall can take.
WET_LOW = 0.0
WET_HIGH = 1.0

NO_SLOPE = 1e-300  # a flux potential that does not change with suction
MOST_CONTACT_ITERATIONS = 60
SAME_SHARE = 1e-13  # of a flux: the iteration ends

# Freezing point of free water [K]; suction at which water freezes a kelvin below it [Pa]; how far below it
# freezing begins at the earliest [K].
MELTING = ZERO_CELSIUS
FREEZING_SUCTION = WATER_DENSITY * FUSION_ENTHALPY / MELTING
LEAST_COLD = 1e-9

# What condenses on a surface that cannot pass it inward runs off [kg/(m2 s) a decade below WET_LOW].
DRAIN = 1.0e-3


def interval(x, points):
    """Table interval that holds x, and the distance from its start in decades."""
    place = (x - LOG_SUCTION_LOW) * STEPS_PER_DECADE
    k = min(max(int(place), 0), points - 2)
    return k, (place - k) * STEP


def series(t):
    """exp(t) for |t| up to 1/32, exact to 1e-12."""
    square = t * t
    return (1.0 + t) + square * ((0.5 + t * SIXTH) + square * (TWENTY_FOURTH + t * HUNDRED_TWENTIETH))


def decay(argument, exponentials):
    """exp(-argument) of a positive argument: table and a short series, exact to 1e-12."""
    if argument < DECAY_END:
        j = int(argument * DECAY_STEPS)
        return exponentials[j, 1] * series(j * DECAY_STEP - argument)
    return np.exp(-argument)


def frozen(temperature, x, tables, table, state):
    """Water that is ice, and what is left to liquid: the freezing point falls with suction.

    Returns
    -------
    tuple
        log10 of the suction of the liquid, its flux potential with slopes over T and x, ice with slopes over
        T and x [kg/m3].
    """
    below = MELTING - temperature
    if below <= LEAST_COLD:
        return x, state[9], 0.0, state[10], 0.0, 0.0, 0.0
    freezing = np.log10(below * FREEZING_SUCTION)
    if freezing <= x:
        return x, state[9], 0.0, state[10], 0.0, 0.0, 0.0
    k, d = interval(freezing, tables.shape[1])
    over_t = -1.0 / (LN10 * below)
    w_x, theta_x = tables[table, k, 1], tables[table, k, 3]
    left = tables[table, k, 0] + w_x * d
    theta = tables[table, k, 2] + theta_x * d
    return freezing, theta, theta_x * over_t, 0.0, state[7] - left, -w_x * over_t, state[8]


def node_state(temperature, x, reach, tables, table, air, exponentials, ice):
    """Everything a node's flows depend on; `reach` is half its size, `ice` None where water never freezes.

    Returns
    -------
    tuple
        T, p, p_T, p_x, phi, phi_T, phi_x, w, w_x, Theta, Theta_x, resistance of half the node to vapour and
        its slopes over T and x, to heat and its slope over x, viscosity ratio and its slope over T,
        1/delta_air and its slope over T; subscripts are slopes. Then the seven values of `frozen`.
    """
    place = (temperature - AIR_LOW) * AIR_STEPS
    j = min(max(int(place), 0), air.shape[0] - 2)
    d_t = (place - j) * AIR_STEP
    k, d = interval(x, tables.shape[1])
    # Below the table suction stays what it is there: 0.1 Pa, a humidity of 1 within 1e-9.
    t = LN10 * max(d, 0.0)
    inverse = air[j, 6] + air[j, 7] * d_t
    minus_log = exponentials[k, 0] * inverse * series(t)
    phi = decay(minus_log, exponentials)
    scaled = phi * minus_log
    phi_x = -scaled * LN10
    phi_t = scaled * inverse
    slope = air[j, 1]
    saturation = air[j, 0] + slope * d_t
    w_x, theta_x, mu_x, r_x = (
        tables[table, k, 1],
        tables[table, k, 3],
        tables[table, k, 5],
        tables[table, k, 7],
    )
    air_r = air[j, 2] + air[j, 3] * d_t
    half_mu = reach * (tables[table, k, 4] + mu_x * d)
    state = (
        temperature,
        phi * saturation,
        phi * slope + phi_t * saturation,
        phi_x * saturation,
        phi,
        phi_t,
        phi_x,
        tables[table, k, 0] + w_x * d,
        w_x,
        tables[table, k, 2] + theta_x * d,
        theta_x,
        half_mu * air_r,
        half_mu * air[j, 3],
        reach * mu_x * air_r,
        reach * (tables[table, k, 6] + r_x * d),
        reach * r_x,
        air[j, 4] + air[j, 5] * d_t,
        air[j, 5],
        air_r,
        air[j, 3],
    )
    liquid = (x, state[9], 0.0, state[10], 0.0, 0.0, 0.0)
    if ice is not None:
        liquid = frozen(temperature, x, tables, table, state)
    return (*state, *liquid)


def film_thickness(film_s_d, film, phi):
    """Diffusion-equivalent thickness of a film at a relative humidity, and its slope."""
    place = min(max(phi, 0.0), 1.0) * (film_s_d.shape[1] - 1)
    k = min(int(place), film_s_d.shape[1] - 2)
    rise = film_s_d[film, k + 1] - film_s_d[film, k]
    return film_s_d[film, k] + rise * (place - k), rise * (film_s_d.shape[1] - 1)


def vapour_flow(a, b, film_s_d, film):
    """Vapour flux from node a to node b through their half cells and the film between them."""
    p0, pt0, px0, phi0, phi_t0, phi_x0 = a[1:7]
    p1, pt1, px1, phi1, phi_t1, phi_x1 = b[1:7]
    z0, zt0, zx0 = a[11:14]
    z1, zt1, zx1 = b[11:14]
    resistance = z0 + z1
    if film >= 0:
        s_d, slope = film_thickness(film_s_d, film, 0.5 * (phi0 + phi1))
        both = a[18] + b[18]
        resistance += 0.5 * s_d * both
        quarter = 0.25 * slope * both
        zt0 += 0.5 * s_d * a[19] + quarter * phi_t0
        zt1 += 0.5 * s_d * b[19] + quarter * phi_t1
        zx0 += quarter * phi_x0
        zx1 += quarter * phi_x1
    conductance = 1.0 / resistance
    flow = (p0 - p1) * conductance
    return (
        flow,
        (pt0 - flow * zt0) * conductance,
        (px0 - flow * zx0) * conductance,
        (-pt1 - flow * zt1) * conductance,
        (-px1 - flow * zx1) * conductance,
    )


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


def face_flow(a, b, x0, x1, size0, size1, tables, left, right, film_s_d, film, opening, contact, ice):
    """Flow of water and heat from node a to node b.

    Returns
    -------
    tuple
        Water, its four slopes, heat, its four slopes, the heat conducted and the conductance [kg/(m2 s),
        W/m2, W/(m2 K)].
    """
    vapour, v_t0, v_x0, v_t1, v_x1 = vapour_flow(a, b, film_s_d, film)
    water, w_t0, w_x0, w_t1, w_x1 = vapour, v_t0, v_x0, v_t1, v_x1
    if opening > 0.0:
        liquid, l_x0, l_x1, l_t0, l_t1 = liquid_flow(
            a, b, x0, x1, size0, size1, opening, contact, tables, left, right, ice
        )
        water += liquid
        w_t0 += l_t0
        w_x0 += l_x0
        w_t1 += l_t1
        w_x1 += l_x1

    conductance = 1.0 / (a[14] + b[14])
    conduction = (a[0] - b[0]) * conductance
    # Water carries its sensible heat at the temperature of the node it leaves.
    carried = WATER_HEAT_CAPACITY * water
    each = WATER_HEAT_CAPACITY * ((a[0] if water > 0.0 else b[0]) - ZERO_CELSIUS)
    latent = EVAPORATION_ENTHALPY
    heat = conduction + latent * vapour + each * water
    h_t0 = conductance + latent * v_t0 + each * w_t0 + max(carried, 0.0)
    h_t1 = -conductance + latent * v_t1 + each * w_t1 + min(carried, 0.0)
    h_x0 = -conduction * conductance * a[15] + latent * v_x0 + each * w_x0
    h_x1 = -conduction * conductance * b[15] + latent * v_x1 + each * w_x1
    return water, w_t0, w_x0, w_t1, w_x1, heat, h_t0, h_x0, h_t1, h_x1, conduction, conductance


def surface_flow(climate, hour, state, x):
    """Flow of water and heat from the climate into a surface.

    Returns
    -------
    tuple
        Water, its slopes over T and x, heat, its slopes over T and x, rain taken up, its slope over x,
        sensible heat, its slope over T [kg/(m2 s), W/m2].
    """
    temperature, pressure, p_t, p_x = state[0:4]
    air = climate[hour, B_AIR]
    beta = climate[hour, B_VAPOUR]
    h = climate[hour, B_HEAT]
    vapour = beta * (climate[hour, B_PRESSURE] - pressure)
    share = (x - WET_LOW) / (WET_HIGH - WET_LOW)
    rain = climate[hour, B_RAIN] * min(max(share, 0.0), 1.0)
    rain_x = 0.0
    if 0.0 < share < 1.0:
        rain_x = climate[hour, B_RAIN] / (WET_HIGH - WET_LOW)
    off = DRAIN * min(x - WET_LOW, 0.0)
    off_x = DRAIN if x < WET_LOW else 0.0
    off_heat = WATER_HEAT_CAPACITY * (temperature - ZERO_CELSIUS)
    from_air = 1.0 if vapour > 0.0 else 0.0
    carrier = from_air * air + (1.0 - from_air) * temperature - ZERO_CELSIUS
    each = EVAPORATION_ENTHALPY + WATER_HEAT_CAPACITY * carrier
    rain_heat = WATER_HEAT_CAPACITY * (air - ZERO_CELSIUS)
    sensible = h * (climate[hour, B_TEMPERATURE] - temperature)
    return (
        vapour + rain + off,
        -beta * p_t,
        -beta * p_x + rain_x + off_x,
        sensible + each * vapour + rain_heat * rain + off_heat * off,
        -h - each * beta * p_t + WATER_HEAT_CAPACITY * (vapour * (1.0 - from_air) + off),
        -each * beta * p_x + rain_heat * rain_x + off_heat * off_x,
        rain,
        rain_x,
        sensible,
        -h,
    )
