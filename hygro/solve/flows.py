"""Flows of water and heat between two nodes, and from the climate into a surface, with slopes.

Plain scalar functions; `hygro.solve.binding` compiles them. States are tuples in the order of
`hygro.solve.state.node_state`. Every flow comes with its derivatives over (T_0, x_0, T_1, x_1), where 0 is
the outer and 1 the inner node.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars, flat arrays and tuples of scalars throughout

from __future__ import annotations

from hygro.constants import EVAPORATION_ENTHALPY, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from hygro.solve.layout import B_AIR, B_HEAT, B_PRESSURE, B_RAIN, B_TEMPERATURE, B_VAPOUR
from hygro.solve.liquid import liquid_flow

# Rain is taken up whole while the surface suction is above 10 Pa, not at all below 1 Pa: in between the
# surface finds the suction at which the wall passes inward what it takes up, so uptake is the smaller of
# what falls and what the wall can take.
WET_LOW = 0.0
WET_HIGH = 1.0

# What condenses on a surface that cannot pass it inward runs off [kg/(m2 s) a decade below WET_LOW].
DRAIN = 1.0e-3


def film_thickness(film_s_d, film, phi):
    """Diffusion-equivalent thickness of a film at a relative humidity, and its slope."""
    place = min(max(phi, 0.0), 1.0) * (film_s_d.shape[1] - 1)
    k = int(min(max(0.0, place), film_s_d.shape[1] - 2.0))  # NaN as in `interval`
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
